"""How long pull, carry and both take: the plan's time until it was measured, and then more and more what was measured."""

import math
from statistics import NormalDist

import pytest

from studiotimer.session.pulling import (
    PRIOR_WEIGHT,
    SPREAD,
    Lasting,
    carry,
    carry_s,
    pull,
    pull_by,
    pull_to_set,
    pull_to_set_by,
    pull_to_set_times,
)
from tests.session.shoots import SHOT, plan, told

PLAN = plan(pull_to_set="80 s", carry="20 s", pull="40 s")


def pulled(tick, number):
    return (tick, "pull", {"scoop": number, "flavour": "vanilla", "to": "tray"})


def placed(tick, *numbers, **fields):
    return (tick, "hero_in", {"scoops": list(numbers), **fields})


def mean(planned, *measured):
    """The planned time counts as three measured ones, all by their logarithms."""
    return math.exp((3 * math.log(planned) + sum(map(math.log, measured))) / (3 + len(measured)))


def test_what_is_measured_counts_from_then_on():
    lasting = Lasting(30.0, ((10.0, 60.0), (20.0, 90.0)))
    assert lasting.at(5.0) == lasting.at(10.0) == 30.0
    assert lasting.at(10.5) == pytest.approx(mean(30, 60))
    assert lasting.at(20.0) == pytest.approx(mean(30, 60))
    assert lasting.at(21.0) == pytest.approx(mean(30, 60, 90))


def test_what_takes_no_time_takes_none_whatever_was_measured():
    assert Lasting(0.0, ((1.0, 60.0),)).at(5.0) == 0.0
    assert Lasting(30.0).at(5.0) == 30.0
    assert Lasting(0.5, ((1.0, 0.2),)).at(5.0) == pytest.approx(mean(0.5, 1.0)), "less than a second counts as one"


def test_a_scoop_is_measured_where_it_came_straight_and_nobody_assumed_it():
    """Within three times the plan's time; by the first of several comings, and not what rested before."""
    state = told(
        (0, "shot", SHOT), pulled(10, 1), placed(70, 1), (80, "out", {"scoops": [1], "why": "gone"}),
        pulled(100, 2), placed(100 + 240, 2), (350, "out", {"scoops": [2], "why": "gone"}),
        pulled(400, 3), placed(400 + 241, 3), (650, "out", {"scoops": [3], "why": "gone"}),
        placed(700, 9, assumed_pull_s=50), (710, "out", {"scoops": [9], "why": "gone"}),
        pulled(800, 4), placed(800, 4),
    ).state  # fmt: skip
    assert pull_to_set_times(state, 80.0) == [60.0, 240.0]
    assert pull_to_set_times(state, 20.0) == [60.0]
    assert carry(state, PLAN).measured == ((70.0, 60.0),)
    assert carry_s(state, PLAN, 60.0) == 20.0
    assert carry_s(state, PLAN, 71.0) == pytest.approx(mean(20, 60))


def test_pulls_that_follow_one_another_at_once_tell_how_long_one_takes():
    state = told((0, "shot", SHOT), *(pulled(at, number) for number, at in enumerate((10, 40, 160, 281), 1))).state
    assert pull(state, PLAN).measured == ((40.0, 30.0), (160.0, 120.0)), "a pause of over three times is none"
    assert pull(state, PLAN).at(300.0) == pytest.approx(mean(40, 30, 120))
    share = 0.9
    late = math.exp(SPREAD * NormalDist().inv_cdf(share))
    assert pull_by(state, PLAN, 300.0, share) == pytest.approx(mean(40, 30, 120) * late)
    assert pull_by(state, PLAN, 5.0, 0.5) == pytest.approx(40.0)


def test_from_pull_to_set_the_spread_narrows_as_times_agree():
    assert pull_to_set(told((0, "shot", SHOT)).state, plan(pull_to_set="0 s")).mean == 0.0, "a second at least"
    never = pull_to_set(told((0, "shot", SHOT)).state, PLAN)
    assert (never.mean, never.stdev) == pytest.approx((math.log(80.0), SPREAD))
    calls = [(0, "shot", SHOT)]
    for number in range(1, 5):
        begun = 300.0 * number
        calls += [
            pulled(begun, number),
            placed(begun + 80.0, number),
            (begun + 90, "out", {"scoops": [number], "why": "gone"}),
        ]
    state = told(*calls).state
    known = pull_to_set(state, PLAN)
    assert known.mean == pytest.approx(math.log(80.0))
    assert known.stdev == pytest.approx(SPREAD * math.sqrt(PRIOR_WEIGHT / (PRIOR_WEIGHT + 4)))
    assert pull_to_set_by(state, PLAN, 0.5) == pytest.approx(80.0)
    assert 80.0 < pull_to_set_by(state, PLAN, 0.9) < 80.0 * math.exp(SPREAD * 1.2816)
    spread = told(*calls, pulled(2000, 7), placed(2160, 7)).state
    wider = pull_to_set(spread, PLAN)
    assert wider.mean == pytest.approx(math.log(mean(80, 80, 80, 80, 80, 160)))
    off = [math.log(80.0) - wider.mean] * 4 + [math.log(160.0) - wider.mean]
    squares = PRIOR_WEIGHT * SPREAD**2 + sum(one**2 for one in off)
    assert wider.stdev == pytest.approx(math.sqrt(squares / (PRIOR_WEIGHT + 5)))
