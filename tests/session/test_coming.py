"""How heroes come in: what tempering takes of frost and window, and which way brings most frames a second."""

import math

import pytest

from studiotimer.session.coming import AGAIN_S, MOVES_S, Coming, best_way, way
from studiotimer.session.countdowns import AHEAD_S, LineForecast
from studiotimer.session.wanted import Take

WALK_S = 15.0


def coming(start, end, temper=0.0, cold=True, dressing=20.0):
    spans = (start,) * len(AHEAD_S), (end,) * len(AHEAD_S)
    return Coming(LineForecast(1, "lemon", 0.0, *spans, -20.0, temper), cold, dressing)


def test_what_the_tray_takes_of_the_frost_it_takes_of_the_end_too():
    frosted = coming(60.0, 200.0, temper=50.0)
    assert frosted.placed(100.0, 0.0) == (60.0, 200.0)
    assert frosted.placed(100.0, 25.0) == (40.0, 180.0)
    assert frosted.placed(100.0, 50.0) == frosted.placed(100.0, 500.0) == (20.0, 160.0)


def test_on_the_tray_it_is_as_it_is_foreseen_there():
    assert coming(60.0, 200.0, temper=50.0, cold=False).placed(100.0, 50.0) == (60.0, 200.0)


def test_scoops_that_open_apart_are_tempered_so_that_they_open_together():
    """One opens at 60 s and ends at 160, the other opens at 160 s: together they have no window unless one waits."""
    take = Take(8, 5.0, 8, True)
    pair = [coming(60.0, 160.0, temper=40.0), coming(160.0, 400.0, temper=140.0)]
    assert way(pair, [], take, 0.0, 0.0, WALK_S).frames == 0
    best = best_way(pair, [], take, 0.0, 0.0, WALK_S)
    assert best.frames == 8
    assert 60.0 < best.begin <= 140.0 + MOVES_S


def test_one_that_has_its_look_by_its_dressing_is_not_waited_for():
    best = best_way([coming(20.0, 200.0)], [], Take(8, 5.0, 8, True), 100.0, 100.0, WALK_S)
    assert (best.begin, best.frames) == (100.0, 8)


def test_frames_a_second_count_what_the_next_heroes_take_where_these_do_not_get_all():
    one = coming(20.0, 59.0)
    whole = way([one], [], Take(8, 5.0, 8, True), 0.0, 0.0, WALK_S)
    part = way([one], [], Take(8, 5.0, 9, True), 0.0, 0.0, WALK_S)
    assert whole.frames == part.frames == 8
    assert whole.rate == pytest.approx(8 / (WALK_S + 20.0 + 40.0))
    assert part.rate == pytest.approx(8 / (WALK_S + 20.0 + 40.0 + AGAIN_S))


def test_a_window_without_an_end_fits_all_frames_that_are_wanted():
    assert Take(8, 5.0, 19, True).fit(math.inf) == 19
    assert way([coming(20.0, math.inf)], [], Take(8, 5.0, 19, True), 0.0, 0.0, WALK_S).frames == 19
