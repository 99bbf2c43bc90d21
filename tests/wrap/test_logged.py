"""What was logged on set and reaches Wrap: frames by the camera's time, notes at theirs."""

import datetime as dt

import pytest

from studiotimer.wrap.camera import CameraError, Taken, read_time
from studiotimer.wrap.export import Asked, export
from studiotimer.wrap.frames import logged
from tests.wrap.shoots import COUPE, picture, session, story, write_session


def frame(tick, name, camera, timed):
    return tick, "frame", {"name": name, "camera": camera, "timed": timed}


def test_frames_logged_at_their_arrival_are_dated_once_the_camera_was_known():
    """The camera is an hour behind; the third frame says so."""
    found = session(
        (0, "shot", COUPE),
        frame(104, "a.jpg", "2026-06-14 11:01:40+02:00", "arrival"),
        frame(123, "b.jpg", "2026-06-14 11:02:00+02:00", "arrival"),
        frame(140, "c.jpg", "2026-06-14 11:02:20+02:00", "camera"),
        frame(150, "other.jpg", "2026-06-14 19:02:20+02:00", "arrival"),
        (160, "frame", {"name": "d.jpg"}),
    )
    assert {one.name: one.at for one in logged(found).frames} == pytest.approx(
        {"a.jpg": 100, "b.jpg": 120, "c.jpg": 140, "other.jpg": 150, "d.jpg": 160}
    )


def test_without_a_confirmed_camera_they_stay_at_their_arrival():
    found = session((0, "shot", COUPE), frame(104, "a.jpg", "2026-06-14 11:01:40", "arrival"))
    assert [one.at for one in logged(found).frames] == [104]


def test_pictures_logged_as_they_came_say_how_their_cameras_clock_stood(tmp_path):
    """The camera names no offset and is days off; a.jpg was logged by its time, which dates the whole card."""
    card = tmp_path / "card"
    for name, taken in (("a.jpg", "2026:06:03 22:08:47"), ("b.jpg", "2026:06:03 22:08:57")):
        picture(card / "DCIM" / name, taken)
    calls = ((0, "shot", COUPE), frame(60, "a.jpg", "2026-06-03 22:05:00", "camera"))
    path = write_session(tmp_path / "day.setlog", story(*calls, frame(100, "a.jpg", "2026-06-03 22:08:47", "camera")))
    assert [one.at for one in export(path, Asked(frames=(card,))).frames] == [100, 110]
    with pytest.raises(CameraError, match="without an offset"):
        export(path, Asked(frames=(card,), camera_ahead_s=0.0))


@pytest.mark.parametrize("offset", [None, dt.timedelta(hours=2), -dt.timedelta(hours=3, minutes=30), dt.timedelta()])
@pytest.mark.parametrize("part", [0, 250_000, 1])
def test_a_cameras_time_comes_back_as_it_was_written(offset, part):
    taken = Taken(dt.datetime(2026, 6, 14, 10, 32, 5, part), offset)
    assert read_time(str(taken)) == taken


def test_notes_reach_the_report_at_their_times(tmp_path):
    calls = ((0, "shot", COUPE), (5, "note", {"text": "light changed"}), (3725, "note", {"text": "<b>fog</b>"}))
    path = write_session(tmp_path / "day.setlog", story(*calls), timezone="Europe/Berlin")
    notes = dict(export(path, Asked()).report.lists)["Notes"]
    assert notes == ("12:00:05, 0:05 in: light changed", "13:02:05, 1:02:05 in: <b>fog</b>")
