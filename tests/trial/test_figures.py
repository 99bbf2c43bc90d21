"""A plan in plain numbers, as the fast trial takes it."""

import pytest

from studiotimer.prep.plan import parse_plan
from studiotimer.prep.results import results_of
from studiotimer.thermal.learn import MIX_SD
from studiotimer.trial.figures import TrialError, setup_of
from tests.prep.plans import CALM, THREE_FLAVOURS


def made(values):
    return setup_of(results_of(parse_plan(values)))


def test_times_of_a_plan_are_seconds_after_the_call():
    setup = made(
        CALM | {"call_time": "09:00", "pull": "40 s", "reset": "3 min", "pull_to_set": "75 s", "carry": "15 s"}
    )
    assert (setup.pull_s, setup.carry_s, setup.looked_over_s, setup.reset_s) == (40.0, 15.0, 60.0, 180.0)
    assert (setup.lunch, setup.ice, setup.hero_takes_s) == (None, None, 0.0)
    assert made(CALM | {"hero_takes": "12 min"}).hero_takes_s == 720.0


def test_lunch_is_when_the_plan_has_it():
    setup = made(THREE_FLAVOURS | {"lunch_at": "09:45", "lunch": "40 min"})
    assert setup.lunch == (45 * 60.0, 2400.0)
    assert made(THREE_FLAVOURS).lunch is None


def test_each_flavour_brings_what_is_known_of_its_mix():
    plain = made(THREE_FLAVOURS)
    assert [(one.name, one.freezer, one.mix) for one in plain.flavours] == [
        ("Pistachio", 1, "superpremium"), ("Hazelnut", 1, "gelato"), ("Lemon", 2, "sorbet"),
    ]  # fmt: skip
    assert all((one.tau_mean, one.tau_sd) == (0.0, MIX_SD) for one in plain.flavours)
    assert all(one.tubs >= 1 and one.scoops_a_tub >= 1 for one in plain.flavours)
    known = made(THREE_FLAVOURS | {"learned": {"gelato": {"mean": -0.15, "sd": 0.1}}})
    assert [(one.tau_mean, one.tau_sd) for one in known.flavours] == [(0.0, MIX_SD), (-0.15, 0.1), (0.0, MIX_SD)]


def test_each_shot_brings_its_heroes_by_number_and_what_it_takes():
    setup = made(THREE_FLAVOURS)
    assert [one.heroes for one in setup.shots] == [(0, 1, 2), (0,), (2,)]
    first = setup.shots[0]
    assert (first.takes, first.frames, first.between_s, first.dressing_s) == (2, 8, 6.0, 25.0)
    assert setup.work == sum(one.planned * len(one.heroes) for one in setup.shots) >= 2 * 3 + 1 + 1


def test_dry_ice_is_in_use_from_when_it_is_charged():
    """The box before the call, the set at the call or after; lost at what the plan has."""
    results = results_of(parse_plan(THREE_FLAVOURS))
    ice, day = setup_of(results).ice, results.day
    assert ice.box_since_s == (day.box_charged - day.call).total_seconds() != 0.0
    assert ice.set_since_s == (day.ice_on_set - day.call).total_seconds()
    assert ice.bought_kg > ice.way_kg > 0.0
    assert ice.box_kg_s == pytest.approx(8 * 0.45359237 / 86400)
    assert ice.box_since_s <= ice.set_since_s
    assert ice.set_kg_s > 0.0
    assert ice.box_for_s is None


def test_a_day_that_nobody_could_shoot_is_refused():
    with pytest.raises(TrialError, match=r"^shots: they take [\d,]+ h, which is no day"):
        made(CALM | {"shots": [CALM["shots"][0] | {"takes": 90, "locks": "60 min", "frames": 200}]})


@pytest.mark.parametrize(
    ("ice", "box", "on_set"),
    [({"target_air": "6 °C", "holding_box": False}, False, True), ({"holding_box": True}, True, False)],
)
def test_ice_that_is_not_used_in_a_place_is_used_there_since_never_and_at_no_rate(ice, box, on_set):
    stock = made(CALM | {"dry_ice": ice}).ice
    assert (stock.box_kg_s > 0.0) == (stock.box_since_s != 0.0) == box
    assert (stock.set_kg_s > 0.0) == on_set
    assert on_set or stock.set_since_s == 0.0
