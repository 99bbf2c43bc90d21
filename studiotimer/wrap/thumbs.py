"""Small pictures of frames; the originals are only read, and nothing larger than they claim to be is opened."""

from __future__ import annotations

import base64
import io
import warnings
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from studiotimer.wrap.aged import Aged, stacks_of
from studiotimer.wrap.exif import PLAIN

WIDTH, HEIGHT = 192, 128
QUALITY = 68
MOST_THUMBNAILS = 240
MOST_PIXELS = 178_000_000
"""The largest picture opened: above medium format, below what a hostile file claims (own rule)."""
MOST_PIXELS_WHOLE = 80_000_000
"""The largest picture that must be opened whole, which a JPEG need not be (own rule)."""


class NoThumbnailError(ValueError):
    """No thumbnail can be made; the message is why, in a few words."""


def thumbnail(path: Path) -> bytes:
    """Return a small JPEG of the picture at `path`, turned upright.

    Raises NoThumbnailError when it is broken, too large or of a kind that cannot be shown.
    """
    from PIL import Image, ImageOps

    if path.suffix.lower() not in PLAIN:
        raise NoThumbnailError("no thumbnail for this kind of file")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(path, formats=("JPEG", "TIFF")) as picture:
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
