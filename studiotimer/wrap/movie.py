"""When a motion clip says it began and how long it is: the movie header of MOV and MP4 (ISO/IEC 14496-12, 8.2.2)."""

from __future__ import annotations

import datetime as dt
import struct
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

from studiotimer.wrap.camera import EARLIEST_YEAR, LATEST_YEAR, Taken
from studiotimer.wrap.exif import NoTimeError, opened

CLIPS = frozenset({".mov", ".mp4", ".m4v"})
LONGEST_CLIP_S = 86_400.0  # a day: longer is a broken header
_EPOCH = dt.datetime(1904, 1, 1, tzinfo=dt.UTC)
"""Movie headers count seconds from here, in UTC (ISO/IEC 14496-12, 8.2.2.3)."""
_MOST_BOXES = 4096  # a clip has some hundred; a hostile one may nest without end
_HEADER = 32  # the longest head of a box that is read


def clip_of(path: Path) -> tuple[Taken, float]:
    """Return when the clip at `path` began, in UTC, and its length [s]; only its box headers are read.

    Raises NoTimeError when it does not say or is broken, OSError when it cannot be read.
    """
    with opened(path) as file:
        size = file.seek(0, 2)
        try:
            movie = _box(file, b"moov", 0, size)
            begin, _ = _box(file, b"mvhd", *movie)
            file.seek(begin)
            created, scale, length = _header(file.read(_HEADER))
        except (struct.error, LookupError):
            raise NoTimeError("no movie header in it") from None
    if not created or not scale:
        raise NoTimeError("its movie header does not say when it began")
    seconds = length / scale
    if seconds > LONGEST_CLIP_S:
        raise NoTimeError("its length cannot be")
    try:
        began = _EPOCH + dt.timedelta(seconds=created)
    except OverflowError:
        raise NoTimeError("its time is not possible") from None
    if not EARLIEST_YEAR < began.year <= LATEST_YEAR:
        raise NoTimeError("its time is not possible")
    return Taken(began.replace(tzinfo=None), dt.timedelta()), seconds


def _header(data: bytes) -> tuple[int, int, int]:
    """Return the creation time [s], the time scale [1/s] and the duration in it, of a movie header's content."""
    if data[0] == 1:
        created, _, scale, length = struct.unpack_from(">QQIQ", data, 4)
    else:
        created, _, scale, length = struct.unpack_from(">IIII", data, 4)
    return created, scale, length


def _box(file: BinaryIO, kind: bytes, begin: int, end: int) -> tuple[int, int]:
    """Return where the content of the first box of that kind begins and ends; raises LookupError without one."""
    for name, inside, after in _boxes(file, begin, end):
        if name == kind:
            return inside, after
    raise LookupError(kind)


def _boxes(file: BinaryIO, begin: int, end: int) -> Iterator[tuple[bytes, int, int]]:
    """Yield the boxes of a stretch of the file: kind, where the content begins, where it ends."""
    for _ in range(_MOST_BOXES):
        if begin + 8 > end:
            return
        file.seek(begin)
        size, kind = struct.unpack(">I4s", file.read(8))
        inside = begin + 8
        if size == 1:
            (size,) = struct.unpack(">Q", file.read(8))
            inside += 8
        after = begin + size if size else end
        if not inside <= after <= end:
            return
        yield kind, inside, after
        begin = after
