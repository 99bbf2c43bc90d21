"""Simulated days against what is known of their parts: counts, sums, windows, and a day that can be enumerated."""

import itertools
import math
from dataclasses import replace
from typing import get_args

import numpy as np
import pytest
from scipy import stats

from studiotimer.errors import StoppedError
from studiotimer.prep.looks import Look
from studiotimer.prep.plan import parse_plan
from studiotimer.prep.standing import foot_of
from studiotimer.prep.windows import edge_changes_of, scoop_of, windows_of
from studiotimer.thermal.scoop import changes_of
from studiotimer.trial.answer import TIME, _short_of, given
from studiotimer.trial.days import Draws, summed, try_days
from studiotimer.trial.figures import IceStock
from studiotimer.trial.luck import usual_luck
from studiotimer.trial.spans import CRISP, DRIP, EDGES, NORMALS, SLUMP, drawn_looks, drawn_span, looks_of
from tests.prep.plans import CALM, THREE_FLAVOURS
from tests.trial.setups import CERTAIN, NO_ACCIDENTS, scene, setup, stock

DAYS = 20_000
SURE = 4.0
"""Standard errors that a share of simulated days may be off."""


def near(share, wanted, days=DAYS):
    return abs(share - wanted) <= SURE * math.sqrt(max(wanted * (1 - wanted), 1e-6) / days)


@pytest.mark.parametrize(("takes", "share"), [(1, 1 / 3), (4, 1 / 3), (6, 0.7), (3, 1.0)])
def test_pulls_until_every_hero_is_good_are_negative_binomial(takes, share):
    """Against scipy.stats.nbinom, over the whole distribution (bound: Massart 1990, memory)."""
    days = try_days(setup([scene(takes=takes)], good_share=share), Draws(CERTAIN, DAYS, 5))
    bad = days.pulls[0] - takes
    at = np.arange(int(bad.max()) + 2)
    seen = np.searchsorted(np.sort(bad), at, side="right") / DAYS
    assert np.abs(seen - stats.nbinom.cdf(at, takes, share)).max() < math.sqrt(math.log(2 / 1e-5) / (2 * DAYS))
    assert days.got.all()


def test_heroes_of_a_group_and_of_several_shots_count_together():
    shots = [scene("one", heroes=(0, 0), takes=2), scene("two", heroes=(0,))]
    pulls = try_days(setup(shots), Draws(CERTAIN, DAYS, 6)).pulls[0]
    assert pulls.mean() == pytest.approx(5 / 0.5, abs=SURE * math.sqrt(5 * 0.5 / 0.25 / DAYS))


@pytest.mark.parametrize("count", [1, 3, 12])
def test_the_sum_of_independent_spans_has_its_mean_and_variance(count):
    """Mean and variance of one span from scipy.stats.lognorm; of independent ones, they add."""
    one = stats.lognorm(0.35, scale=30.0)
    draws = summed(30.0, 0.35, np.full(400_000, float(count)), np.random.default_rng(2).standard_normal(400_000))
    assert draws.mean() == pytest.approx(count * one.mean(), rel=0.003)
    assert draws.var() == pytest.approx(count * one.var(), rel=0.02)
    if count == 1:
        assert stats.kstest(draws[:DAYS], one.cdf).pvalue > 1e-4


def test_a_day_of_independent_spans_has_their_mean_and_variance():
    """Two shots, each its locks, its walk and its set made ready: no span waits for another."""
    luck = NO_ACCIDENTS
    spread = {what: luck.people[what][1] for what in ("lock_spread", "carry_s", "reset_spread")}
    days = try_days(
        setup([scene("one", locks_s=3000.0), scene("two", locks_s=3000.0)], good_share=1.0), Draws(luck, DAYS, 3)
    )
    locks, walk, reset = (
        stats.lognorm(spread[what], scale=scale)
        for what, scale in (("lock_spread", 3000.0), ("carry_s", 75.0), ("reset_spread", 180.0))
    )
    mean = 2 * locks.mean() + 2 * walk.mean() + reset.mean()
    variance = 2 * locks.var() + 2 * walk.var() + reset.var()
    assert days.end_s.mean() == pytest.approx(mean, abs=SURE * math.sqrt(variance / DAYS))
    assert days.end_s.var() == pytest.approx(variance, rel=0.08)


@pytest.mark.parametrize(("locks_s", "until_set"), [(600.0, 600.0), (0.0, 30.0 + 60.0)])
def test_a_scoop_that_was_pulled_ahead_has_only_its_way_before_it(locks_s, until_set):
    """Pulled in 30 s and looked over for 60 while the set is locked, or after it where there is nothing to lock."""
    day = replace(setup([scene(locks_s=locks_s)], good_share=1.0), carry_s=15.0, looked_over_s=60.0)
    assert try_days(day, Draws(CERTAIN, 5, 3)).end_s == pytest.approx(until_set + 15.0)


def test_a_day_of_two_shots_enumerated_by_hand():
    """Three scoops in the tub, one in two good; each lock late on one day of two; one lateness is borne, two are not."""
    luck = replace(CERTAIN, rates={**CERTAIN.rates, "late_lock": 0.5})
    shots = [scene("one", locks_s=600.0, frames=3), scene("two", locks_s=900.0, frames=2)]
    a_shot = {"one": 600 + 75 + 2 * 6, "two": 900 + 75 + 1 * 6}
    in_time = a_shot["one"] + 180 + a_shot["two"]
    day = setup(shots, [stock(tubs=1, holds=3)], wrap_s=in_time + 300.0)
    whole, ended, ends = 0.0, {"pulls of vanilla": 0.0, "lock waits": 0.0}, set()
    for pulls in itertools.product((True, False), repeat=3):
        for late in itertools.product((0.0, 1.0), repeat=2):
            end = in_time + late[0] * 200.0 + late[1] * 300.0
            if sum(pulls) < 2:
                ended["pulls of vanilla"] += 1 / 32
                continue
            ends.add(end)
            if end > day.wrap_s:
                ended["lock waits"] += 1 / 32
            else:
                whole += 1 / 32
    days = try_days(day, Draws(luck, DAYS, 4))
    got = given(day, days)
    assert (whole, ended) == (3 / 8, {"pulls of vanilla": 1 / 2, "lock waits": 1 / 8})
    assert near(got.mean(), whole)
    short = _short_of(day, days, got)
    assert set(short) == set(ended)
    assert all(near(short[what], share) for what, share in ended.items())
    assert set(np.unique(days.end_s[days.got])) == ends


def test_pulls_that_are_not_there_are_waited_for():
    """Locked at once, the first group waits for its pulls, 30 s each, and then walks."""
    days = try_days(setup([scene(locks_s=0.0)]), Draws(CERTAIN, 500, 1))
    assert days.end_s == pytest.approx(30.0 * days.pulls[0] + 75.0)


def test_what_does_not_fit_goes_on_with_the_next_group():
    """Gone after a minute: ten frames from 0 s on, six seconds apart and one more; 25 frames take three groups."""
    luck = replace(CERTAIN, rates=CERTAIN.rates)
    day = setup([replace(scene(frames=25, sheen=0.0, edges=54.0), planned=3)], good_share=1.0)
    days = try_days(day, Draws(luck, 2000, 9))
    assert days.got.all()
    assert set(np.unique(days.pulls[0])) <= {2.0, 3.0, 4.0}
    assert np.median(days.pulls[0]) == 3


def test_a_look_that_is_gone_before_the_dressing_is_never_got():
    day = setup([replace(scene(sheen=1.0, edges=2.0), dressing_s=60.0)], good_share=1.0)
    days = try_days(day, Draws(CERTAIN, 50, 1))
    assert not given(day, days).any()
    assert _short_of(day, days, given(day, days)) == {TIME: 1.0}


def test_dry_ice_is_used_as_it_is_reckoned_and_ends_the_day_when_it_is_gone():
    """By hand: 1 kg lost on the way, a box that loses 0.6 kg/h from an hour before, 1.2 kg/h on set from 10 min on."""
    ice = IceStock(3.0, 1.0, 0.6 / 3600, -3600.0, None, 1.2 / 3600, 600.0)
    day = setup([scene(locks_s=3600.0 - 75.0)], good_share=1.0, ice=ice)
    days = try_days(day, Draws(CERTAIN, 10, 1))
    assert days.ice_kg == pytest.approx(1.0 + 0.6 * 2 + 1.2 * 50 / 60)
    assert not given(day, days).any()
    assert given(day, try_days(replace(day, ice=replace(ice, bought_kg=3.21)), Draws(CERTAIN, 10, 1))).all()
    whole_day = replace(ice, box_for_s=7200.0 * 2)
    assert try_days(replace(day, ice=whole_day), Draws(CERTAIN, 10, 1)).ice_kg == pytest.approx(1.0 + 0.6 * 4 + 1.0)


def test_dropped_heroes_cost_a_scoop_and_a_walk():
    luck = replace(CERTAIN, rates={**CERTAIN.rates, "dropped": 0.3})
    days = try_days(setup([scene()], good_share=1.0), Draws(luck, DAYS, 8))
    dropped = days.pulls[0] == 2
    assert near(dropped.mean(), 0.3)
    assert days.end_s[dropped] == pytest.approx(600 + 150)
    assert days.end_s[~dropped] == pytest.approx(600 + 75)


def test_the_same_seed_gives_the_same_days_and_another_does_not():
    day = setup([scene(takes=3)])
    one, same, other = (try_days(day, Draws(usual_luck(), 200, seed)) for seed in (1, 1, 2))
    assert (one.end_s == same.end_s).all()
    assert (one.pulls == same.pulls).all()
    assert (one.end_s != other.end_s).any()


def test_it_can_be_stopped():
    with pytest.raises(StoppedError):
        try_days(setup([scene()]), Draws(CERTAIN, 10, 1), lambda: True)


@pytest.mark.parametrize("tau", [-0.7, -0.1, 0.0, 0.33, 0.9])
def test_looks_are_those_of_the_model_at_any_tau(tau):
    """Read between the taus that were reckoned: edges within 1 %, the slump within 5 %."""
    plan = parse_plan(THREE_FLAVOURS)
    for shot, looks in zip(plan.shots, looks_of(plan), strict=True):
        for hero in shot.heroes:
            scoop = replace(scoop_of(plan, shot, hero, True), tau=tau)
            times = looks[hero.flavour].at(np.array([tau]), np.array([False]))[:, 0]
            crisp, sheen, edges, drip, slump = times[: SLUMP + 1]
            model = changes_of([scoop])[0] if shot.look == "melt" else edge_changes_of(scoop)
            assert crisp == pytest.approx(model.crisp_s, rel=0.01, abs=1.5)
            assert sheen == pytest.approx(model.sheen_s, rel=0.01, abs=1.5)
            assert edges == pytest.approx(model.edges_s, rel=0.01)
            if shot.look == "melt":
                assert drip == pytest.approx(model.first_drip_s, rel=0.05)
                assert slump == pytest.approx(model.slump_s, rel=0.05)


def test_without_luck_the_window_is_the_one_that_prep_shows():
    plan = parse_plan(THREE_FLAVOURS)
    for shot, looks in zip(plan.shots, looks_of(plan), strict=True):
        (window,) = windows_of([(plan, shot, True)])
        spans = [
            drawn_span(
                shot.look, looks[hero.flavour].at(np.zeros(1), np.array([False])), drawn_looks(np.zeros((NORMALS, 1)))
            )
            for hero in shot.heroes
        ]
        assert max(start[0] for start, _ in spans) == pytest.approx(window.start_s, rel=0.01, abs=0.5)
        assert min(end[0] for _, end in spans) == pytest.approx(window.end_s, rel=0.03)


def test_a_freezer_that_stood_open_brings_every_look_sooner():
    plan = parse_plan(THREE_FLAVOURS)
    times = looks_of(plan)[0]["Pistachio"].at(np.zeros(2), np.array([False, True]))
    assert (times[[CRISP, EDGES, DRIP], 1] <= times[[CRISP, EDGES, DRIP], 0]).all()
    assert times[EDGES, 1] < times[EDGES, 0]


@pytest.mark.parametrize("look", get_args(Look))
def test_every_look_that_a_shot_can_want_has_preps_window(look):
    shot = {**THREE_FLAVOURS["shots"][2], "look": look}
    plan = parse_plan(THREE_FLAVOURS | {"shots": [shot]})
    times = looks_of(plan)[0]["Lemon"].at(np.zeros(1), np.array([False]))
    (start,), (end,) = drawn_span(look, times, drawn_looks(np.zeros((NORMALS, 1))))
    (window,) = windows_of([(plan, plan.shots[0], True)])
    assert start == pytest.approx(window.start_s, rel=0.01, abs=0.5)
    assert end == pytest.approx(window.end_s, rel=0.01)


def test_a_foot_in_the_frame_ends_the_look_with_its_own_band():
    """On steel, which makes a foot long before the edges are gone: drawn at 10, 50 and 90 % as foretold."""
    shot = {**CALM["shots"][0], "stands_on": "steel", "foot_in_frame": True}
    plan = parse_plan(CALM | {"shots": [shot]})
    times = looks_of(plan)[0]["Vanilla"].at(np.zeros(3), np.zeros(3, dtype=bool))
    normals = np.zeros((NORMALS, 3))
    normals[-1] = stats.norm.ppf([0.1, 0.5, 0.9])
    found = foot_of(plan.shots[0], scoop_of(plan, plan.shots[0], plan.shots[0].heroes[0], True))
    _, end = drawn_span("crisp", times, drawn_looks(normals))
    (window,) = windows_of([(plan, plan.shots[0], True)])
    assert end == pytest.approx(np.minimum([found.sooner, found.seconds, found.later], times[EDGES]), rel=0.001)
    assert end[1] == pytest.approx(window.end_s, rel=0.001)
    assert end[1] < times[EDGES, 1]
