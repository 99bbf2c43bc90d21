"""A scoop's history, asked for again as seconds pass, is what it would be had it never been asked for."""

import random

import pytest

from studiotimer.places import demo_sessions
from studiotimer.session.climate import Climate
from studiotimer.session.live import plan_of
from studiotimer.session.mending import Ledger
from studiotimer.session.product import Product
from studiotimer.session.reading import read
from tests.session.shoots import SHOT, plan, told

DAYS = sorted(demo_sessions().glob("*/*.setlog"))


@pytest.mark.parametrize("day", DAYS, ids=lambda day: day.stem)
def test_a_history_asked_for_again_is_as_asked_for_once(day):
    demo, chance = read(day), random.Random(5)
    shoot = plan_of(demo.header)
    places = chance.sample(range(2, len(demo.entries) + 1), 6)
    for place in [*sorted(places), len(demo.entries)]:
        state = Ledger.of(demo.entries[:place]).state
        climate = Climate(state, shoot)
        for scoop in chance.sample(list(state.scoops.values()), min(len(state.scoops), 4)):
            product = Product.of(shoot, scoop.flavour)
            marks = [stay.since for stay in scoop.stays] + [scoop.pulled]
            times = sorted({*marks, *(mark + step for mark in marks for step in (0.5, 1.0, 7.0, 61.0, 400.0))})
            for until in (*times, times[0], times[-1] + 3600.0):
                once = Climate(state, shoot).history(scoop, until, product)
                assert climate.history(scoop, until, product) == once, (place, scoop.number, until)


@pytest.mark.parametrize(
    ("what", "later"),
    [
        ("the box again", [(200.0, "move", {"scoop": 1, "to": "tray"}), (300.0, "move", {"scoop": 1, "to": "box"})]),
        ("its core read", [(200.0, "reading", {"what": "core_c", "value": -9.0, "scoop": 1})]),
        ("the box read", [(200.0, "reading", {"what": "box_c", "value": -50.0})]),
    ],
)
def test_what_comes_later_is_not_told_before_it_and_not_left_out_after(what, later):
    state = told(
        (0.0, "shot", SHOT), (100.0, "pull", {"scoop": 1, "flavour": "vanilla", "to": "box"}), *later,
        (400.0, "shot", SHOT),
    ).state  # fmt: skip
    climate, scoop, product = Climate(state, plan()), state.scoops[1], Product.of(plan(), "vanilla")
    for until in (150.0, 199.0, 200.0, 250.0, 350.0, 500.0):
        assert climate.history(scoop, until, product) == Climate(state, plan()).history(scoop, until, product), what
