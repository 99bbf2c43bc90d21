"""Facts of the trade: freezers, orders and sizes of working times."""

import math

import pytest

from studiotimer import units
from studiotimer.lamps import parse_light
from studiotimer.mixes import mixes
from studiotimer.thermal.criteria import targets
from studiotimer.thermal.firmness import advised_freezer_c, firmness
from studiotimer.thermal.mix import Mix
from studiotimer.thermal.scoop import Build, changes
from studiotimer.thermal.surroundings import chilled, room
from studiotimer.thermal.tub import LEAST_H, Tub, advised_hours, tempering_hours

CLASSES = ("superpremium", "premium", "regular", "economy")
BUILD = Build()
LED = room(22.0, 0.45, parse_light("LED 2000 lx").absorbed("pale"))


def on_set(name, around=LED, build=BUILD):
    mix = mixes()[name]
    return changes(mix, advised_freezer_c(mix), around, build=build)


@pytest.mark.parametrize("name", CLASSES)
def test_freezer_on_a_shoot(name):
    """Bellingham and Bybee, Food Styling for Photographers, 2008, chapter on ice cream: 0 to 10 °F, within 0.5 °C."""
    zero_f, ten_f = (0 - 32) / 1.8, (10 - 32) / 1.8
    assert zero_f - 0.5 <= advised_freezer_c(mixes()[name]) <= ten_f + 0.5


@pytest.mark.parametrize(
    ("text", "quantity", "value"),
    [
        ("1 in", units.LENGTH, 0.0254),
        ("1 gal", units.VOLUME, 3.785411784e-3),
        ("1 lb", units.MASS, 0.45359237),
        ("50 F", units.TEMPERATURE, 10.0),
    ],
)
def test_units(text, quantity, value):
    """NIST SP 811, appendix B, through pint: inch, US gallon, pound and degree Fahrenheit."""
    assert units.parse(text, quantity) == pytest.approx(value, rel=1e-9)


def test_product_is_down_to_temperature_a_day_before():
    """Common practice: in a freezer at temperature no less than 24 h before the shoot, never brought in on the day."""
    mix = mixes()["superpremium"]
    model = tempering_hours(mix, Tub(0.24, 0.25), -8.0, -12.0)
    assert 12.0 < model < 24.0
    assert advised_hours(model) == LEAST_H == 24.0
    assert advised_hours(30.0) == 30.0


def test_order_of_freezers():
    """Common practice: richer mixes want a warmer freezer; superpremium, premium, then regular and economy."""
    warmest, second, regular, economy = (advised_freezer_c(mixes()[name]) for name in CLASSES)
    assert warmest > second > max(regular, economy)
    assert regular == pytest.approx(economy, abs=0.5)


def test_richer_with_less_stabiliser_is_harder_at_the_same_cold():
    """Common practice: the richer, denser mix is the harder one in the same freezer."""
    hardness = [float(firmness(mixes()[name], -18.0)) for name in CLASSES]
    assert hardness[0] > hardness[1] > max(hardness[2:])


def test_superpremium_loses_its_edges_first():
    """Common practice: of the four ice cream classes, superpremium's edges go first on set."""
    edges = {name: on_set(name).edges_s for name in CLASSES}
    assert min(edges, key=edges.__getitem__) == "superpremium"


def test_less_stabiliser_loses_its_edges_sooner():
    """Common practice: stabiliser keeps a ruffle longer."""
    plain, stabilised = (Mix("made", fat=14, msnf=10, sucrose=15, stab=s, overrun=0.5) for s in (0.05, 0.4))
    assert targets(plain).edges < targets(stabilised).edges
    assert changes(plain, -16.0, LED).edges_s < changes(stabilised, -16.0, LED).edges_s


@pytest.mark.parametrize("name", CLASSES)
def test_working_times_run_from_seconds_to_a_few_minutes(name):
    """Common practice: seconds under a hot lamp with a thin edge, a few minutes under a cool one."""
    hot = room(26.0, 0.5, parse_light("tungsten 63000 lx").absorbed("pale"))
    assert 5.0 < on_set(name, hot, Build(edge_m=0.0006)).edges_s < 60.0
    assert 120.0 < on_set(name).edges_s < 420.0


@pytest.mark.parametrize("name", CLASSES)
def test_dry_ice_over_the_set_buys_time(name):
    """Common practice: dry ice hidden round the dish keeps a hero longer."""
    plain, helped = on_set(name), on_set(name, chilled(LED, 6.0))
    assert helped.sheen_s > 1.15 * plain.sheen_s
    assert helped.edges_s > 1.25 * plain.edges_s
    assert math.isfinite(helped.slump_s)
    assert helped.slump_s > 1.25 * plain.slump_s
