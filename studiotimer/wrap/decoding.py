"""Pictures made small and upright, within bounds of time and memory that no picture's header can move."""

from __future__ import annotations

import io
import re
import threading
import warnings
from contextlib import suppress
from typing import Any, BinaryIO

from studiotimer.errors import ContentError
from studiotimer.wrap.heic import HeicError, decoded_apart
from studiotimer.wrap.heif import with_small_first
from studiotimer.wrap.jpeg import head, scans

WIDTH, HEIGHT = 192, 128
QUALITY = 68  # at this size no artefact is seen, at half the bytes of 90
MOST_PIXELS = 178_000_000
"""The largest JPEG opened: above medium format, below what a hostile file claims (own rule)."""
MOST_PIXELS_WHOLE = 64_000_000
"""The largest picture that must be opened whole, four bytes a pixel, which a plain JPEG need not be (own rule)."""
MOST_PIXELS_TWICE = 16_000_000
"""The largest one that must be turned into other colours whole, and so stands in memory twice (own rule)."""
MOST_SCANS, MOST_SCANNED = 100, 1_200_000_000
"""The most scans of a JPEG, and the most pixels times scans; cameras and editors write at most a dozen (own rule)."""
LARGEST_HEIF = 128 << 20  # above any camera's
PLAIN_FORMATS = ("JPEG", "TIFF", "PNG", "WEBP")
_HEIF = re.compile(rb"....ftyp", re.DOTALL)
_ONCE = frozenset({"L", "RGB", "CMYK", "YCbCr"})
_ORIENTATION = 0x0112
_one_at_a_time = threading.Lock()


class NoThumbnailError(ContentError):
    """No thumbnail can be made; the message is why, in a few words."""


def small(source: BinaryIO, orientation: int | None = None, uncompressed: bool = False) -> bytes:
    """Return a small JPEG of a picture, turned upright by its own orientation, or by `orientation` where that is given.

    Raises NoThumbnailError when it is broken, or too large to be opened; where it must be an `uncompressed` TIFF, as
    the small pictures of some raw files are, also when it is none.
    """
    from PIL import Image

    try:
        with _one_at_a_time, warnings.catch_warnings():
            warnings.simplefilter("ignore")
            if _HEIF.match(source.read(8)):
                return _heif(source)
            source.seek(0)
            with Image.open(source, formats=("TIFF",) if uncompressed else PLAIN_FORMATS) as picture:
                if uncompressed and picture.info.get("compression") != "raw":
                    raise NoThumbnailError("no small picture")
                return written(_upright(_reduced(picture, source), orientation))
    except NoThumbnailError:
        raise
    except Image.DecompressionBombError:
        raise NoThumbnailError("it says it is larger than any camera's picture") from None
    except Exception as error:  # of a broken picture the decoders let through whatever they ran into
        raise NoThumbnailError("broken picture") from error


def _heif(source: BinaryIO) -> bytes:
    """Return a small JPEG of a HEIC or HIF file, of the small picture in it where it has one, upright either way."""
    source.seek(0)
    data = source.read(LARGEST_HEIF + 1)
    if len(data) > LARGEST_HEIF:
        raise NoThumbnailError("it is larger than any camera's HEIC")
    for each, part in with_small_first(data, WIDTH, HEIGHT):
        with suppress(HeicError):
            return decoded_apart(each, part)
    try:
        return decoded_apart(data)
    except HeicError as error:
        raise NoThumbnailError(str(error)) from None


def _reduced(picture: Any, source: BinaryIO) -> tuple[Any, int | None]:
    """Return a picture at a few times the size wanted, decoded no larger than it must be, and its orientation."""
    if picture.format == "JPEG":
        most = MOST_PIXELS_WHOLE if _in_scans(source) else MOST_PIXELS
    else:
        most = MOST_PIXELS_WHOLE if picture.mode in _ONCE else MOST_PIXELS_TWICE
    check_size(picture.size, most)
    orientation = picture.getexif().get(_ORIENTATION)
    picture.draft("RGB", (WIDTH * 2, WIDTH * 2))
    reduced = picture if picture.mode in _ONCE else picture.convert("RGB")
    reduced.thumbnail((WIDTH * 2, WIDTH * 2))
    return reduced, orientation


def check_size(size: tuple[int, int], most: int = MOST_PIXELS_WHOLE) -> None:
    """Raise NoThumbnailError for a picture of more pixels than `most`."""
    width, height = size
    if width * height > most:
        raise NoThumbnailError(f"it says it is {width} × {height} pixels, too large to open")


def _in_scans(source: BinaryIO) -> bool:
    """Return whether a JPEG's scans each have a part of all pixels, for which it is held whole.

    Raises NoThumbnailError for more of them than are decoded in bounded time.
    """
    place = source.tell()
    known = head(source)
    if known is None:
        raise NoThumbnailError("broken picture")
    most = max(min(MOST_SCANS, MOST_SCANNED // max(known.width * known.height, 1)), 3)
    count = scans(source, known, most)
    source.seek(place)
    if count > most:
        raise NoThumbnailError("it comes in more scans than any camera writes")
    return known.progressive or count > 1


def _upright(reduced: tuple[Any, int | None], orientation: int | None) -> Any:
    from PIL import Image

    picture, own = reduced
    turn = Image.Transpose
    turns = {
        2: turn.FLIP_LEFT_RIGHT, 3: turn.ROTATE_180, 4: turn.FLIP_TOP_BOTTOM, 5: turn.TRANSPOSE, 6: turn.ROTATE_270,
        7: turn.TRANSVERSE, 8: turn.ROTATE_90,
    }  # fmt: skip
    wanted = turns.get((orientation or own) or 1)
    return picture if wanted is None else picture.transpose(wanted)


def written(picture: Any) -> bytes:
    """Return a picture as a small JPEG, with nothing in it but the picture."""
    picture.thumbnail((WIDTH, HEIGHT))
    kept = io.BytesIO()
    picture.convert("RGB").save(kept, "JPEG", quality=QUALITY, exif=b"", icc_profile=None)
    return kept.getvalue()
