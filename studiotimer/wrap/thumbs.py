"""Small pictures of frames; the originals are only read, and nothing larger than they claim to be is opened."""

from __future__ import annotations

import base64
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

from studiotimer.wrap.aged import Aged, all_series
from studiotimer.wrap.decoding import NoThumbnailError, small
from studiotimer.wrap.exif import RAWS, opened, orientation_of
from studiotimer.wrap.previews import previews

MOST_THUMBNAILS = 240


def thumbnail(path: Path) -> bytes:
    """Return a small JPEG of the picture at `path`, upright; of a raw file, of the preview its camera put in it.

    Raises NoThumbnailError when it is broken, too large or has no preview.
    """
    try:
        with opened(path) as file:
            if path.suffix.lower() not in RAWS:
                return small(file)
            orientation = orientation_of(file)
            for preview in previews(file):
                with suppress(NoThumbnailError):
                    return small(preview, orientation)
            with suppress(NoThumbnailError):
                file.seek(0)
                return small(file, orientation, uncompressed=True)
    except OSError as error:
        raise NoThumbnailError(f"not readable ({error.strerror or 'gone'})") from None
    raise NoThumbnailError("no preview in this kind of file")


def chosen_for_show(frames: Sequence[Aged], most: int = MOST_THUMBNAILS) -> list[Aged]:
    """Return the frames to show small: selects first, then the first of each series, evenly over the session."""
    wanted = [frame for frame in frames if frame.select]
    others = [series.frames[0] for series in all_series(frames) if not series.select]
    room = most - len(wanted)
    if room <= 0:
        return wanted[:most]
    if len(others) > room:
        others = [others[index * len(others) // room] for index in range(room)]
    return sorted([*wanted, *others], key=lambda frame: (frame.at, frame.name))


def inline(picture: bytes) -> str:
    """Return a JPEG as it stands inside a page."""
    return "data:image/jpeg;base64," + base64.b64encode(picture).decode("ascii")
