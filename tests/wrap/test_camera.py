"""The camera's clock, zones and spans."""

from datetime import UTC, datetime, timedelta

import pytest

from studiotimer.session.mending import Ledger
from studiotimer.units import UnitError
from studiotimer.wrap.camera import CameraClock, CameraError, Taken, paired, read_offset, read_time, showing
from studiotimer.wrap.recorded import Recorded, WrongClockError
from studiotimer.wrap.zones import RepeatedHourError, ZoneError, clock_span, to_utc, zone_named
from tests.session.shoots import plan
from tests.wrap.shoots import BEGAN, COUPE, session, story

NOON = datetime(2026, 6, 14, 12, 0)


@pytest.mark.parametrize(
    ("text", "local", "offset"),
    [
        ("2026:06:14 12:00:00", NOON, None),
        ("2026-06-14T12:00:00Z", NOON, 0),
        ("2026/06/14 12:00:00.25", NOON + timedelta(milliseconds=250), None),
        ("2026-06-14 12:00:00,5+02:00", NOON + timedelta(milliseconds=500), 7200),
        ("2026-06-14 12:00:00 -0330", NOON, -12600),
    ],
)
def test_times_as_cameras_write_them(text, local, offset):
    assert read_time(text) == Taken(local, None if offset is None else timedelta(seconds=offset))


@pytest.mark.parametrize("text", ["", "0000:00:00 00:00:00", "2026:13:01 00:00:00", "2026:06:14", "noon", "12:00:00"])
def test_what_is_no_time(text):
    assert read_time(text) is None


@pytest.mark.parametrize("text", ["+25:00", "2:00", "+02:75", ""])
def test_what_is_no_offset(text):
    assert read_offset(text) is None


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("-3s", -3),
        ("3", 3),
        ("−3 s", -3),
        ("2 min", 120),
        ("+2min", 120),
        ("-1:02:00", -3720),
        ("0:05.5", 5.5),
        ("1:00", 60),
    ],
)
def test_how_far_a_clock_is_off(text, seconds):
    assert clock_span(text, "camera-offset") == pytest.approx(seconds)


@pytest.mark.parametrize("text", ["", "three", "5 kg", "1:99", "999999999:00:00"])
def test_what_is_no_span(text):
    with pytest.raises((UnitError, ZoneError), match="camera-offset"):
        clock_span(text, "camera-offset")


@pytest.mark.parametrize(("text", "hours"), [("+02:00", 2), ("-3:30", -3.5), ("UTC+2", 2), ("Z", 0), ("Asia/Tokyo", 9)])
def test_zones(text, hours):
    assert NOON.replace(tzinfo=zone_named(text)).utcoffset() == timedelta(hours=hours)


@pytest.mark.parametrize("text", ["", "Mars/Base", "+20:00", "../etc/passwd", "Europe"])
def test_what_is_no_zone(text):
    with pytest.raises(ZoneError, match=r"is not a time zone; write \+02:00 or Europe/Berlin"):
        zone_named(text)


def test_an_hour_that_was_skipped_is_told():
    with pytest.raises(RepeatedHourError, match=r"A: 2026-03-29 02:30:00 did not exist in Europe/Berlin"):
        to_utc(datetime(2026, 3, 29, 2, 30), zone_named("Europe/Berlin"), "A")


def shot():
    return session(
        (0, "opened", {"version": "0", "machine": "m"}),
        (10, "shot", COUPE),
        (20, "pull", {"scoop": 1, "flavour": "vanilla", "to": "tray"}),
        (30, "take_back", {"entry": 3}),
        zone=zone_named("Europe/Berlin"),
    )


def test_pairing_takes_any_clock_however_wrong():
    strange = Taken(datetime(1999, 1, 1, 0, 0, 5))
    clock = CameraClock(anchor=paired(shot(), "A", strange, 2))
    assert clock.second(shot(), Taken(datetime(1999, 1, 1, 0, 1, 0)), "B") == pytest.approx(65.0)


def test_pairing_a_frame_with_an_offset_and_one_without_needs_the_zone():
    anchor = paired(shot(), "A", Taken(NOON, timedelta(hours=2)), 2)
    with pytest.raises(CameraError, match="without an offset"):
        CameraClock(anchor=anchor).second(shot(), Taken(NOON), "B")
    there = CameraClock(zone=zone_named("+02:00"), anchor=anchor)
    assert there.second(shot(), Taken(NOON + timedelta(seconds=1)), "B") == pytest.approx(11.0)


@pytest.mark.parametrize("entry", [3, 4, 99])
def test_pairing_with_what_does_not_count_is_refused(entry):
    with pytest.raises(CameraError, match=f"entry {entry} is not a call that counts"):
        paired(shot(), "A", Taken(NOON), entry)


def test_the_crew_screen():
    """12:00:15 in Berlin on that day is 10:00:15 UTC, 15 s after the session began."""
    taken = Taken(NOON - timedelta(hours=3))
    assert showing(shot(), "A", taken, "12:00:15").at == pytest.approx(15.0)
    assert showing(shot(), "A", taken, "2026-06-14 12:00:15").at == pytest.approx(15.0)


@pytest.mark.parametrize("screen", ["25:00:00", "noon", "12:00", "12:61:00"])
def test_what_the_crew_screen_cannot_say(screen):
    with pytest.raises(CameraError, match="is not a time of day"):
        showing(shot(), "A", Taken(NOON), screen)


def test_a_crew_screen_far_from_the_session():
    with pytest.raises(CameraError, match="does not fall near this session"):
        showing(shot(), "A", Taken(NOON), "23:00:00")


def test_a_crew_screen_without_a_zone_is_asked():
    plain = Recorded("t", plan(), Ledger.of(story((0, "shot", COUPE))))
    with pytest.raises(CameraError, match=r"give the zone the set was in$"):
        showing(plain, "A", Taken(NOON), "12:00:15")


def two_runs(apart):
    """Two runs of 100 s; the second began `apart` seconds by the wall after the first did."""
    first = story((0, "opened", {"version": "0", "machine": "m"}), (100, "shot", COUPE))
    later = BEGAN + timedelta(seconds=apart)
    second = story((0, "opened", {"version": "0", "machine": "m"}), (50, "shot", COUPE), began=later, run=2, first=3)
    return Recorded("t", plan(), Ledger.of([*first, *second]))


def test_seconds_over_two_runs():
    both = two_runs(160)
    assert both.second(BEGAN + timedelta(seconds=30)) == pytest.approx(30)
    assert both.second(BEGAN + timedelta(seconds=130)) == pytest.approx(130)
    assert both.second(BEGAN + timedelta(seconds=170)) == pytest.approx(170)
    assert both.second(BEGAN - timedelta(seconds=5)) == pytest.approx(-5)


def test_a_clock_set_back_between_runs_is_asked():
    with pytest.raises(WrongClockError, match=r"twice.*pair a frame with a call"):
        two_runs(40).second(BEGAN + timedelta(seconds=60))


def test_a_clock_set_during_a_run_is_told():
    moved = story((0, "opened", {"version": "0", "machine": "m"}), (10, "shot", COUPE))
    moved[1] = moved[1].model_copy(update={"at": BEGAN + timedelta(seconds=70)})
    assert Recorded("t", plan(), Ledger.of(moved)).clock_set_s() == pytest.approx(60)
    assert shot().clock_set_s() == 0


def test_no_entries_no_seconds():
    with pytest.raises(WrongClockError, match="no entries"):
        Recorded("t", plan(), Ledger.of([])).second(datetime(2026, 1, 1, tzinfo=UTC))
