"""The small pictures that HEIC and HIF files have beside their large one (ISO/IEC 23008-12, the boxes of 14496-12)."""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass, field

from studiotimer.errors import ContentError

_FULL = 4
BLOCK = 64
"""The largest side of a coded block (ITU-T H.265, 7.4.3.2.1)."""
_MOST_BOXES = 5000


class _BrokenError(ContentError):
    """The boxes contradict themselves."""


@dataclass
class _Items:
    """The items of a file: which is the large one, which are small ones of it, and the properties of each."""

    primary: int = 0
    primary_at: int = 0
    wide: bool = False
    references_at: list[int] = field(default_factory=list)
    small: list[int] = field(default_factory=list)
    properties: list[tuple[bytes, bytes]] = field(default_factory=list)
    of: dict[int, list[int]] = field(default_factory=dict)

    def property_of(self, item: int, kind: bytes) -> bytes | None:
        """Return the first property of a kind that an item has."""
        indices = self.of.get(item, [])
        known = [self.properties[index - 1] for index in indices if 0 < index <= len(self.properties)]
        return next((data for name, data in known if name == kind), None)

    def size(self, item: int) -> tuple[int, int]:
        """Return an item's width and height, 0 where it says none."""
        data = self.property_of(item, b"ispe") or b""
        return struct.unpack(">II", data[4:12]) if len(data) >= 12 else (0, 0)

    def turned(self, item: int) -> tuple[bytes | None, bytes | None]:
        """Return how an item is turned and mirrored when it is shown."""
        return self.property_of(item, b"irot"), self.property_of(item, b"imir")


Box = tuple[int, int, int, int]
"""Left, top, right and bottom of a part of a picture."""


def with_small_first(data: bytes, width: int, height: int) -> Iterator[tuple[bytes, Box | None]]:
    """Yield a HEIF file's bytes with one of its small pictures as the one that is opened, the smallest first.

    Each comes as it is, and once more as large as it is coded, with the part of that which is the picture: some cameras
    fill it up to whole blocks and do not say so, which the decoder refuses. Those smaller than `width` x `height`, or
    not turned as the large one is, are passed over; none come of a file whose boxes are broken.
    """
    try:
        items = _items(data)
    except (_BrokenError, struct.error, IndexError):
        return
    fitting = sorted(
        (size[0] * size[1], item)
        for item in items.small
        if max(size := items.size(item)) >= max(width, height) and min(size) >= min(width, height)
        if items.turned(item) == items.turned(items.primary)
    )
    for _, item in fitting:
        changed = bytearray(data)
        struct.pack_into(">I" if items.wide else ">H", changed, items.primary_at, item)
        for at in items.references_at:  # a small picture of another cannot be the one that is opened
            changed[at : at + 4] = b"skip"
        yield bytes(changed), None
        if (filled := _filled_up(changed, items, item)) is not None:
            yield filled


def _filled_up(data: bytearray, items: _Items, item: int) -> tuple[bytes, Box] | None:
    """Return the bytes with an item said to be of whole blocks, and where the picture is in it once it is turned."""
    width, height = items.size(item)
    wide, high = (-(-each // BLOCK) * BLOCK for each in (width, height))
    turned, mirrored = items.turned(item)
    at = data.find(b"ispe" + struct.pack(">III", 0, width, height))
    if at < 0 or mirrored is not None or (wide, high) == (width, height):
        return None
    struct.pack_into(">II", data, at + 8, wide, high)
    boxes = (
        (0, 0, width, height),
        (0, wide - width, height, wide),
        (wide - width, high - height, wide, high),
        (high - height, 0, high, width),
    )
    return bytes(data), boxes[(turned or b"\0")[0] & 3]


def _boxes(data: bytes, at: int, end: int) -> Iterator[tuple[bytes, int, int]]:
    """Yield the kind of each box in a range, and where what is in it begins and ends."""
    for _ in range(_MOST_BOXES):
        if at + 8 > end:
            return
        size, kind = struct.unpack_from(">I4s", data, at)
        begin = at + 8
        if size == 1:
            (size,) = struct.unpack_from(">Q", data, begin)
            begin += 8
        until = end if size == 0 else at + size
        if not begin <= until <= end:
            raise _BrokenError
        yield kind, begin, until
        at = until
    raise _BrokenError


def _items(data: bytes) -> _Items:
    meta = next(((begin, end) for kind, begin, end in _boxes(data, 0, len(data)) if kind == b"meta"), None)
    if meta is None:
        raise _BrokenError
    items, references = _Items(), list[tuple[int, int]]()
    for kind, begin, end in _boxes(data, meta[0] + _FULL, meta[1]):
        if kind == b"pitm":
            items.wide, items.primary_at = data[begin] > 0, begin + _FULL
            (items.primary,) = struct.unpack_from(">I" if items.wide else ">H", data, items.primary_at)
        elif kind == b"iref":
            wide = data[begin] > 0
            for name, start, _ in _boxes(data, begin + _FULL, end):
                if name == b"thmb":
                    origin, _, to = struct.unpack_from(">IHI" if wide else ">HHH", data, start)
                    references.append((origin, to))
                    items.references_at.append(start - 4)
        elif kind == b"iprp":
            _read_properties(data, begin, end, items)
    items.small = [origin for origin, to in references if to == items.primary]
    return items


def _read_properties(data: bytes, begin: int, end: int, items: _Items) -> None:
    for kind, start, until in _boxes(data, begin, end):
        if kind == b"ipco":
            items.properties = [(name, data[at:stop]) for name, at, stop in _boxes(data, start, until)]
        elif kind == b"ipma":
            wide, long = data[start] > 0, bool(data[start + 3] & 1)
            (count,) = struct.unpack_from(">I", data, start + _FULL)
            at = start + _FULL + 4
            for _ in range(min(count, _MOST_BOXES)):
                item, many = struct.unpack_from(">IB" if wide else ">HB", data, at)
                at += 5 if wide else 3
                indices = struct.unpack_from(f">{many}{'H' if long else 'B'}", data, at)
                at += many * (2 if long else 1)
                items.of[item] = [index & (0x7FFF if long else 0x7F) for index in indices]
