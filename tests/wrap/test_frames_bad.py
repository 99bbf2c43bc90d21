"""Frames that cannot be used are counted and named, nothing hangs, and the rest is done."""

import os
import struct
import subprocess
import sys
import time
import zlib

import pytest
from PIL import Image

from studiotimer.errors import StoppedError
from studiotimer.wrap import frames as gathering
from studiotimer.wrap.aged import aged, dated
from studiotimer.wrap.camera import CameraClock
from studiotimer.wrap.decoding import NoThumbnailError
from studiotimer.wrap.exif import NoTimeError, taken_of
from studiotimer.wrap.export import Asked, export, shown_of
from studiotimer.wrap.frames import FramesError, gather, names_in
from studiotimer.wrap.report import Gaps
from studiotimer.wrap.review import review_of
from studiotimer.wrap.thumbs import thumbnail
from tests.wrap.shoots import COUPE, picture, session, story, write_session

CALLS = (
    (0, "shot", COUPE),
    (10, "pull", {"scoop": 1, "flavour": "vanilla", "to": "tray"}),
    (60, "hero_in", {"scoops": [1], "flavours": ["vanilla"], "spots": ["centre"], "shot": "coupe"}),
    (300, "out", {"scoops": [1], "why": "gone"}),
)
TAKEN = "2026:06:14 12:02:00"  # 120 s after the session began, in the camera's zone +02:00


def huge_jpeg(path, width=65_500, height=65_500, taken=TAKEN):
    """Write a JPEG whose header claims to be `width` x `height` pixels, the most it can say."""
    picture(path, taken, offset="+02:00")
    data = bytearray(path.read_bytes())
    place = data.index(b"\xff\xc0")
    data[place + 5 : place + 9] = struct.pack(">HH", height, width)
    path.write_bytes(bytes(data))


def huge_tiff(path):
    """Write a TIFF that claims to be 100,000 pixels wide and high."""
    entries = [(256, 4, 100_000), (257, 4, 100_000), (258, 3, 8), (259, 3, 1), (262, 3, 1), (273, 4, 8), (277, 3, 1),
               (278, 4, 100_000), (279, 4, 8)]  # fmt: skip
    body = struct.pack("<H", len(entries)) + b"".join(struct.pack("<HHII", tag, kind, 1, v) for tag, kind, v in entries)
    path.write_bytes(b"II*\0" + struct.pack("<I", 16) + b"\0" * 8 + body + b"\0" * 4)


def huge_png(path):
    """Write a PNG, named as a JPEG, that claims to be 100,000 pixels wide."""
    header = struct.pack(">IIBBBBB", 100_000, 100_000, 8, 2, 0, 0, 0)
    chunk = b"IHDR" + header
    path.write_bytes(b"\x89PNG\r\n\x1a\n" + struct.pack(">I", 13) + chunk + struct.pack(">I", zlib.crc32(chunk)))


def test_everything_bad_in_one_folder(tmp_path):
    folder = tmp_path / "frames"
    picture(folder / "good.jpg", TAKEN, offset="+02:00")
    picture(folder / "day 2" / "good.jpg", TAKEN, "5", "+02:00")
    picture(folder / "no_time.jpg")
    picture(folder / "zero.jpg", "0000:00:00 00:00:00")
    picture(folder / "yesterday.jpg", "2026:06:13 12:02:00", offset="+02:00")
    (folder / "empty.jpg").write_bytes(b"")
    (folder / "text.nef").write_text("not a picture")
    (folder / "notes.txt").write_text("left alone")
    (folder / "._good.jpg").write_bytes(b"hidden")
    cut = picture(folder / "cut.jpg", "2026:06:14 12:02:30", offset="+02:00", size=(640, 480))
    cut.write_bytes(cut.read_bytes()[:-800])
    huge_jpeg(folder / "huge.jpg", 60_000, 60_000, "2026:06:14 12:03:00")
    if hasattr(os, "mkfifo"):
        os.mkfifo(folder / "pipe.jpg")
    (folder / "folder.jpg").mkdir()
    path = write_session(tmp_path / "day.setlog", story(*CALLS))
    found = export(path, Asked(frames=(folder,)))
    assert [frame.name for frame in found.frames] == ["good.jpg", "day 2/good.jpg", "cut.jpg", "huge.jpg"]
    told = "\n".join(found.gaps)
    assert "no time in its EXIF: 1 left out (“no_time.jpg”)" in told
    assert "its EXIF time is not possible: 1 left out (“zero.jpg”)" in told
    assert "more than an hour outside the session: 1 left out (“yesterday.jpg”)" in told
    assert "no thumbnail, it says it is larger than any camera's picture: 1 left out (“huge.jpg”)" in told
    assert "no thumbnail, broken picture: 1 left out (“cut.jpg”)" in told
    assert "“empty.jpg”" in told
    assert "“text.nef”" in told
    if hasattr(os, "mkfifo"):
        assert "not a file: 1 left out (“pipe.jpg”)" in told
    assert "notes.txt" not in told
    assert "._good" not in told


@pytest.mark.parametrize("make", [huge_tiff, huge_jpeg, huge_png])
def test_a_picture_that_claims_too_much_takes_no_time_and_no_memory(tmp_path, make):
    path = tmp_path / "huge.jpg"
    make(path)
    began = time.process_time()
    with pytest.raises(NoThumbnailError):
        thumbnail(path)
    assert time.process_time() - began < 1.0


def test_a_medium_format_jpeg_is_no_bomb(tmp_path):
    """150 megapixels, above Pillow's own warning, is what large sensors give; only its outline is decoded here."""
    small = thumbnail(picture(tmp_path / "large.jpg", TAKEN, size=(11_600, 8_700)))
    assert len(small) < 20_000


@pytest.mark.parametrize(
    "name", ["'; rm -rf ~ #.jpg", '"><script>alert(1)</script>.jpg', "=cmd()|'A'!A1.jpg", "ü €.jpg"]
)
def test_names_are_only_names(tmp_path, name):
    folder = tmp_path / "frames"
    picture(folder / name.replace("/", "∕"), TAKEN, offset="+02:00")
    (frame,) = gather(folder).frames
    assert frame.name == name.replace("/", "∕")


@pytest.mark.skipif(sys.platform == "win32", reason="such names cannot be there")
def test_a_name_with_a_line_break_stays_one_line(tmp_path):
    picture(tmp_path / "a\nb\x1b[31m.jpg", TAKEN, offset="+02:00")
    (frame,) = gather(tmp_path).frames
    assert frame.name == "a b [31m.jpg"


@pytest.mark.skipif(sys.platform == "win32", reason="links need rights there")
def test_a_link_to_the_folder_itself_is_not_followed(tmp_path):
    picture(tmp_path / "a.jpg", TAKEN, offset="+02:00")
    (tmp_path / "again").symlink_to(tmp_path)
    assert len(gather(tmp_path).frames) == 1


def test_a_folder_that_goes_away_midway(tmp_path, monkeypatch):
    for number in range(6):
        picture(tmp_path / f"{number}.jpg", TAKEN, offset="+02:00")
    real = taken_of

    def away(path):
        if path.name >= "3":
            raise OSError(5, "Input/output error")
        return real(path)

    monkeypatch.setattr(gathering, "taken_of", away)
    found = gather(tmp_path)
    assert len(found.frames) == 3
    assert found.sentences() == [
        "not readable (Input/output error): 3 left out (“3.jpg”, “4.jpg”, “5.jpg”)"
    ]  # fmt: skip


def test_a_folder_that_is_not_there(tmp_path):
    with pytest.raises(FramesError, match="there is no such folder or list of frames"):
        gather(tmp_path / "gone")


def test_a_picture_gone_before_its_thumbnail(tmp_path):
    review = review_of(session(*CALLS))
    path = picture(tmp_path / "a.jpg", TAKEN, offset="+02:00")
    frames = aged(review, dated(review.session, gather(tmp_path), CameraClock()))
    path.unlink()
    gaps = Gaps()
    (shown,) = shown_of(frames, gaps)
    assert shown.picture is None
    assert gaps.sentences == ["no thumbnail, not readable (No such file or directory): 1 left out (“a.jpg”)"]


def test_twenty_thousand_files_and_stopping(tmp_path):
    first = picture(tmp_path / "00000.jpg", TAKEN, offset="+02:00")
    for number in range(1, 20_000):
        os.link(first, tmp_path / f"{number:05d}.jpg")
    seen = []

    def until_1000(done, total):
        seen.append((done, total))
        return done < 1000

    began = time.perf_counter()
    with pytest.raises(StoppedError):
        gather(tmp_path, until_1000)
    assert seen[-1] == (1000, 20_000)
    found = gather(tmp_path)
    assert len(found.frames) == 20_000
    assert time.perf_counter() - began < 120.0


def outcome(path):
    try:
        taken_of(path)
    except NoTimeError as error:
        return str(error)
    return "a time"


def test_broken_exif_of_every_kind_is_broken_and_no_more(tmp_path):
    """Every byte of the EXIF of a small picture changed, one at a time."""
    path = picture(tmp_path / "a.jpg", TAKEN, "25", "+02:00", size=(8, 8))
    data, outcomes = path.read_bytes(), set()
    for place in range(2, min(len(data), 220)):
        for value in (0x00, 0xFF):
            path.write_bytes(data[:place] + bytes([value]) + data[place + 1 :])
            outcomes.add(outcome(path))
    assert outcomes <= {"a time", "broken", "no EXIF", "no time in its EXIF", "its EXIF time is not possible"}
    assert len(outcomes) >= 4


@pytest.mark.parametrize(
    ("text", "names", "left"),
    [
        ("a.jpg,2026-06-14 12:02:00+02:00\n", ["a.jpg"], 0),
        ("name;time\na.jpg;2026:06:14 12:02:00+02:00\n\n;;\n", ["a.jpg"], 0),
        ("\ufeffTime,Name\n2026-06-14T10:02:00Z,a.jpg\nsoon,b.jpg\n2026-06-14T10:02:00Z,\n", ["a.jpg"], 2),
        ('"a, ""b"".jpg",2026-06-14T10:02:00Z\r\nx\r\n', ['a, "b".jpg'], 1),
    ],
)
def test_lists(tmp_path, text, names, left):
    path = tmp_path / "frames.csv"
    path.write_text(text, encoding="utf-8")
    found = gather(path)
    assert [frame.name for frame in found.frames] == names
    assert sum(map(len, found.left_out.values())) == left


@pytest.mark.parametrize("data", [b"", b"\0\0\0", b"\n\n"])
def test_empty_lists(tmp_path, data):
    path = tmp_path / "frames.csv"
    path.write_bytes(data)
    with pytest.raises(FramesError, match=r"frames\.csv is empty"):
        gather(path)


def test_a_list_of_nothing_but_noise(tmp_path):
    path = tmp_path / "frames.csv"
    path.write_bytes(bytes(range(256)) * 50)
    assert gather(path).frames == []


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("a.jpg\nb.jpg\n", ["a.jpg", "b.jpg"]),
        ("frame,select\na.jpg,yes\nb.jpg,\nc.jpg,1\n", ["a.jpg", "c.jpg"]),
        ("frame\na.jpg\n", ["a.jpg"]),
        ("", []),
    ],
)
def test_selects(tmp_path, text, names):
    path = tmp_path / "selects.csv"
    path.write_text(text)
    assert names_in(path) == names


def scanned_jpeg(path, scans, size=(600, 400)):
    """Write a progressive JPEG whose last scan is there again and again, as often as makes `scans` of them."""
    image = Image.effect_noise(size, 60)
    image.save(path, "JPEG", progressive=True, quality=90)
    data = path.read_bytes()
    begin = data.rindex(b"\xff\xda")
    before = data.rindex(b"\xff\xc4", 0, begin)
    last, have = data[before:-2], data.count(b"\xff\xda")
    path.write_bytes(data[:-2] + last * (scans - have) + data[-2:])
    return path


@pytest.mark.fault("a JPEG in 4,000 scans")
def test_a_jpeg_in_four_thousand_scans_takes_no_time(tmp_path):
    path = scanned_jpeg(tmp_path / "scans.jpg", 4000)
    assert path.read_bytes().count(b"\xff\xda") >= 4000
    began = time.process_time()
    with pytest.raises(NoThumbnailError, match="it comes in more scans than any camera writes"):
        thumbnail(path)
    assert time.process_time() - began < 2.0


def test_a_progressive_jpeg_of_usual_scans_has_its_thumbnail(tmp_path):
    assert thumbnail(scanned_jpeg(tmp_path / "web.jpg", 12))


@pytest.mark.fault("the same JPEG as the preview of a raw file")
def test_a_preview_in_four_thousand_scans_takes_no_time(tmp_path):
    data = scanned_jpeg(tmp_path / "scans.jpg", 4000).read_bytes()
    (tmp_path / "a.nef").write_bytes(bytes(5000) + data)
    began = time.process_time()
    with pytest.raises(NoThumbnailError):
        thumbnail(tmp_path / "a.nef")
    assert time.process_time() - began < 2.0


MEASURED = """
import resource, sys
from pathlib import Path
from studiotimer.wrap.decoding import NoThumbnailError
from studiotimer.wrap.thumbs import thumbnail
from PIL import Image
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
try:
    print(len(thumbnail(Path(sys.argv[1]))))
except NoThumbnailError as error:
    print(error)
print((resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) // 1024)
"""


@pytest.mark.fault("a TIFF of {width} x {height} pixels")
@pytest.mark.skipif(sys.platform == "win32", reason="memory is not told there")
@pytest.mark.parametrize(
    ("width", "height", "options", "words"),
    [
        (10_000, 8_000, {"compression": "tiff_lzw"}, "it says it is 10000 × 8000 pixels, too large to open"),
        (10_000, 8_000, {}, "it says it is 10000 × 8000 pixels, too large to open"),
        (8_000, 7_500, {"compression": "tiff_lzw"}, None),
    ],
)
def test_a_large_tiff_takes_bounded_memory(tmp_path, width, height, options, words):
    """Four bytes a pixel once, of 64 megapixels at most: 256 MB, and the codec's own."""
    path = tmp_path / "large.tif"
    Image.new("RGB", (width, height), (200, 190, 170)).save(path, "TIFF", **options)
    run = subprocess.run(
        [sys.executable, "-c", MEASURED, path], check=True, capture_output=True, text=True, timeout=120
    )
    told, mib = run.stdout.splitlines()
    assert told == words if words else int(told) > 500
    assert int(mib) < 320
