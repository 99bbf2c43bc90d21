"""Pictures that come during a shoot: whose time they have, by cameras whose clocks are anything."""

import datetime as dt

import pytest

from studiotimer.wrap.camera import Taken
from studiotimer.wrap.dating import HELD_S, Dating, off_words, question
from studiotimer.wrap.watching import Came

BEGAN = dt.datetime(2026, 6, 14, 8, 0, tzinfo=dt.UTC)
TWO = dt.timedelta(hours=2)


def taken_at(second, ahead_s=0.0, offset=TWO):
    """Return what a camera that is `ahead_s` ahead writes at `second` of the session; some write whole seconds only."""
    local = (BEGAN + dt.timedelta(seconds=second + ahead_s) + TWO).replace(tzinfo=None)
    return Taken(local, offset)


def sent(dating, seconds, ahead_s=0.0, sending_s=2.0):
    """Let pictures come one by one, each a while after it was taken; return how each was dated."""
    dated = []
    for second in seconds:
        seen = second + sending_s
        dated += dating.take([Came(f"A_{second:04}.jpg", taken_at(second, ahead_s), seen)], seen)
        dated += dating.take([], seen + HELD_S)
    return dated


def test_until_its_offset_is_confirmed_a_frame_has_its_arrivals_time():
    dating = Dating(BEGAN)
    dated = sent(dating, [100, 130, 170], ahead_s=-3603.0)
    assert [(one.at, one.by) for one in dated] == [(102, "arrival"), (132, "arrival"), (172, "arrival")]
    assert dating.ahead_s is None
    assert question(dating.proposed_s, dating.says) == "Camera is 1:00:05 behind, use that?"
    assert dating.confirm(dating.proposed_s) == []
    (frame,) = sent(dating, [200], ahead_s=-3603.0)
    assert (frame.by, frame.at) == ("camera", pytest.approx(202.0))


def test_two_do_not_agree_yet():
    dating = Dating(BEGAN)
    sent(dating, [100, 130], ahead_s=-3603.0)
    assert dating.proposed_s is None


def test_a_camera_that_is_right_is_not_asked_about():
    dating = Dating(BEGAN)
    dated = sent(dating, [100, 130, 170, 200])
    assert [one.by for one in dated] == ["arrival", "arrival", "camera", "camera"]
    assert [one.at for one in dated] == [102, 132, 170, 200]
    assert (dating.ahead_s, dating.proposed_s) == (0.0, None)


@pytest.mark.parametrize(
    ("ahead_s", "words"),
    [
        (-7 * 365.25 * 86_400, "Camera is about 7 years behind (it says 14 Jun 2019, 16:02), use that?"),
        (5 * 86_400.0, "Camera is 5 days ahead (it says 19 Jun 2026, 10:02), use that?"),
        (-3600.0, "Camera is 1:00:02 behind, use that?"),
        (90.0, "Camera is 1:28 ahead, use that?"),
    ],
)
def test_a_clock_that_is_off_is_said_in_plain_words(ahead_s, words):
    dating = Dating(BEGAN)
    dated = sent(dating, [100, 130, 170], ahead_s=ahead_s)
    assert {one.by for one in dated} == {"arrival"}
    assert question(dating.proposed_s, dating.says) == words


def test_the_pictures_of_a_copied_card_never_have_their_arrivals_time():
    """Forty pictures, taken half a minute apart, arrive ten a second."""
    dating = Dating(BEGAN)
    dated = []
    for number in range(40):
        seen = 3000.0 + number / 10
        dated += dating.take([Came(f"C_{number:04}.jpg", taken_at(30 * number, -3600.0), seen)], seen)
    dated += dating.take([], 3010.0)
    assert dated == []
    assert len(dating.copied) == 40
    dated = dating.confirm(-3600.0)
    assert {one.by for one in dated} == {"camera"}
    assert [one.at for one in dated] == pytest.approx([30 * number for number in range(40)])


def test_a_burst_from_the_camera_is_not_a_card():
    dating = Dating(BEGAN)
    came = [Came(f"B_{n:04}.jpg", taken_at(100 + n / 20, 50.0), 101.0 + n / 8) for n in range(40)]
    assert len([*dating.take(came, 106.0), *dating.take([], 110.0)]) == 40
    assert dating.copied == []
    assert dating.proposed_s is not None


def test_a_frame_that_would_be_in_the_future_has_its_arrivals_time_and_is_asked_about_anew():
    dating = Dating(BEGAN, ahead_s=0.0)
    dated = sent(dating, [100, 130, 170], ahead_s=600.0)
    assert {(one.by, one.at - 2) for one in dated} == {("arrival", 100), ("arrival", 130), ("arrival", 170)}
    assert question(dating.proposed_s, dating.says) == "Camera is 9:58 ahead, use that?"


def test_before_the_session_is_told_not_clamped():
    dating = Dating(BEGAN, ahead_s=-3600.0)
    (frame,) = dating.take([Came("A.jpg", taken_at(-600.0, -3600.0), 50.0)], 50.0)
    assert frame.at == pytest.approx(-600.0)


def test_a_zone_that_is_not_told_is_part_of_the_offset():
    """A camera without zone, set to another one than this machine: hours off, and no zone is asked for."""
    dating = Dating(BEGAN)
    came = [Came(f"{n}.jpg", taken_at(100 + 30 * n, 0.0, None), 102.0 + 30 * n) for n in range(3)]
    for one in came:
        dating.take([one], one.seen)
        dating.take([], one.seen + HELD_S)
    here = taken_at(0.0, 0.0, None).local.astimezone(dt.UTC)
    off_s = (here - BEGAN).total_seconds()
    assert dating.proposed_s == pytest.approx(off_s - 2.0) if off_s else dating.ahead_s == 0.0


def test_a_time_that_no_clock_can_be_at_is_named_and_loses_no_other():
    dating = Dating(BEGAN)
    bad = Came("bad.jpg", Taken(dt.datetime(1, 1, 1), dt.timedelta(hours=14)), 100.0)
    good = Came("good.jpg", taken_at(98.0), 100.0)
    assert [one.name for one in dating.take([bad, good], 102.0)] == ["good.jpg"]
    assert dating.undated == ["bad.jpg"]


def test_spans_in_words():
    assert [off_words(one) for one in (0.2, -1.0, 61.0, -172_800.0)] == [
        "right",
        "0:01 behind",
        "1:01 ahead",
        "2 days behind",
    ]
