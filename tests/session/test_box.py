"""What the box gives back over the whole legal range: waiting in it costs no scoop time, and a fresh pull is no better."""

import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from studiotimer.mixes import mixes
from studiotimer.prep.plan import parse_plan
from studiotimer.session.forecast import Forecaster
from studiotimer.session.pulling import carry, pull
from tests.session.shoots import told

FEW = settings(deadline=None, max_examples=40, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
SLACK_S = 0.5


@st.composite
def days(draw):
    """A plan with a box at or below -30 °C, and the session second at which the first scoop is pulled into it."""
    box = draw(st.floats(-80.0, -30.0))
    numbers = {
        "freezer_c": draw(st.floats(max(box, -60.0), -5.0)),
        "width_m": draw(st.floats(0.02, 0.2)),
        "edge_m": draw(st.floats(0.0002, 0.01)),
        "pull_s": draw(st.floats(0.0, 120.0)),
        "carry_s": draw(st.floats(0.0, 60.0)),
        "pull_to_set_s": draw(st.floats(60.0, 200.0)),
        "dry_ice": {"box_c": box},
        "room": {"air_c": draw(st.floats(5.0, 45.0)), "humidity": draw(st.floats(0.0, 1.0))},
    }
    flavour = {
        "name": "a",
        "mix": draw(st.sampled_from(list(mixes()))),
        "tone": draw(st.sampled_from(["pale", "dark"])),
    }
    light = draw(st.sampled_from(["LED 2000 lx", "tungsten 20000 lx", "tungsten 100000 lx", "none"]))
    shot = {"name": "one", "look": "crisp", "light": light, "dressing_s": draw(st.floats(0.0, 60.0)),
            "heroes": [{"flavour": "a", "spot": "centre"}]}  # fmt: skip
    return parse_plan({"flavours": [flavour], "shots": [shot], **numbers})


def usable(one, at):
    """Seconds in which frames count if the scoop is placed at `at`, and when on set they end."""
    start, end = one.placed(at)
    return max(end - start, 0.0) if math.isfinite(start) else 0.0, end


def begun(plan, *calls):
    """The state after the plan's shot was begun and `calls` were made."""
    shot = plan.shots[0]
    kind, lux = ("LED", "0") if shot.light == "none" else shot.light.split()[:2]
    asked = {"name": "one", "look": "crisp", "lamp": kind, "lux": float(lux), "flavours": ["a"], "spots": ["centre"],
             "dressing_s": float(shot.dressing_s)}  # fmt: skip
    return told((1.0, "shot", asked), *calls).state


@given(days(), st.floats(1.0, 900.0), st.floats(1.0, 240.0))
@FEW
def test_a_scoop_in_the_box_never_loses_time_faster_than_the_clock(plan, waited, longer):
    state = begun(plan, (10.0, "pull", {"scoop": 1, "flavour": "a", "to": "box"}))
    forecaster = Forecaster(plan)
    now, later = 10.0 + waited, 10.0 + waited + longer
    before = forecaster.forecast(state, now).line[0]
    after = forecaster.forecast(state, later).line[0]
    for one in (before, after):
        assert usable(one, later)[0] >= usable(before, now)[0] - longer - SLACK_S
        assert usable(one, later)[1] >= usable(before, now)[1] * (1 - 1e-6) - SLACK_S


@given(days())
@FEW
def test_a_pull_a_second_old_does_not_beat_one_that_has_had_four_minutes_there(plan):
    calls = [(tick, "pull", {"scoop": number, "flavour": "a", "to": "box"}) for number, tick in ((1, 10.0), (2, 249.0))]
    forecast = Forecaster(plan).forecast(begun(plan, *calls), 250.0)
    rested, fresh = (usable(forecast.waiting(number), 250.0) for number in (1, 2))
    assert rested[0] >= fresh[0] - SLACK_S
    assert rested[1] >= fresh[1] * (1 - 1e-6) - SLACK_S
    assert forecast.best[0] == 1 or rested[0] == pytest.approx(fresh[0], abs=2 * SLACK_S)


def brought(*pairs):
    """Calls of pulls and of heroes that came in so many seconds later."""
    return [call for number, (pulled, after) in enumerate(pairs, 1) for call in (
        (pulled, "pull", {"scoop": number, "flavour": "a", "to": "tray"}),
        (pulled + after, "hero_in", {"scoops": [number], "flavours": ["a"], "spots": ["centre"], "shot": "one"}),
    )]  # fmt: skip


def test_pull_and_carry_are_learned_from_the_calls_that_followed_one_another():
    plan = parse_plan({"flavours": [{"name": "a"}], "shots": [{"name": "one", "heroes": [{"flavour": "a"}]}]})
    state = begun(plan, *brought((100.0, 20.0), (1000.0, 25.0), (2000.0, 600.0)))
    assert carry(state, plan).measured == ((120.0, 20.0), (1025.0, 25.0))
    assert carry(state, plan).at(100.0) == 15.0
    assert carry(state, plan).at(500.0) == pytest.approx((15.0**3 * 20.0) ** (1 / 4))
    assert carry(state, plan).at(3000.0) == pytest.approx((15.0**3 * 20.0 * 25.0) ** (1 / 5))
    pulls = [(10.0 + tick, "pull", {"scoop": number, "flavour": "a", "to": "box"})
             for number, tick in enumerate((0.0, 40.0, 85.0, 400.0), 1)]  # fmt: skip
    state = begun(plan, *pulls)
    assert pull(state, plan).measured == ((50.0, 40.0), (95.0, 45.0))
    assert pull(state, plan).at(50.0) == 30.0
    assert pull(state, plan).at(90.0) == pytest.approx((30.0**3 * 40.0) ** (1 / 4))


def test_an_old_plan_has_no_pull_and_no_carry_of_its_own():
    old = {"flavours": [{"name": "a"}], "shots": [{"name": "one", "heroes": [{"flavour": "a"}]}], "pull_to_set": "10 s"}
    plan = parse_plan(old)
    assert (plan.pull_s, plan.carry_s, plan.carried_s) == (30.0, 15.0, 10.0)
