"""Simulated days against what is known of their parts: counts, sums, windows, and a day that can be enumerated."""

import copy
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
from studiotimer.thermal.learn import SET_SD
from studiotimer.thermal.scoop import HORIZON_S, changes_of
from studiotimer.trial.answer import TIME, _short_of, given
from studiotimer.trial.days import Draws, _ice_used, _Sim, summed, try_days
from studiotimer.trial.figures import IceStock
from studiotimer.trial.luck import usual_luck
from studiotimer.trial.spans import (
    CRISP,
    DRIP,
    EDGES,
    FOOT,
    NORMALS,
    SLUMP,
    _foot_seen,
    _logs,
    drawn_looks,
    drawn_span,
    looks_of,
)
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


def test_a_day_is_given_up_three_hours_after_its_wrap():
    """By hand: 600 s of locks, then 75 s of walk and 4,000 s of dressing a take; the third begins before 3 h."""
    for takes, got in ((3, True), (4, False)):
        day = setup([replace(scene(takes=takes), dressing_s=4000.0)], good_share=1.0, wrap_s=0.0)
        days = try_days(day, Draws(CERTAIN, 20, 1))
        assert days.got.all() == days.got.any() == got
        assert (days.pulls[0] == 3).all()


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


@pytest.mark.parametrize("form", ["scoop", "pint"])
def test_a_freezer_that_stood_open_is_one_three_degrees_warmer(form):
    """An own rule, as it is told."""
    flavour = CALM["flavours"][0] | {"form": form}
    kept, opened = (
        looks_of(parse_plan(CALM | {"flavours": [flavour], "freezer": at}))[0]["Vanilla"] for at in ("-18 °C", "-15 °C")
    )
    tau = np.array([-0.2, 0.3])
    warm, plain = (one.at(tau, np.full(2, is_warm)) for one, is_warm in ((kept, True), (opened, False)))
    assert warm == pytest.approx(plain)


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


def test_a_foot_is_as_foretold_of_a_scoop_of_the_middle_pace_and_as_much_later_as_one_is_slower():
    """The middle pace is that of a mix as it was learned: there the foot is the one foretold."""
    shot = {**CALM["shots"][0], "stands_on": "steel", "foot_in_frame": True}
    learned = {"premium": {"mean": -0.4, "sd": 0.1}}
    plan = parse_plan(CALM | {"shots": [shot], "learned": learned})
    scoop = scoop_of(plan, plan.shots[0], plan.shots[0].heroes[0], True)
    assert scoop.tau == pytest.approx(-0.4)
    found = foot_of(plan.shots[0], scoop)
    times = looks_of(plan)[0]["Vanilla"].at(np.array([-0.6, -0.4, 0.2]), np.zeros(3, dtype=bool))
    assert times[FOOT] == pytest.approx(found.seconds * np.exp([-0.2, 0.0, 0.6]), rel=0.002)


@pytest.mark.parametrize(("at", "later"), [(0.0, 1800.0), (700.0, 1800.0), (1e9, 0.0)])
def test_lunch_is_had_once_and_when_it_is_time(at, later):
    """By hand: two takes, each 75 s of walk after 600 s of locks and, between them, 180 s of making ready."""
    day = setup([scene(takes=2)], good_share=1.0)
    plain = try_days(day, Draws(CERTAIN, 5, 1)).end_s
    assert plain == pytest.approx(600.0 + 75.0 + 180.0 + 75.0)
    assert try_days(replace(day, lunch=(at, 1800.0)), Draws(CERTAIN, 5, 1)).end_s == pytest.approx(plain + later)


@pytest.mark.parametrize("look", ["crisp", "sheen", "first drip", "run"])
def test_a_pack_has_prep_s_window_too(look):
    values = copy.deepcopy(CALM)
    values["flavours"][0]["form"] = "pint"
    values["shots"][0]["look"] = look
    plan = parse_plan(values)
    times = looks_of(plan)[0]["Vanilla"].at(np.zeros(1), np.array([False]))
    (start,), (end,) = drawn_span(look, times, drawn_looks(np.zeros((NORMALS, 1))))
    (window,) = windows_of([(plan, plan.shots[0], True)])
    assert start == pytest.approx(window.start_s, rel=0.01, abs=0.5)
    assert end == pytest.approx(window.end_s, rel=0.01)


def test_a_slump_past_what_is_looked_ahead_goes_on_as_tau_does():
    far = math.log(HORIZON_S)
    assert _logs(np.array([1000.0, math.inf, math.inf])) == pytest.approx(
        [math.log(1000.0) + off for off in (0.0, 0.6, 1.2)]
    )
    assert _logs(np.array([500.0, 1000.0, math.inf])) == pytest.approx(
        [math.log(500), math.log(1000), math.log(1000) + 0.6]
    )
    assert _logs(np.full(3, math.inf)) == pytest.approx([far - 0.6, far, far + 0.6])


def test_of_flavours_that_run_out_one_after_another_the_first_is_named():
    shots = [scene("one", heroes=(0,), takes=3), scene("two", heroes=(1,), takes=3)]
    day = setup(shots, [stock("first", 1, 1), stock("second", 1, 1)], good_share=1.0)
    days = try_days(day, Draws(CERTAIN, 10, 1))
    assert (days.lacking == 0).all()
    assert days.pulls.tolist() == [[1.0] * 10, [1.0] * 10]
    enough = try_days(replace(day, flavours=(stock("first", 3, 1), stock("second", 1, 1))), Draws(CERTAIN, 10, 1))
    assert (enough.lacking == 1).all()


def test_of_a_tower_only_the_lowest_has_a_foot_to_be_seen():
    for stacked in (False, True):
        shot = {**THREE_FLAVOURS["shots"][0], "stands_on": "steel", "foot_in_frame": True, "stacked": stacked}
        (made,) = parse_plan(THREE_FLAVOURS | {"shots": [shot]}).shots
        assert [_foot_seen(made, hero.flavour) for hero in made.heroes] == [True, not stacked, not stacked]
    (hidden,) = parse_plan(THREE_FLAVOURS | {"shots": [{**shot, "foot_in_frame": False}]}).shots
    assert not _foot_seen(hidden, "Pistachio")


def test_a_scoop_that_is_slower_is_so_much_slower_in_all_it_does():
    """Drawn once, twice and three times as slow, its window begins and ends on a straight line, its foot among it."""
    times = np.repeat(np.array([30.0, 90.0, 400.0, 500.0, 700.0, 150.0, 200.0, 320.0])[:, None], 3, axis=1)
    for look in get_args(Look):
        for foot in (-1.0, 0.0, 0.5):
            drawn = np.array([[1.0, 2.0, 3.0], [0.9] * 3, [1.1] * 3, [1.0] * 3, [foot] * 3])
            for one in drawn_span(look, times, drawn):
                assert one[2] - one[1] == pytest.approx(one[1] - one[0])
                assert one[1] > one[0] > 0.0
                assert one == pytest.approx(one[0] * drawn[0]) or look not in ("crisp", "sheen")


def test_a_foot_is_drawn_between_its_tenth_and_ninetieth_share_by_how_far_they_are_apart():
    """At standard normal -1.28, 0 and 1.28 it is what is foretold at 10, 50 and 90 %, either side by its own factor."""
    times = np.repeat(np.array([30.0, 900.0, 4000.0, 5000.0, 7000.0, 100.0, 200.0, 800.0])[:, None], 5, axis=1)
    normals = np.zeros((NORMALS, 5))
    normals[-1] = stats.norm.ppf([0.1, 0.5, 0.9, 0.5, 0.5])
    normals[-1, 3:] = normals[-1, [0, 2]] / 2
    _, end = drawn_span("crisp", times, drawn_looks(normals))
    assert end == pytest.approx([100.0, 200.0, 800.0, 200.0 / math.sqrt(2.0), 200.0 * 2.0])


def test_a_day_is_the_sum_of_what_is_drawn_for_it():
    """Two takes of a shot: the locks, then the way, the stand and the making ready of the one, the way of the other."""
    draws = Draws(NO_ACCIDENTS, 500, 8)
    day = setup([replace(scene(takes=2, frames=4, locks_s=4000.0), dressing_s=50.0, approval_s=30.0)], good_share=1.0)
    days = try_days(day, draws)
    first, second = (draws.group(0, number, 1, 1.0) for number in range(2))
    wanted = 4000.0 + days.locks_s + 75.0 * (first.walk + second.walk) + 50.0 * (first.dressing + second.dressing)
    wanted += 2 * 3 * 6.0 + 180.0 * first.reset + 30.0
    assert days.end_s == pytest.approx(wanted)
    assert days.locks_s.std() > 100.0


def test_a_dressing_that_frames_follow_ends_the_day_with_the_last_of_them():
    """By hand: ten frames are six seconds apart, from when the dressing is over, of a window that is open till then."""
    day = setup([replace(scene(frames=10, edges=500.0), dressing_s=70.0, change_s=40.0)], good_share=1.0)
    days = try_days(day, Draws(CERTAIN, 3, 1))
    assert days.end_s == pytest.approx(40.0 + 600.0 + 75.0 + 70.0 + 9 * 6.0)


@pytest.mark.parametrize(("hero_takes_s", "between"), [(100.0, 75.0 + 180.0), (900.0, 900.0)])
def test_heroes_follow_one_another_no_sooner_than_past_sessions_had_them(hero_takes_s, between):
    """By hand: three takes, one frame each as it comes; locks, the first way, and twice from one hero in to the next."""
    day = replace(setup([scene(takes=3)], good_share=1.0), hero_takes_s=hero_takes_s)
    assert try_days(day, Draws(CERTAIN, 3, 1)).end_s == pytest.approx(600.0 + 75.0 + 2 * between)


def test_the_set_and_each_mix_have_a_part_of_tau_and_flavours_of_a_mix_share_it():
    """Variances and covariances of independent normal parts: they add where they are shared."""
    flavours = [
        replace(stock(name), mix=mix, tau_mean=mean, tau_sd=sd)
        for name, mix, mean, sd in (("a", "premium", 0.3, 0.2), ("b", "premium", 0.3, 0.2), ("c", "sorbet", -0.1, 0.4))
    ]
    tau = _Sim(setup([scene()], flavours), Draws(CERTAIN, DAYS, 6), lambda: False).tau
    assert (tau[0] == tau[1]).all()
    assert tau.mean(axis=1) == pytest.approx([0.3, 0.3, -0.1], abs=0.02)
    covariance = np.cov(tau)
    assert np.diag(covariance) == pytest.approx([SET_SD**2 + 0.04, SET_SD**2 + 0.04, SET_SD**2 + 0.16], rel=0.05)
    assert covariance[0, 2] == pytest.approx(SET_SD**2, abs=0.005)


def test_a_door_stands_open_at_one_freezer_of_all_alike():
    luck = replace(CERTAIN, rates={**CERTAIN.rates, "freezer_door": 0.6})
    flavours = [replace(stock(str(number)), freezer=freezer) for number, freezer in enumerate((2, 5, 2, 9))]
    warm = _Sim(setup([scene()], flavours), Draws(luck, DAYS, 6), lambda: False).warm
    assert (warm[0] == warm[2]).all()
    assert (warm[[0, 1, 3]].sum(axis=0) <= 1).all()
    assert all(near(warm[place].mean(), 0.2) for place in (0, 1, 3))


def test_a_shot_is_given_up_after_three_times_its_planned_groups_and_six_more():
    """Of a window that one frame of a hundred fits into, so many heroes come; where a few are wanted it is got."""
    for frames, got in ((2 * 3 + 6, True), (2 * 3 + 7, False)):
        day = setup([replace(scene(frames=frames, sheen=1.0, edges=3.0), planned=2)], good_share=1.0)
        days = try_days(day, Draws(CERTAIN, 4, 1))
        assert days.got.tolist() == [got] * 4
        assert (days.pulls[0] == min(frames, 12)).all()


def test_ice_that_goes_quicker_goes_so_much_sooner():
    """By hand, of a day on which it goes at the rate that was drawn: way, then box and set from when they are used."""
    ice = IceStock(6.0, 1.0, 1e-4, -3600.0, None, 2e-4, 600.0)
    end, spread = np.array([7200.0, 7200.0]), np.array([1.0, 1.5])
    used, out = _ice_used(ice, end, spread)
    rate = np.array([1.0, 1.5])
    assert used == pytest.approx(1.0 + rate * (1e-4 * (7200 + 3600) + 2e-4 * (7200 - 600)))
    assert 1.0 + rate * (1e-4 * (out + 3600) + 2e-4 * (out - 600)) == pytest.approx(6.0)
    used, out = _ice_used(replace(ice, box_for_s=9000.0), end, spread)
    assert used == pytest.approx(1.0 + rate * (1e-4 * 9000 + 2e-4 * (7200 - 600)))
    box = replace(ice, set_kg_s=0.0, box_for_s=9000.0)
    assert _ice_used(box, end, spread)[1].tolist() == [math.inf] * 2
    for bought, out in ((1.9, [math.inf, -math.inf]), (1.0, [-math.inf, -math.inf])):
        assert _ice_used(replace(box, bought_kg=bought), end, spread)[1].tolist() == out, "the box alone takes 0.9 kg"
