"""Small pictures of frames; the originals are only read, and nothing larger than they claim to be is opened."""

from __future__ import annotations

import base64
import io
import mmap
import warnings
from collections.abc import Iterator, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any, BinaryIO

from studiotimer.wrap.aged import Aged, stacks_of
from studiotimer.wrap.exif import PLAIN

WIDTH, HEIGHT = 192, 128
QUALITY = 68
MOST_THUMBNAILS = 240
MOST_PIXELS = 178_000_000
"""The largest picture opened: above medium format, below what a hostile file claims (own rule)."""
MOST_PIXELS_WHOLE = 80_000_000
"""The largest picture that must be opened whole, which a JPEG need not be (own rule)."""


SEARCHED, LONGEST_PREVIEW, MOST_PREVIEWS = 64 << 20, 4 << 20, 6
_JPEG = b"\xff\xd8\xff"


class NoThumbnailError(ValueError):
    """No thumbnail can be made; the message is why, in a few words."""


def thumbnail(path: Path) -> bytes:
    """Return a small JPEG of the picture at `path`; of a raw file, of the preview its camera put in it.

    Raises NoThumbnailError when it is broken, too large or has no preview.
    """
    if path.suffix.lower() in PLAIN:
        return _small(path)
    try:
        for preview in _previews(path):
            with suppress(NoThumbnailError):
                return _small(preview)
    except OSError as error:
        raise NoThumbnailError(f"not readable ({error.strerror or 'gone'})") from None
    raise NoThumbnailError("no preview in this kind of file")


def _small(source: Path | BinaryIO) -> bytes:
    """Return a small JPEG of a JPEG or TIFF, turned upright; raises NoThumbnailError."""
    from PIL import Image, ImageOps

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(source, formats=("JPEG", "TIFF")) as picture:
                width, height = picture.size
                whole = picture.format != "JPEG"
                if width * height > (MOST_PIXELS_WHOLE if whole else MOST_PIXELS):
                    raise NoThumbnailError(f"it says it is {width} × {height} pixels, too large to open")
                picture.draft("RGB", (WIDTH * 2, HEIGHT * 2))
                small: Any = ImageOps.exif_transpose(picture)
                small = small.convert("RGB")
                small.thumbnail((WIDTH, HEIGHT))
                written = io.BytesIO()
                small.save(written, "JPEG", quality=QUALITY)
                return written.getvalue()
    except NoThumbnailError:
        raise
    except Image.DecompressionBombError:
        raise NoThumbnailError("it says it is larger than any camera's picture") from None
    except Exception as error:  # of a broken picture the decoders let through whatever they ran into
        raise NoThumbnailError("broken picture") from error


def _previews(path: Path) -> Iterator[BinaryIO]:
    """Yield the JPEGs inside a raw file, as it has them from its start; the first is its small one."""
    with path.open("rb") as file:
        try:
            data = mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ)
        except ValueError:  # an empty file
            return
        with data:
            at = data.find(_JPEG, 0, SEARCHED)
            for _ in range(MOST_PREVIEWS):
                if at < 0:
                    return
                yield io.BytesIO(data[at : at + LONGEST_PREVIEW])
                at = data.find(_JPEG, at + len(_JPEG), SEARCHED)


def chosen_for_show(frames: Sequence[Aged], most: int = MOST_THUMBNAILS) -> list[Aged]:
    """Return the frames to show small: selects first, then the first of each stack, evenly over the session."""
    wanted = [frame for frame in frames if frame.select]
    others = [stack.frames[0] for stack in stacks_of(frames) if not stack.select]
    room = most - len(wanted)
    if room <= 0:
        return wanted[:most]
    if len(others) > room:
        others = [others[index * len(others) // room] for index in range(room)]
    return sorted([*wanted, *others], key=lambda frame: (frame.at, frame.name))


def inline(picture: bytes) -> str:
    """Return a JPEG as it stands inside a page."""
    return "data:image/jpeg;base64," + base64.b64encode(picture).decode("ascii")
