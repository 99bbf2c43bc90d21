"""Motion clips: begun and ended by calls, or read from their files, with their ages from and to."""

import csv
import datetime as dt
import io
import shutil
import struct
import subprocess

import pytest

from studiotimer.session.defaults import filled
from studiotimer.session.desk import Desk
from studiotimer.wrap.aged import aged
from studiotimer.wrap.exif import NoTimeError
from studiotimer.wrap.export import Asked, export, with_clips
from studiotimer.wrap.frames import Found, clips_logged, from_folder
from studiotimer.wrap.movie import clip_of
from studiotimer.wrap.review import review_of
from studiotimer.wrap.selects import selects_by_age
from studiotimer.wrap.timeline import timeline_of
from tests.session.shoots import plan, told
from tests.wrap.shoots import BEGAN, COUPE, session, story, write_session

HERO = {"flavours": ["vanilla"], "spots": ["centre"], "shot": "coupe"}
DAY = (
    (0, "shot", COUPE),
    (10, "pull", {"scoop": 1, "flavour": "vanilla", "to": "tray"}),
    (60, "hero_in", {"scoops": [1], **HERO}),
    (90, "clip", {"name": "clip 1", "on": True}),
    (100, "note", {"text": "fog in frame"}),
    (135, "clip", {"name": "clip 1", "on": False}),
    (150, "clip", {"name": "slow one", "on": True}),
    (180, "out", {"scoops": [1], "why": "gone"}),
    (300, "note", {"text": "tea"}),
)
EPOCH = dt.datetime(1904, 1, 1, tzinfo=dt.UTC)


def box(kind, content, wide=False):
    head = struct.pack(">I4sQ", 1, kind, len(content) + 16) if wide else struct.pack(">I4s", len(content) + 8, kind)
    return head + content


def movie(began, length_s, version=0, scale=600, before=b"", wide=False):
    """A movie file's boxes as ISO/IEC 14496-12 lays them out, without pictures."""
    created = 0 if began is None else int((began - EPOCH).total_seconds())
    times = struct.pack(">QQIQ" if version else ">IIII", created, created, scale, round(length_s * scale))
    rest = struct.pack(">IHHII", 0x00010000, 0x0100, 0, 0, 0)
    rest += struct.pack(">9I", 0x10000, 0, 0, 0, 0x10000, 0, 0, 0, 0x40000000) + bytes(24) + struct.pack(">I", 2)
    header = box(b"mvhd", bytes([version, 0, 0, 0]) + times + rest)
    return box(b"ftyp", b"qt  " + bytes(4) + b"qt  ") + before + box(b"moov", box(b"free", bytes(5)) + header, wide)


@pytest.fixture(scope="module")
def review():
    return review_of(session(*DAY))


def test_a_clip_starts_and_ends_in_turn_and_says_when_it_cannot():
    def called(*calls, **given):
        return filled("clip", Desk(told(*calls), plan(), 500.0, given=given))

    begun, ended = ((at, "clip", {"name": "clip 1", "on": at < 7}) for at in (5, 7))
    assert called() == {"name": "clip 1", "on": True}
    assert called(begun) == {"name": "clip 1", "on": False}
    assert called(begun, name="second") == {"name": "second", "on": True}
    assert called(begun, ended) == {"name": "clip 2", "on": True}
    assert [one.why for one in told(begun, begun).state.contradictions] == [
        "the clip “clip 1” is running already; stop it first, or give this one another name"
    ]
    assert [one.why for one in told(ended).state.contradictions] == ["the clip “clip 1” is not running; start it first"]


def test_a_called_clip_has_its_ages_from_and_to(review):
    first, second = aged(review, clips_logged(review.session))
    (scoop,) = first.scoops
    assert (scoop.on_set_s, scoop.until_s) == (pytest.approx(30), pytest.approx(75))
    assert scoop.age_words == "0:30 to 1:15"
    assert scoop.stage_until >= scoop.stage
    (scoop,) = second.scoops
    assert second.length_s == pytest.approx(150), "never ended: until the log does"
    assert scoop.age_words == "1:30 to 2:00", "the scoop left while it ran"


def test_a_scoop_that_comes_in_during_a_clip_is_in_it():
    calls = (
        (0, "shot", COUPE),
        (5, "clip", {"name": "c", "on": True}),
        *DAY[1:3],
        (80, "clip", {"name": "c", "on": False}),
    )
    found = review_of(session(*calls))
    (clip,) = aged(found, clips_logged(found.session))
    assert clip.scoops[0].age_words == "0:00 to 0:20"


@pytest.mark.parametrize("version", [0, 1])
@pytest.mark.parametrize("wide", [False, True])
def test_a_file_says_when_it_began_and_how_long_it_is(tmp_path, version, wide):
    path = tmp_path / "A_0001.MOV"
    path.write_bytes(movie(BEGAN, 12.5, version, before=box(b"mdat", bytes(1000), wide), wide=wide))
    taken, length = clip_of(path)
    assert taken.instant(None, "x") == BEGAN
    assert length == pytest.approx(12.5)


@pytest.mark.skipif(shutil.which("exiftool") is None, reason="exiftool is not installed")
def test_exiftool_reads_the_same_of_it(tmp_path):
    path = tmp_path / "A_0001.MP4"
    path.write_bytes(movie(BEGAN, 12.5))
    command = ["exiftool", "-n", "-s3", "-CreateDate", "-Duration", path]
    read = subprocess.run(command, check=True, capture_output=True, timeout=60, text=True).stdout.split("\n")
    taken, length = clip_of(path)
    assert read[0] == f"{taken.local:%Y:%m:%d %H:%M:%S}"
    assert float(read[1]) == pytest.approx(length)


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (b"", "no movie header"),
        (b"\0\0\0\x08moov", "no movie header"),
        (movie(BEGAN, 5)[:60], "no movie header"),
        (struct.pack(">I4s", 4, b"moov") * 9, "no movie header"),
        (struct.pack(">I4sQ", 1, b"moov", 2**63), "no movie header"),
        (box(b"moov", box(b"mvhd", b"\1")), "no movie header"),
        (movie(None, 5), "does not say when"),
        (movie(BEGAN, 5, scale=0), "does not say when"),
        (movie(BEGAN, 1e6), "its length cannot be"),
        (box(b"moov", box(b"mvhd", struct.pack(">4BQQIQ", 1, 0, 0, 0, 2**60, 0, 600, 6))), "its time is not possible"),
    ],
)
def test_a_file_that_does_not_say_is_left_out_with_the_reason(tmp_path, data, why):
    (tmp_path / "bad.mov").write_bytes(data)
    with pytest.raises(NoTimeError, match=why):
        clip_of(tmp_path / "bad.mov")
    assert not from_folder(tmp_path).frames
    assert why in from_folder(tmp_path).sentences()[0]


def test_the_report_and_the_tables_have_a_clips_ages(tmp_path):
    """The file's clip lies over the called one and takes its place; the other call stays."""
    folder = tmp_path / "cards"
    folder.mkdir()
    (folder / "A_0001.MOV").write_bytes(movie(BEGAN + dt.timedelta(seconds=92), 40.0))
    path = write_session(tmp_path / "day.setlog", story(*DAY))
    found = export(path, Asked(frames=(folder,)))
    assert [frame.name for frame in found.frames] == ["A_0001.MOV", "slow one"]
    table = next(table for table in found.report.tables if table.title == "Motion clips")
    assert [(row[0], row[2], row[4]) for row in table.rows] == [
        ("A_0001.MOV", "0:40", "0:32 to 1:12"),
        ("slow one", "2:30", "1:30 to 2:00"),
    ]
    row = next(csv.DictReader(io.StringIO(found.files["frames.csv"].decode())))
    assert (float(row["on_set_s"]), float(row["on_set_to_s"]), float(row["length_s"])) == (
        pytest.approx(32), pytest.approx(72), pytest.approx(40),
    )  # fmt: skip
    assert row["stage_to"]
    assert any(shown.age == "0:32 to 1:12" for shown in found.report.shown) or not found.report.shown


def test_clips_are_no_frames_to_learn_the_best_age_from(review):
    assert not selects_by_age(aged(review, clips_logged(review.session)))


def test_a_call_is_kept_where_no_file_has_its_time():
    called = [(Found("clip 1", None, 10.0, length_s=5.0), 10.0)]
    picture, other = (Found("a.jpg", None, 12.0), 12.0), (Found("b.mov", None, 20.0, length_s=9.0), 20.0)
    assert [one.name for one, _ in with_clips([picture, other], called)] == ["clip 1", "a.jpg", "b.mov"]


def test_notes_and_clips_are_on_the_timeline(review):
    timeline = timeline_of(review, aged(review, clips_logged(review.session)))
    assert [(mark.at, mark.words) for mark in timeline.notes] == [(100.0, "fog in frame"), (300.0, "tea")]
    assert [(one.at, one.length_s) for one in timeline.clips] == [
        (90.0, pytest.approx(45)),
        (150.0, pytest.approx(150)),
    ]
    assert "0:30 to 1:15 on set" in timeline.clips[0].words
