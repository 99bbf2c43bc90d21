"""What feet that were seen teach of the layer at which they show."""

import math

import numpy as np
import pytest

from studiotimer.places import resource
from studiotimer.thermal.foot import SPREAD
from studiotimer.thermal.layer import CALL_S, OWN_SD, Layer, not_yet, seen


def test_untold_it_has_the_spread_of_the_rule():
    assert Layer().spread == pytest.approx(SPREAD)


def test_seen_at_the_rules_layer_it_is_surer_and_no_deeper():
    told = seen(Layer(), 0.0, 60.0)
    assert told.mean == 0.0
    assert OWN_SD < told.spread < SPREAD


@pytest.mark.parametrize("deep", [-0.8, 0.5])
def test_it_goes_some_of_the_way_and_with_many_all_of_it(deep):
    held = Layer()
    for _ in range(200):
        before, held = held, seen(held, deep, 60.0)
        assert abs(before.mean) < abs(held.mean) < abs(deep)
    assert held.mean == pytest.approx(deep, rel=0.02)
    assert held.spread == pytest.approx(OWN_SD, rel=0.02)


def test_a_foot_seen_at_once_tells_less_than_one_timed_well():
    assert abs(seen(Layer(), 0.5, 2.0).mean) < abs(seen(Layer(), 0.5, 200.0).mean)


def test_not_yet_there_it_shows_deeper_and_never_shallower():
    assert not_yet(Layer(), 0.5, 60.0).mean > 0.2
    assert 0.0 <= not_yet(Layer(), -1.0, 60.0).mean < 0.02


def test_the_band_holds_the_truth_as_often_as_it_says_after_none_one_and_four():
    """1,000 plates, five scoops each, the call's error in the truth: 75 to 85 % of the fifth within 10 to 90 %."""
    dice = np.random.default_rng(1)
    for told in (0, 1, 4):
        within = 0
        for _ in range(1000):
            plate = dice.normal(0.0, OWN_SD)
            held = Layer()
            for _ in range(told):
                held = seen(held, plate + dice.normal(0.0, OWN_SD) + 0.5 * dice.normal(0.0, 3.0) / 30.0, 30.0)
            within += abs(plate + dice.normal(0.0, OWN_SD) - held.mean) < 1.2816 * held.spread
        assert 750 <= within <= 850, (told, within)
    assert math.isfinite(held.mean)


def test_the_help_says_how_a_foot_is_learned_and_the_rule_is_that():
    """“The first you call moves it about half of the way, the next ones less.”"""
    page = " ".join(resource("help", "working-time.md").read_text(encoding="utf-8").split())
    assert "The first you call moves it about half of the way, the next ones less." in page
    first = seen(Layer(), 1.0, 600.0)
    second = seen(first, first.mean + 1.0, 600.0)
    assert first.mean == pytest.approx(0.5, abs=0.06)
    assert second.mean - first.mean < first.mean


@pytest.mark.parametrize(("mean", "looked", "on_set_s"), [(0.0, 0.0, 60.0), (0.0, 0.6, 20.0), (0.3, 0.1, 600.0)])
def test_not_yet_is_the_part_of_all_plates_whose_foot_shows_deeper(mean, looked, on_set_s):
    """Against a million plates drawn, each with its scoop's own part and the call's: those that show deeper are left."""
    held = Layer(mean, 0.4)
    dice = np.random.default_rng(3)
    plates = dice.normal(mean, held.sd, 1_000_000)
    shows = plates + dice.normal(0.0, math.hypot(OWN_SD, 0.5 * CALL_S / on_set_s), plates.size)
    left = plates[shows > looked]
    told = not_yet(held, looked, on_set_s)
    assert told.mean == pytest.approx(left.mean(), abs=0.003)
    assert told.sd == pytest.approx(left.std(), abs=0.003)
