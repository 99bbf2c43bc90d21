"""The time a picture file says it was taken (EXIF DateTimeOriginal); the file is only read."""

from __future__ import annotations

import logging
from pathlib import Path
from typing import Any

from studiotimer.wrap.camera import Taken, read_offset, read_time

PLAIN = frozenset({".jpg", ".jpeg", ".tif", ".tiff"})
PICTURES = PLAIN | frozenset(
    {
        ".heic", ".heif", ".hif", ".dng", ".nef", ".nrw", ".cr2", ".cr3", ".crw", ".arw", ".sr2", ".raf", ".rw2",
        ".orf", ".pef", ".srw", ".iiq", ".3fr", ".fff", ".png", ".webp",
    }
)  # fmt: skip
_ORIGINAL, _PART, _OFFSET = "EXIF DateTimeOriginal", "EXIF SubSecTimeOriginal", "EXIF OffsetTimeOriginal"


class NoTimeError(ValueError):
    """The file does not say when it was taken; the message is why, in a few words."""


def taken_of(path: Path) -> Taken:
    """Return when the picture at `path` was taken, by its camera's clock.

    Raises NoTimeError when it does not say or is broken, OSError when it cannot be read.
    """
    import exifread

    logging.getLogger("exifread").setLevel(logging.CRITICAL)
    try:
        with path.open("rb") as file:
            tags: dict[str, Any] = exifread.process_file(file, details=False, extract_thumbnail=False)
    except OSError:
        raise
    except Exception as error:  # of a broken file it lets through whatever its own reading ran into
        raise NoTimeError("broken") from error
    if not tags:
        raise NoTimeError("no EXIF")
    text = _text(tags, _ORIGINAL)
    if not text:
        raise NoTimeError("no time in its EXIF")
    part = _text(tags, _PART)
    taken = read_time(f"{text}.{part}" if part.isdigit() else text)
    if taken is None:
        raise NoTimeError("its EXIF time cannot be")
    return Taken(taken.local, read_offset(_text(tags, _OFFSET)))


def _text(tags: dict[str, Any], name: str) -> str:
    tag = tags.get(name)
    value = "" if tag is None else tag.values
    return str(value).strip(" \0") if isinstance(value, str) else ""
