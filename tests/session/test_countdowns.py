"""What stands in a forecast, read at a moment: bands, windows by when a scoop is placed, and what of it still holds."""

import math
from dataclasses import replace

import pytest

from studiotimer.session.countdowns import AHEAD_S, Band, ClimateNow, Forecast, LineForecast, Pace
from studiotimer.session.forecast import Forecaster
from tests.session.shoots import TRIO, plan, told

CLIMATE = ClimateNow(22.0, 0.45, 22.0, -15.0, 0.0, 0.0, None, 0.5, None, None)


def waiting(start, end, at=100.0):
    return LineForecast(1, "vanilla", at, tuple(start), tuple(end), -10.0)


def test_a_band_is_read_from_times_in_any_order_and_moved_whole():
    band = Band.of([30, 10.0, 20])
    assert (band.early, band.likely, band.late) == (10.0, 20.0, 30.0)
    assert band + 5.0 == Band(15.0, 25.0, 35.0)


def test_of_two_bands_the_earlier_and_the_later_are_told_point_by_point():
    one, other = Band(10.0, 25.0, 30.0), Band(12.0, 20.0, 40.0)
    assert one.earlier_of(other) == Band(10.0, 20.0, 30.0)
    assert one.later_of(other) == Band(12.0, 25.0, 40.0)


def test_between_the_moments_of_placing_a_window_is_on_a_straight_line():
    one = waiting([2.0 * s for s in AHEAD_S], [300.0 - s for s in AHEAD_S])
    for ahead in (0.0, 1.0, AHEAD_S[1], (AHEAD_S[1] + AHEAD_S[2]) / 2, AHEAD_S[-1]):
        assert one.placed(100.0 + ahead) == pytest.approx((2.0 * ahead, 300.0 - ahead))


def test_placed_before_the_forecast_or_after_its_end_is_placed_at_its_edge():
    one = waiting([2.0 * s for s in AHEAD_S], [300.0] * len(AHEAD_S))
    assert one.placed(40.0) == (0.0, 300.0)
    assert one.placed(100.0 + AHEAD_S[-1] + 900.0) == (2.0 * AHEAD_S[-1], 300.0)


def test_what_does_not_come_on_either_side_of_a_moment_does_not_come():
    late = [math.inf] + [60.0] * (len(AHEAD_S) - 1)
    soon = [60.0, 60.0] + [math.inf] * (len(AHEAD_S) - 2)
    assert waiting(late, soon).placed(100.0 + AHEAD_S[1] / 2)[0] == math.inf
    assert waiting(late, soon).placed(100.0 + AHEAD_S[1]) == (60.0, 60.0)
    assert waiting(late, soon).placed(100.0 + AHEAD_S[1] + 0.5)[1] == math.inf


def test_a_pace_leaps_by_the_one_look_that_came():
    assert Pace(1.2, 3).leap_since(Pace(1.0, 2)) == pytest.approx(1.2)
    assert Pace(1.2, 3).leap_since(Pace(1.5, 2)) == pytest.approx(0.8)
    for seen in (1, 3, 4):
        assert Pace(1.2, 3).leap_since(Pace(1.0, seen)) == 1.0


def test_untold_a_set_is_as_the_model_has_it_and_nothing_was_seen():
    assert Forecast(0.0, CLIMATE).pace == Pace(1.0, 0)
    assert waiting([0.0], [0.0]).temper_s == 0.0


class TestWhatStillHolds:
    """Of a forecast that was worked out before the newest calls."""

    calls = (
        (1, "shot", TRIO),
        (10, "pull", {"scoop": 1, "flavour": "vanilla", "to": "box"}),
        (20, "pull", {"scoop": 2, "flavour": "cherry", "to": "box"}),
        (30, "hero_in", {"scoops": [1], "flavours": ["vanilla"], "spots": ["left"], "shot": "trio"}),
    )

    def before(self):
        state = told(*self.calls).state
        return Forecaster(plan()).forecast(state, 40.0)

    def after(self, *more):
        return self.before().standing(told(*self.calls, *more).state)

    def test_where_nobody_moved_it_is_the_same(self):
        before = self.before()
        assert ([one.scoop for one in before.heroes], before.best) == ([1], [2])
        assert before.window is not None
        assert before.standing(told(*self.calls, (50, "note", {"text": "x"})).state) is before

    def test_a_hero_that_is_out_is_not_told_of_any_more_nor_is_their_window(self):
        after = self.after((50, "out", {"scoops": [1], "why": "gone"}))
        assert (after.heroes, after.window, after.best) == ((), None, [2])
        assert after.on_set(1) is None

    def test_a_scoop_that_came_in_waits_no_more_and_the_window_is_of_the_heroes_before(self):
        after = self.after(
            (50, "hero_in", {"scoops": [2], "flavours": ["cherry"], "spots": ["middle"], "shot": "trio"})
        )
        assert ([one.scoop for one in after.heroes], after.best, after.window) == ([1], [], None)
        assert after.waiting(2) is None

    def test_a_hero_that_was_out_and_came_back_is_another(self):
        moved = (50, "out", {"scoops": [1], "why": "gone"})
        other = replace(self.before().heroes[0], since=20.0)
        before = Forecast(40.0, CLIMATE, (other,), (), self.before().window)
        after = before.standing(told(*self.calls).state)
        assert (after.heroes, after.window) == ((), None)
        assert self.after(moved).heroes == ()
