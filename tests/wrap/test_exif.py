"""Times read from every kind of picture file; the HEIC is a 64-pixel one that libheif wrote."""

import io
import struct
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from PIL import Image

from studiotimer.wrap.camera import Taken
from studiotimer.wrap.decoding import NoThumbnailError
from studiotimer.wrap.exif import NoTimeError, taken_of
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
