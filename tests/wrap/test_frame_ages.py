"""Ages of frames against ages worked out by hand, over a change of the clocks and with a camera that is off."""

import csv
import io
from datetime import UTC, datetime, timedelta

import pytest

from studiotimer.wrap.export import Asked, export
from studiotimer.wrap.frames import gather
from studiotimer.wrap.zones import RepeatedHourError, zone_named
from tests.wrap.shoots import COUPE, picture, story, write_session

# Berlin puts its clocks back at 01:00 UTC on 25 October 2026 (Directive 2000/84/EC): 02:59:59+02:00, then 02:00:00+01:00.
BEGAN = datetime(2026, 10, 25, 0, 50, tzinfo=UTC)
ENTRIES = story(
    (0, "opened", {"version": "0", "machine": "laptop"}),
    (1, "shot", COUPE),
    (60, "pull", {"scoop": 1, "flavour": "vanilla", "to": "box"}),
    (90, "pull", {"scoop": 2, "flavour": "cherry", "to": "box"}),
    (300, "hero_in", {"scoops": [1], "flavours": ["vanilla"], "spots": ["centre"], "shot": "coupe"}),
    (540.5, "swap", {"out": 1, "in": 2, "spot": "centre"}),
    (700, "amend", {"entry": 6, "change": {"tick": 540.0}}),
    (840, "out", {"scoops": [2], "why": "got it"}),
    (850, "closed", {"version": "0", "machine": "laptop"}),
    began=BEGAN,
)

# name, true time (UTC), scoop, seconds since its pull, seconds on set: worked out by hand from the entries above.
# Scoop 1: pulled 00:51:00, on set 00:55:00 to 00:59:00. Scoop 2: pulled 00:51:30, on set 00:59:00 to 01:04:00.
BY_HAND = [
    ("A_01.JPG", "00:55:00.00", "1", 240.0, 0.0),
    ("A_02.JPG", "00:55:07.25", "1", 247.25, 7.25),
    ("A_03.JPG", "00:56:30.50", "1", 330.5, 90.5),
    ("A_04.JPG", "00:58:59.90", "1", 479.9, 239.9),
    ("A_05.JPG", "00:59:00.10", "2", 450.1, 0.1),
    ("A_06.JPG", "00:59:45.00", "2", 495.0, 45.0),
    ("A_07.JPG", "00:59:59.99", "2", 509.99, 59.99),
    ("A_08.JPG", "01:00:00.01", "2", 510.01, 60.01),
    ("A_09.JPG", "01:02:33.33", "2", 663.33, 213.33),
    ("A_10.JPG", "01:03:59.50", "2", 749.5, 299.5),
]


def true_time(text):
    return datetime.fromisoformat(f"2026-10-25T{text}0000+00:00")


def shoot(folder, camera):
    """Write the ten frames as a camera with clock `camera` (UTC to a plain local time) would."""
    for name, text, *_ in BY_HAND:
        local, offset = camera(true_time(text))
        picture(folder / name, f"{local:%Y:%m:%d %H:%M:%S}", f"{local.microsecond // 10_000:02d}", offset)
    return folder


def rows(tmp_path, frames, **asked):
    path = write_session(tmp_path / "night.setlog", ENTRIES)
    found = export(path, Asked(frames=(frames,), **asked))
    return list(csv.DictReader(io.StringIO(found.files["frames.csv"].decode())))


def check(found):
    assert [row["frame"] for row in found] == [name for name, *_ in BY_HAND]
    for row, (_, _, scoop, since_pull, on_set) in zip(found, BY_HAND, strict=True):
        assert row["scoop"] == scoop
        assert float(row["since_pull_s"]) == pytest.approx(since_pull, abs=0.1)
        assert float(row["on_set_s"]) == pytest.approx(on_set, abs=0.1)


def berlin(utc):
    local = utc.astimezone(zone_named("Europe/Berlin"))
    return local.replace(tzinfo=None), f"+0{local.utcoffset().seconds // 3600}:00"


def off(utc):
    """A camera set to Lisbon's summer time, which it keeps, and two minutes fast; it writes no offset."""
    return (utc + timedelta(hours=1, minutes=2)).replace(tzinfo=None), None


def test_a_camera_that_goes_through_the_change_of_clocks(tmp_path):
    check(rows(tmp_path, shoot(tmp_path / "frames", berlin)))


def test_a_camera_two_minutes_and_a_zone_off_by_its_offset(tmp_path):
    frames = shoot(tmp_path / "frames", off)
    check(rows(tmp_path, frames, camera_zone=zone_named("+01:00"), camera_ahead_s=120.0))


def test_a_camera_two_minutes_and_a_zone_off_by_a_pair(tmp_path):
    frames = shoot(tmp_path / "frames", off)
    check(rows(tmp_path, frames, pair=("A_01.JPG", "5")))


def test_a_camera_two_minutes_and_a_zone_off_by_the_crew_screen(tmp_path):
    frames = shoot(tmp_path / "frames", off)
    check(rows(tmp_path, frames, screen=("a_06.jpg", "2026-10-25T02:59:45+02:00")))


def test_a_crew_screen_whose_time_came_twice_is_asked(tmp_path):
    frames = shoot(tmp_path / "frames", off)
    with pytest.raises(Exception, match=r"02:59:45 on the crew screen falls near this session more than once"):
        rows(tmp_path, frames, screen=("A_06.JPG", "02:59:45"), zone=zone_named("Europe/Berlin"))


def test_a_local_time_that_came_twice_is_asked(tmp_path):
    """A camera on Berlin's time that writes no offset: 02:55 to 03:00 and 02:00 to 02:04 each came twice that night."""
    frames = shoot(tmp_path / "frames", lambda utc: (berlin(utc)[0], None))
    with pytest.raises(RepeatedHourError, match=r"02:55:00 came twice in Europe/Berlin.*\+02:00 or \+01:00"):
        rows(tmp_path, frames, camera_zone=zone_named("Europe/Berlin"))


def test_no_zone_is_asked_for(tmp_path):
    frames = shoot(tmp_path / "frames", off)
    with pytest.raises(Exception, match=r"A_01.JPG says .* without an offset from UTC; give the zone "):
        rows(tmp_path, frames)


def test_the_same_from_a_list(tmp_path):
    path = tmp_path / "frames.csv"
    lines = ["name,time,select"]
    for number, (name, text, *_) in enumerate(BY_HAND):
        local, offset = berlin(true_time(text))
        lines.append(f"{name},{local:%Y-%m-%d %H:%M:%S}.{local.microsecond // 10_000:02d}{offset},{'x' * (number % 2)}")
    path.write_text("\n".join(lines))
    found = rows(tmp_path, path)
    check(found)
    assert [row["select"] for row in found] == ["", "yes"] * 5


def test_originals_are_never_touched(tmp_path):
    frames = shoot(tmp_path / "frames", berlin)
    before = {path.name: (path.read_bytes(), path.stat().st_mtime_ns) for path in frames.iterdir()}
    rows(tmp_path, frames)
    assert {path.name: (path.read_bytes(), path.stat().st_mtime_ns) for path in frames.iterdir()} == before
    assert len(gather(frames).frames) == len(BY_HAND)
