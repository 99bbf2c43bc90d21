"""The JPEGs that a camera put into its raw file, found by their marks, whatever the maker's layout around them is."""

from __future__ import annotations

import io
import mmap
from collections.abc import Iterator
from typing import Any, BinaryIO

from studiotimer.wrap.decoding import HEIGHT, WIDTH
from studiotimer.wrap.jpeg import head

SEARCHED = 256 << 20  # above any raw file's
MOST_FOUND = 60  # a raw file has three or four
_JPEG = b"\xff\xd8\xff"


def previews(file: BinaryIO) -> Iterator[BinaryIO]:
    """Yield the JPEGs inside a raw file: first those as large as a thumbnail, as they stand, then smaller ones."""
    try:
        data = mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ)
    except ValueError:  # an empty file
        return
    with data:
        smaller: list[tuple[int, int]] = []
        at = data.find(_JPEG, 0, SEARCHED)
        for _ in range(MOST_FOUND):
            if at < 0:
                break
            known = head(_part(data, at))
            if (
                known is not None
                and max(known.width, known.height) >= WIDTH
                and min(known.width, known.height) >= HEIGHT
            ):
                yield _part(data, at)
            elif known is not None:
                smaller.append((-known.width * known.height, at))
            at = data.find(_JPEG, at + len(_JPEG), SEARCHED)
        for _, at in sorted(smaller):
            yield _part(data, at)


def _part(data: mmap.mmap, at: int) -> BinaryIO:
    return io.BufferedReader(_From(data, at), 1 << 16)


class _From(io.RawIOBase):
    """A file's bytes from a place on, as a file of its own that begins there; nothing is copied before it is read."""

    def __init__(self, data: mmap.mmap, begin: int) -> None:
        super().__init__()
        self._data, self._begin, self._at = data, begin, 0

    def readable(self) -> bool:
        """Whether it can be read: always."""
        return True

    def seekable(self) -> bool:
        """Whether any place in it can be gone to: always."""
        return True

    def seek(self, offset: int, whence: int = io.SEEK_SET, /) -> int:
        """Go to a place, and return it."""
        whole = len(self._data) - self._begin
        self._at = max({io.SEEK_SET: 0, io.SEEK_CUR: self._at, io.SEEK_END: whole}[whence] + offset, 0)
        return self._at

    def readinto(self, buffer: Any, /) -> int:
        """Read into a buffer; return how many bytes there were."""
        start = self._begin + self._at
        part = self._data[start : start + len(buffer)]
        buffer[: len(part)] = part
        self._at += len(part)
        return len(part)
