"""Slumps read off at fixed paces, against bodies followed at the paces themselves."""

from statistics import NormalDist

import numpy as np
import pytest

from studiotimer.prep.plan import parse_plan
from studiotimer.session import lives, slumps
from studiotimer.session.climate import ICE_STEP_S, Climate
from studiotimer.session.forecast import Forecaster
from studiotimer.session.live import new_session
from studiotimer.session.lives import Lives
from studiotimer.session.slumps import Slumps, standing_in
from studiotimer.thermal.body import Case, slump_times
from tests.session.clocks import HandClock

MIXES = ("superpremium", "regular", "sorbet")


@pytest.fixture
def shoot(tmp_path):
    """Return a session and its clock: three kinds of ice cream on set, soon, from the box and by the tray."""
    heroes = [{"flavour": mix, "spot": f"{mix} {way}"} for way in ("soon", "box", "tray") for mix in MIXES]
    clock = HandClock()
    session = new_session(
        tmp_path / "a.setlog",
        parse_plan(
            {"flavours": [{"name": mix, "mix": mix} for mix in MIXES], "shots": [{"name": "a", "heroes": heroes}]}
        ),
        clock,
    )

    def call(wait, kind, **given):
        clock.advance(wait)
        outcome = session.call(kind, given)
        assert outcome.refused is None, outcome.refused

    call(1, "shot")
    for number in range(9, 3, -1):
        call(150, "pull", scoop=number, flavour=MIXES[number % 3 - 1], to="box")
    for number in (7, 8, 9):
        call(20, "move", scoop=number, to="tray")
    for number in (1, 2, 3):
        call(20, "pull", scoop=number, flavour=MIXES[number % 3 - 1], to="tray")
    for number in range(1, 10):
        call(8, "hero_in", scoops=[number])
    yield session, clock, call
    session.close()


@pytest.fixture
def asked(monkeypatch):
    """How many bodies were followed, each time that some were."""
    found = []
    monkeypatch.setattr(
        slumps, "slump_times", lambda cases, *rest: found.append(len(cases)) or slump_times(cases, *rest)
    )
    return found


def taus(mean, spread):
    return dict.fromkeys(MIXES, NormalDist(mean, spread))


def lives_of(session, at, believed):
    """Return lives and where each scoop stands, for that belief."""
    climate, lives = Climate(session.state, session.plan), Lives(session.plan)
    followed = lives.follow(session.state.active(), climate, at, believed)
    return climate, lives, followed, standing_in(followed, climate, at)


def on_set_s(session, found):
    return np.array([found[number] - session.state.scoops[number].since for number in found])


@pytest.mark.parametrize(("mean", "spread"), [(0.0, 0.37), (0.2, 0.2), (-0.3, 0.25), (0.55, 0.15), (-1.1, 0.2)])
def test_as_if_followed_at_the_paces_themselves(shoot, mean, spread):
    session, clock, _ = shoot
    clock.advance(30)
    at = session.time()
    climate, lives, followed, there = lives_of(session, at, taus(mean, spread))
    exact = {}
    for number, bodies in lives.bodies(followed).items():
        life = followed[number]
        cases = [Case(life.product.mix, life.product.build.body, state, (), there[number]) for state in bodies.states]
        exact[number] = at + slump_times(cases) * life.slowing
    found = Slumps().of(followed, Lives(session.plan), climate, at)
    ahead = np.array([number for number, times in exact.items() if np.all((times > at) & np.isfinite(times))])
    assert ahead.size >= 7
    got, wanted = (on_set_s(session, {one: times[one] for one in ahead}) for times in (found, exact))
    assert got == pytest.approx(wanted, rel=0.01)


def test_a_reading_moves_them_as_if_all_were_worked_out_again(shoot):
    session, _, call = shoot
    kept, belief = Slumps(), taus(0.1, 0.3)
    for warmer in (22.4, 22.9, 23.5, 22.6):
        climate, lives, followed, _ = lives_of(session, session.time(), belief)
        kept.of(followed, lives, climate, session.time())
        call(20, "reading", what="room_c", value=warmer)
    climate, lives, followed, _ = lives_of(session, session.time(), belief)
    moved, anew = (one.of(followed, lives, climate, session.time()) for one in (kept, Slumps()))
    assert any(np.any(moved[number] != anew[number]) for number in anew)
    assert on_set_s(session, moved) == pytest.approx(on_set_s(session, anew), rel=0.005)


def test_a_look_has_no_body_followed_and_a_reading_a_third_of_them(shoot, asked):
    session, _, call = shoot
    forecaster = Forecaster(session.plan)
    forecaster.forecast(session.state, session.time())
    asked.clear()
    before = forecaster.forecast(session.state, session.time())
    rounding = min(before.heroes, key=lambda one: one.changes.edges.likely)
    call(rounding.changes.edges.likely + 30 - session.time(), "look", scoop=rounding.scoop, seen="edges")
    after = forecaster.forecast(session.state, session.time())
    assert after.pace.factor > 1.02
    assert asked == []
    assert all(
        one.changes.slump.likely > 1.01 * two.changes.slump.likely
        for one, two in zip(after.heroes, before.heroes, strict=True)
    )
    call(30, "reading", what="room_c", value=22.5)
    forecaster.forecast(session.state, session.time())
    assert asked == [9]
    call(30, "reading", what="room_c", value=35.0)
    forecaster.forecast(session.state, session.time())
    assert asked == [9, 9, 27]


def test_with_dry_ice_at_the_set_no_body_is_followed_until_it_drifts_a_step_on(shoot, asked):
    session, clock, call = shoot
    forecaster = Forecaster(session.plan)
    call(10, "top_up", where="set", mass_kg=2.0)
    clock.advance(ICE_STEP_S - session.time() % ICE_STEP_S + 1)
    before = forecaster.forecast(session.state, session.time())
    asked.clear()
    for _ in range(3):
        clock.advance(30)
        forecaster.forecast(session.state, session.time())
    assert asked == []
    clock.advance(30)
    after = forecaster.forecast(session.state, session.time())
    assert asked != []
    for one, two in zip(before.heroes, after.heroes, strict=True):
        assert two.changes.slump.likely == pytest.approx(one.changes.slump.likely, rel=0.01)


def test_what_is_read_at_that_very_moment_holds_from_then_on(shoot):
    session, _, call = shoot
    call(10, "top_up", where="set", mass_kg=2.0)
    cold = Forecaster(session.plan).forecast(session.state, session.time() + 60)
    call(60, "reading", what="room_c", value=35.0)
    warm = Forecaster(session.plan).forecast(session.state, session.time())
    for one, two in zip(cold.heroes, warm.heroes, strict=True):
        assert two.changes.slump.likely < one.changes.slump.likely - 30


def test_all_that_have_slumped_are_worked_out_at_once(shoot, asked):
    session, clock, _ = shoot
    clock.advance(3 * 3600)
    Forecaster(session.plan).forecast(session.state, session.time())
    assert asked == [27, 27]


def test_what_slumped_on_its_way_is_told_so(shoot):
    session, clock, _ = shoot
    clock.advance(3 * 3600)
    climate, lives, followed, _ = lives_of(session, session.time(), taus(0.0, 0.37))
    found = Slumps().of(followed, lives, climate, session.time())
    assert all(np.all(times <= session.time()) and np.all(np.diff(times) >= 0) for times in found.values())


def test_scoops_that_came_one_after_another_are_followed_together_from_then_on(shoot, monkeypatch):
    session, clock, call = shoot
    call(10, "top_up", where="set", mass_kg=2.0)
    for number in range(10, 16):
        call(ICE_STEP_S, "pull", scoop=number, flavour="regular", to="box")
        call(5, "hero_in", scoops=[number])
    clock.advance(4 * ICE_STEP_S)
    followed = []
    after = lives._after
    monkeypatch.setattr(lives, "_after", lambda *given: followed.append(1) or after(*given))
    scoops = [session.state.scoops[number] for number in range(10, 16)]
    found = Lives(session.plan).follow(scoops, Climate(session.state, session.plan), session.time(), taus(0.0, 0.3))
    steps = {stretch.began for life in found.values() for stretch in life.done if stretch.on_set}
    off_set = sum(not stretch.on_set for stretch in found[10].done)
    assert len(followed) <= len(steps) + off_set * len(scoops)
