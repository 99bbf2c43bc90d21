"""The time a picture file says it was taken (EXIF DateTimeOriginal); the file is only read."""

from __future__ import annotations

import errno
import io
import logging
import mmap
import os
import re
import stat
from collections.abc import Iterator
from itertools import chain
from pathlib import Path
from typing import Any, BinaryIO

from studiotimer.errors import ContentError
from studiotimer.wrap.camera import Taken, read_offset, read_time
from studiotimer.wrap.chunks import exif_in

PLAIN = frozenset({".jpg", ".jpeg", ".tif", ".tiff"})
HEIFS = frozenset({".heic", ".heif", ".hif"})
RAWS = frozenset(
    {
        ".dng", ".nef", ".nrw", ".cr2", ".cr3", ".arw", ".sr2", ".raf", ".rw2", ".orf", ".pef", ".srw", ".iiq", ".3fr",
        ".fff",
    }
)  # fmt: skip
PICTURES = PLAIN | HEIFS | RAWS | frozenset({".png", ".webp"})
_ORIGINAL, _PART, _OFFSET = "DateTimeOriginal", "SubSecTimeOriginal", "OffsetTimeOriginal"
_WITHIN = re.compile(rb"(?:Exif\0\0|CMT1|CMT2)(?=II\*\0|MM\0\*)")
"""What stands before EXIF inside other files: its own mark (CIPA DC-008, 4.7.2), in CR3 that of its first boxes."""
_LONGEST = 256 * 1024
_SEARCHED = 64 << 20
_MOST_WITHIN = 8


class NoTimeError(ContentError):
    """The file does not say when it was taken; the message is why, in a few words."""


def taken_of(path: Path) -> Taken:
    """Return when the picture at `path` was taken, by its camera's clock.

    Raises NoTimeError when it does not say or is broken, OSError when it cannot be read.
    """
    with opened(path) as file:
        tags, why = _tags(file)
        if not _text(tags, _ORIGINAL):
            for inside in chain(exif_in(file), _within(file)):
                found, _ = _tags(inside)
                if _text(found, _ORIGINAL):
                    tags = found
                    break
    text = _text(tags, _ORIGINAL)
    if not text:
        raise NoTimeError(why or "no time in its EXIF")
    part = _text(tags, _PART)
    taken = read_time(f"{text}.{part}" if part.isdigit() else text)
    if taken is None:
        raise NoTimeError("its EXIF time is not possible")
    return Taken(taken.local, read_offset(_text(tags, _OFFSET)))


def opened(path: Path) -> BinaryIO:
    """Open a picture to read; raises OSError, for a pipe or a device as well, which are not waited for."""
    file = os.fdopen(os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)), "rb")
    if not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
        file.close()
        raise OSError(errno.EINVAL, "not a file")
    return file


def orientation_of(file: BinaryIO) -> int | None:
    """Return the orientation (EXIF 0x0112) that a raw file has for itself, None where it has none; raises OSError."""
    file.seek(0)
    for block in chain((file,), _within(file)):
        tag = _tags(block)[0].get("Image Orientation")
        values = getattr(tag, "values", None)
        if isinstance(values, list) and len(values) == 1 and values[0] in range(1, 9):
            return int(values[0])
    return None


def _tags(file: BinaryIO) -> tuple[dict[str, Any], str]:
    """Return the EXIF tags of a file, and why there are none."""
    import exifread

    logging.getLogger("exifread").setLevel(logging.CRITICAL)
    try:
        tags: dict[str, Any] = exifread.process_file(file, details=False, extract_thumbnail=False)
    except OSError:
        raise
    except Exception:  # of a broken file it lets through whatever its own reading ran into
        return {}, "broken"
    return tags, "" if tags else "no EXIF"


def _within(file: BinaryIO) -> Iterator[BinaryIO]:
    """Yield the EXIF blocks inside a file of a kind whose boxes the library does not follow (CR3, RAF, some HEIC)."""
    try:
        data = mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ)
    except (ValueError, OSError):  # an empty file, or a place that cannot be mapped
        return
    with data:
        for number, mark in enumerate(_WITHIN.finditer(data, 0, _SEARCHED)):
            if number >= _MOST_WITHIN:
                return
            yield io.BytesIO(data[mark.end() : mark.end() + _LONGEST])


def _text(tags: dict[str, Any], name: str) -> str:
    tag = tags.get(f"EXIF {name}", tags.get(f"Image {name}"))
    value = "" if tag is None else tag.values
    return str(value).strip(" \0") if isinstance(value, str) else ""
