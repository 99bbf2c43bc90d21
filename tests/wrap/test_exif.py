"""Times read from every kind of picture file; the HEIC is a 64-pixel one that libheif wrote."""

import io
import struct
import subprocess
import sys
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from PIL import Image
from PIL.PngImagePlugin import PngInfo

from studiotimer.wrap import heic
from studiotimer.wrap.camera import Taken
from studiotimer.wrap.decoding import NoThumbnailError
from studiotimer.wrap.exif import NoTimeError, taken_of
from studiotimer.wrap.heif import with_small_first
from studiotimer.wrap.thumbs import thumbnail
from tests.wrap.shoots import picture

TIMES = {0x9003: "2026:06:14 12:02:00", 0x9291: "25", 0x9011: "+02:00"}
TAKEN = Taken(datetime(2026, 6, 14, 12, 2, 0, 250_000), timedelta(hours=2))


def tiff(flat=False):
    """Return a TIFF block with the times in its EXIF directory, or with `flat` in its first, as CR3 boxes have them."""
    exif = Image.Exif()
    for tag, value in TIMES.items():
        if flat:
            exif[tag] = value
        else:
            exif.get_ifd(0x8769)[tag] = value
    return exif.tobytes().removeprefix(b"Exif\0\0")


def jpeg(path):
    return picture(path, TIMES[0x9003], TIMES[0x9291], TIMES[0x9011]).read_bytes()


def box(kind, data):
    return struct.pack(">I", len(data) + 8) + kind + data


def cr3():
    """Return the boxes of a Canon CR3 that matter here (github.com/lclevy/canon_cr3): moov, uuid, CMT1, CMT2."""
    canon = bytes.fromhex("85c0b687820f11e08111f4ce462b6a48")
    other = Image.Exif()
    other[0x0110] = "Drawn"
    first = other.tobytes().removeprefix(b"Exif\0\0")
    inside = box(b"uuid", canon + box(b"CMT1", first) + box(b"CMT2", tiff(flat=True)))
    return box(b"ftyp", b"crx \0\0\0\1crx isom") + box(b"moov", inside) + box(b"mdat", bytes(5000))


def test_jpeg(tmp_path):
    jpeg(tmp_path / "a.jpg")
    assert taken_of(tmp_path / "a.jpg") == TAKEN


@pytest.mark.parametrize("name", ["a.tif", "a.dng", "a.nef", "a.arw", "a.cr2"])
def test_raw_files_built_as_tiff(tmp_path, name):
    (tmp_path / name).write_bytes(tiff())
    assert taken_of(tmp_path / name) == TAKEN


def test_heic():
    assert taken_of(Path(__file__).parent / "frame.heic") == TAKEN


def test_heic_of_a_brand_the_library_does_not_know(tmp_path):
    data = (Path(__file__).parent / "frame.heic").read_bytes().replace(b"ftypheic", b"ftypheix", 1)
    (tmp_path / "a.hif").write_bytes(data)
    assert taken_of(tmp_path / "a.hif") == TAKEN


def test_cr3(tmp_path):
    (tmp_path / "a.cr3").write_bytes(cr3())
    assert taken_of(tmp_path / "a.cr3") == TAKEN


def profile(block):
    """Return EXIF in words, as programs wrote it before PNG had a chunk for it."""
    digits = (b"Exif\0\0" + block).hex()
    rows = "\n".join(digits[at : at + 72] for at in range(0, len(digits), 72))
    return f"\nexif\n{len(block) + 6:8}\n{rows}\n"


def png(name=None, add="add_text", **options):
    """Return a PNG written by Pillow, with EXIF in words under `name`, else in its own chunk."""
    kept, words = io.BytesIO(), PngInfo()
    words.add_text("Comment", "drawn", zip=True)
    if name:
        getattr(words, add)(name, profile(tiff()), **options)
    Image.new("RGB", (8, 8)).save(kept, "PNG", pnginfo=words, **({} if name else {"exif": tiff()}))
    return kept.getvalue()


def webp():
    kept = io.BytesIO()
    Image.new("RGB", (9, 9)).save(kept, "WEBP", exif=b"Exif\0\0" + tiff())
    return kept.getvalue()


@pytest.mark.parametrize("data", [
    pytest.param(png(), id="a chunk of its own"),
    pytest.param(png("Raw profile type exif", zip=True), id="packed words"),
    pytest.param(png("Raw profile type exif"), id="plain words"),
    pytest.param(png("Raw profile type APP1", zip=True), id="by the segment's name"),
    pytest.param(png("Raw profile type exif", "add_itxt", zip=True), id="international words, packed"),
    pytest.param(png("Raw profile type exif", "add_itxt"), id="international words"),
    pytest.param(webp(), id="WebP"),
])  # fmt: skip
def test_png_and_webp(tmp_path, data):
    (tmp_path / "a.png").write_bytes(data)
    assert taken_of(tmp_path / "a.png") == TAKEN


@pytest.mark.parametrize("data", [png("Raw profile type exif", zip=True), png(), webp()], ids=["words", "png", "webp"])
def test_a_png_or_webp_that_ends_anywhere_says_its_time_or_why_not(tmp_path, data):
    outcomes = set()
    for end in range(len(data) + 1):
        (tmp_path / "a.png").write_bytes(data[:end])
        try:
            outcomes.add(taken_of(tmp_path / "a.png").local)
        except NoTimeError:
            outcomes.add(None)
    assert outcomes == {None, TAKEN.local}


@pytest.mark.parametrize("words", ["", "exif", "\n\n\nno digits", "\n\n\n49 49 2", "\nexif\n99999999\n4949"])
def test_words_that_are_no_exif_say_no_time(tmp_path, words):
    kept, info = io.BytesIO(), PngInfo()
    info.add_text("Raw profile type exif", words)
    Image.new("RGB", (8, 8)).save(kept, "PNG", pnginfo=info)
    (tmp_path / "a.png").write_bytes(kept.getvalue())
    with pytest.raises(NoTimeError):
        taken_of(tmp_path / "a.png")


def test_raf_keeps_its_exif_in_the_jpeg_within(tmp_path):
    data = b"FUJIFILMCCD-RAW 0201" + bytes(128) + jpeg(tmp_path / "within.jpg") + bytes(4000)
    (tmp_path / "a.raf").write_bytes(data)
    assert taken_of(tmp_path / "a.raf") == TAKEN


def test_a_time_without_parts_or_offset(tmp_path):
    picture(tmp_path / "a.jpg", "2026:06:14 12:02:00")
    assert taken_of(tmp_path / "a.jpg") == Taken(datetime(2026, 6, 14, 12, 2), None)


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (b"", "no EXIF"),
        (b"hello", "no EXIF"),
        (b"\xff\xd8\xff\xd9", "no EXIF"),
        (box(b"ftyp", b"crx isom") + b"CMT2II*\0" + bytes(40), "no EXIF"),
        (b"Exif\0\0II*\0" * 4000, "no EXIF"),
    ],
)
def test_files_without_a_time(tmp_path, data, why):
    (tmp_path / "a.cr3").write_bytes(data)
    with pytest.raises(NoTimeError, match=why):
        taken_of(tmp_path / "a.cr3")


def test_a_raw_file_shows_the_preview_its_camera_put_in_it(tmp_path):
    picture(tmp_path / "within.jpg", size=(480, 320))
    data = bytes(4000) + b"\xff\xd8\xff\xe0broken" + bytes(3000) + (tmp_path / "within.jpg").read_bytes() + bytes(9000)
    (tmp_path / "a.cr3").write_bytes(data)
    with Image.open(io.BytesIO(thumbnail(tmp_path / "a.cr3"))) as small:
        assert small.size == (192, 128)


@pytest.mark.parametrize("data", [b"", b"nothing", bytes(9000), b"\xff\xd8\xff" * 900])
def test_a_raw_file_without_a_preview(tmp_path, data):
    (tmp_path / "a.nef").write_bytes(data)
    with pytest.raises(NoThumbnailError, match="no preview in this kind of file"):
        thumbnail(tmp_path / "a.nef")


def raw(orientation, previews, padding=3000):
    """Return a TIFF that says how it stands, with JPEGs at places only its maker knows, and noise like raw data."""
    exif = Image.Exif()
    exif[0x0112] = orientation
    exif.get_ifd(0x8769)[0x9003] = TIMES[0x9003]
    noise = (b"\xff\xd8\xff\xc3" + bytes(range(255))) * 20
    return exif.tobytes().removeprefix(b"Exif\0\0") + noise + b"".join(bytes(padding) + one for one in previews) + noise


def half_red(size=(480, 320), **options):
    """Return a JPEG whose left half is red and whose right half is blue."""
    image = Image.new("RGB", size, (20, 20, 220))
    image.paste((220, 20, 20), (0, 0, size[0] // 2, size[1]))
    written = io.BytesIO()
    image.save(written, "JPEG", quality=95, **options)
    return written.getvalue()


def red_side(small):
    with Image.open(io.BytesIO(small)) as picture:
        width, height = picture.size
        sides = {
            "left": (4, height // 2), "right": (width - 4, height // 2), "top": (width // 2, 4),
            "bottom": (width // 2, height - 4),
        }  # fmt: skip
        red = {side for side, place in sides.items() if picture.getpixel(place)[0] > 150 > picture.getpixel(place)[2]}
    across = {"left", "right"} if width > height else {"top", "bottom"}
    return (red & across).pop()


@pytest.mark.parametrize(("orientation", "side"), [(1, "left"), (3, "right"), (6, "top"), (8, "bottom")])
@pytest.mark.parametrize("kind", ["nef", "arw", "orf", "pef", "iiq", "rw2"])
def test_a_raw_file_stands_upright_by_its_own_orientation(tmp_path, kind, orientation, side):
    (tmp_path / f"a.{kind}").write_bytes(raw(orientation, [half_red()]))
    assert red_side(thumbnail(tmp_path / f"a.{kind}")) == side


def test_a_previews_own_orientation_does_not_turn_it_twice(tmp_path):
    exif = Image.Exif()
    exif[0x0112] = 6
    (tmp_path / "a.nef").write_bytes(raw(6, [half_red(exif=exif)]))
    assert red_side(thumbnail(tmp_path / "a.nef")) == "top"


def test_the_preview_as_large_as_a_thumbnail_is_taken_and_the_small_one_where_there_is_no_other(tmp_path):
    tiny, large = half_red((120, 80)), half_red((1620, 1080))
    (tmp_path / "both.cr2").write_bytes(raw(1, [tiny, large]))
    (tmp_path / "one.cr2").write_bytes(raw(1, [tiny]))
    with Image.open(io.BytesIO(thumbnail(tmp_path / "both.cr2"))) as small:
        assert small.size == (192, 128)
    with Image.open(io.BytesIO(thumbnail(tmp_path / "one.cr2"))) as small:
        assert small.size == (120, 80)


def test_a_large_preview_far_into_the_file_is_found(tmp_path):
    image = io.BytesIO()
    Image.effect_noise((4000, 3000), 90).save(image, "JPEG", quality=98)
    assert len(image.getvalue()) > 6 << 20
    (tmp_path / "a.arw").write_bytes(raw(1, [image.getvalue()], padding=70 << 20))
    with Image.open(io.BytesIO(thumbnail(tmp_path / "a.arw"))) as small:
        assert small.size == (171, 128)


def test_heic_has_a_thumbnail():
    with Image.open(io.BytesIO(thumbnail(Path(__file__).parent / "frame.heic"))) as small:
        assert small.size == (64, 64)


def test_a_broken_heic_is_one_sentence(tmp_path):
    data = (Path(__file__).parent / "frame.heic").read_bytes()
    for cut in (12, 40, 200, len(data) - 20):
        (tmp_path / "a.heic").write_bytes(data[:cut])
        with pytest.raises(NoThumbnailError, match="broken picture"):
            thumbnail(tmp_path / "a.heic")


def heif_boxes(version=0, small_turned=True):
    """Return the boxes of a HEIF with a large item of 4000 x 3000 and one of 320 x 240 for it; no picture in them."""
    form = ">I" if version else ">H"
    one, two = struct.pack(form, 1), struct.pack(form, 2)
    ispe = [box(b"ispe", bytes(4) + struct.pack(">II", *size)) for size in ((4000, 3000), (320, 240))]
    ipco = box(b"ipco", b"".join(ispe) + box(b"irot", b"\1"))
    small = b"\2\x82\x03" if small_turned else b"\1\x82"
    ipma = box(b"ipma", bytes([version, 0, 0, 0]) + struct.pack(">I", 2) + one + b"\2\x81\x03" + two + small)
    iref = box(b"iref", bytes([version, 0, 0, 0]) + box(b"thmb", two + struct.pack(">H", 1) + one))
    pitm = box(b"pitm", bytes([version, 0, 0, 0]) + one)
    return box(b"ftyp", b"heic\0\0\0\0") + box(b"meta", bytes(4) + pitm + iref + box(b"iprp", ipco + ipma))


@pytest.mark.parametrize("version", [0, 1])
def test_the_small_picture_beside_a_large_one_is_opened_first(version):
    data = heif_boxes(version)
    (changed, part), (filled, its_part) = with_small_first(data, 192, 128)
    differ = [place for place in range(len(data)) if data[place] != changed[place]]
    assert len(differ) == 5
    assert b"pitm" + bytes([version, 0, 0, 0]) + struct.pack(">I" if version else ">H", 2) in changed
    assert part is None
    assert its_part == (0, 0, 240, 320)
    assert b"ispe" + struct.pack(">III", 0, 320, 256) in filled
    assert list(with_small_first(data, 400, 300)) == []


CODED = {0: (0, 0, 320, 200), 1: (0, 0, 200, 320), 2: (0, 56, 320, 256), 3: (56, 0, 256, 320)}


@pytest.mark.parametrize("turned", CODED)
def test_a_picture_filled_up_to_whole_blocks_is_cut_to_what_it_shows(turned):
    """As Pillow turns it: the part shown has the picture's own corner, whichever way it is turned."""
    data = heif_boxes().replace(struct.pack(">II", 320, 240), struct.pack(">II", 320, 200))
    data = data.replace(b"irot\1", b"irot" + bytes([turned]))
    _, (_, part) = with_small_first(data, 192, 128)
    assert part == CODED[turned]
    coded = Image.new("RGB", (320, 256), "red")
    coded.paste("blue", (0, 0, 320, 200))
    shown = coded.rotate(90 * turned, expand=True).crop(part)
    assert shown.getcolors() == [(320 * 200, (0, 0, 255))]


def test_a_small_picture_that_is_not_turned_as_the_large_one_is_passed_over():
    assert list(with_small_first(heif_boxes(small_turned=False), 192, 128)) == []


def test_broken_boxes_are_no_trouble():
    data = heif_boxes()
    for place in range(len(data)):
        for value in (0, 1, 0x7F, 0xFF):
            list(with_small_first(data[:place] + bytes([value]) + data[place + 1 :], 192, 128))
        list(with_small_first(data[:place], 192, 128))


@pytest.mark.skipif(sys.platform == "win32", reason="processes end otherwise there")
@pytest.mark.fault("a HEIC at which its decoder crashes")
def test_a_decoder_that_crashes_ends_its_own_process_only(tmp_path, monkeypatch):
    real = subprocess.run
    crash = [sys.executable, "-c", "import os, signal; os.kill(os.getpid(), signal.SIGKILL)"]
    monkeypatch.setattr(heic.subprocess, "run", lambda command, **options: real(crash, **options))
    with pytest.raises(NoThumbnailError, match="broken picture"):
        thumbnail(Path(__file__).parent / "frame.heic")


@pytest.mark.fault("a HEIC that is decoded for ever")
def test_a_decoder_that_hangs_is_ended(monkeypatch):
    real = subprocess.run
    hang = [sys.executable, "-c", "import time; time.sleep(60)"]
    monkeypatch.setattr(heic, "SECONDS", 1)
    monkeypatch.setattr(heic.subprocess, "run", lambda command, **options: real(hang, **options))
    with pytest.raises(NoThumbnailError, match="it takes too long to decode"):
        thumbnail(Path(__file__).parent / "frame.heic")
