"""Cues through days of random but sensible calls: what must hold whatever a crew does."""

import math
import tempfile
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from studiotimer.prep.plan import parse_plan
from studiotimer.session.cues import cues
from studiotimer.session.forecast import Forecaster
from studiotimer.session.live import Choice, new_session
from tests.session.clocks import HandClock

FLAVOURS = ("vanilla", "lemon")
PRESSES, BETWEEN_S, LONGEST_STANDING_S = 30, 5.0, 60.0
"""A crew that makes every cue it is given has none that stands longer, once it is due."""

plans = st.builds(
    lambda box, target, light, takes, dressing, look, air: parse_plan(
        {
            "room": {"air": air, "humidity": "48 %"},
            "flavours": [{"name": "vanilla", "mix": "premium"}, {"name": "lemon", "mix": "sorbet"}],
            "shots": [
                {"name": "pair", "light": light, "takes": takes, "dressing": f"{dressing} s", "look": look, "frames": 4,
                 "heroes": [{"flavour": "vanilla", "spot": "left"}, {"flavour": "lemon", "spot": "right"}]},
                {"name": "one", "light": "LED 2000 lx", "heroes": [{"flavour": "lemon", "spot": "top"}]},
            ],
            "freezer": "-14 °C",
            "dry_ice": {"holding_box": box, **({"target_air": "12 °C"} if target else {})},
        }
    ),
    st.booleans(),
    st.booleans(),
    st.sampled_from(["LED 2000 lx", "tungsten 6000 lx"]),
    st.integers(1, 3),
    st.integers(0, 40),
    st.sampled_from(["crisp", "sheen", "melt", "first drip", "run", "pool"]),
    st.sampled_from(["23 °C", "23 °C", "4 °C", "32 °C"]),
)  # fmt: skip
steps = st.lists(
    st.tuples(
        st.sampled_from(
            ["cue", "cue", "cue", "wait", "drop", "frame", "reject", "look", "hold", "tray", "got it", "ice"]
        ),
        st.floats(1.0, 120.0),
    ),
    min_size=5,
    max_size=40,
)


def _now(session, forecaster):
    forecast = forecaster.forecast(session.state, session.time())
    ending = forecast.window.ended_by if forecast.window else None
    choice = Choice(forecast.best, ending)
    return forecast, choice, cues(session.desk(choice), forecast)


def _answer(session, choice, standing):
    """Press the cue key: what is cued first is made, once it is due; return the cue, None when it makes nothing."""
    first = standing[0]
    if first.kind is None or first.due > session.time():
        return None
    outcome = session.call(first.kind, first.given, choice)
    assert outcome.refused is None, f"the cue “{first.words}” was refused: {outcome.refused}"
    return first


def _do(what, session, choice):
    state = session.state
    heroes, waiting = state.heroes(), state.line()
    if what == "drop" and heroes:
        session.call("out", {"scoops": [heroes[0].number], "why": "dropped"})
    elif what == "frame" and heroes:
        session.call("frame", {})
    elif what == "reject" and waiting:
        session.call("judge", {"scoop": waiting[0].number, "as": "reject"})
    elif what == "look" and heroes:
        session.call("look", {"scoop": heroes[0].number})
    elif what == "hold":
        session.call("hold" if state.hold is None else "resume", {})
    elif what == "tray" and waiting:
        session.call("move", {"scoop": waiting[0].number, "to": "tray"})
    elif what == "ice":
        session.call("top_up", {"mass_kg": 2.0, "form": "pellets", "where": "set"})
    elif what == "got it" and state.shot is not None:
        session.call("got_it", {})


def _check(session, forecast, standing):
    state, now = session.state, session.time()
    on_set = {scoop.number for scoop in state.heroes()}
    waiting = {scoop.number for scoop in state.line()}
    assert [max(cue.due, now) for cue in standing] == sorted(max(cue.due, now) for cue in standing)
    for cue in standing:
        assert not math.isnan(cue.due)
        assert cue.kind != "judge", "nobody's scoop is thrown away by a cue"
        given = cue.given
        assert not {given[key] for key in ("out",) if key in given} - on_set
        assert not {given[key] for key in ("in",) if key in given} - waiting
        if cue.kind == "hero_in":
            assert set(given.get("scoops", ())) <= waiting
        if cue.kind == "out":
            assert set(given.get("scoops", ())) <= on_set
            got = state.shot is not None and state.shot.name in state.got
            leaving = [hero for hero in forecast.heroes if hero.scoop in given.get("scoops", ())]
            if leaving and not got:
                first = min(hero.end.likely for hero in leaving)
                assert cue.due >= forecast.window.end.early, "the shot's window is taken away while it runs"
                assert len(leaving) > 1 or first <= now, "a hero is taken out while its window runs"


def _check_they_end(session, forecaster, clock):
    """Have a crew make whatever is cued: none stands that nobody can end."""
    if session.state.hold is not None:
        session.call("resume", {})
    since: dict[str, float] = {}
    for _ in range(PRESSES):
        clock.advance(BETWEEN_S)
        forecast, choice, standing = _now(session, forecaster)
        _check(session, forecast, standing)
        due = [cue for cue in standing if cue.kind is not None and cue.due <= session.time()]
        since = {name: since.get(name, session.time()) for name in (f"{cue.kind} {cue.words}" for cue in due)}
        for name, first in since.items():
            assert session.time() - first <= LONGEST_STANDING_S, f"“{name}” stands and stands"
        _answer(session, choice, standing)


@settings(max_examples=30, deadline=None, suppress_health_check=list(HealthCheck))
@given(plans, steps)
def test_whatever_a_crew_does_cues_cost_nobody_a_good_scoop(plan, steps):
    clock = HandClock()
    with tempfile.TemporaryDirectory() as folder:
        session = new_session(Path(folder) / "any.setlog", plan, clock)
        forecaster = Forecaster(plan)
        session.call("shot")
        for lock in ("light", "set", "camera"):
            session.call("lock", {"which": lock, "on": True})
        for what, wait in steps:
            clock.advance(wait)
            forecast, choice, standing = _now(session, forecaster)
            _check(session, forecast, standing)
            if what == "cue":
                made = _answer(session, choice, standing)
                if made is not None:
                    _, _, after = _now(session, forecaster)
                    same = [cue for cue in after if (cue.kind, cue.given) == (made.kind, made.given)]
                    assert made.kind == "pull" or not [cue for cue in same if cue.due <= session.time()], (
                        "a cue that was answered still stands"
                    )
            else:
                _do(what, session, choice)
        _check_they_end(session, forecaster, clock)
        session.close()
