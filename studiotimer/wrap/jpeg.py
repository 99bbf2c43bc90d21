"""What a JPEG says before it is decoded: its size, its coding and how many scans it comes in (ITU-T T.81, annex B)."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import BinaryIO

_MOST_SEGMENTS = 2000
_SCAN_OR_END = re.compile(rb"\xff[\xd9\xda]")
_PART = 1 << 20


@dataclass(frozen=True, slots=True)
class Head:
    """The size of a JPEG, whether each scan has only a part of every pixel, and where its first scan begins."""

    width: int
    height: int
    progressive: bool
    scans_at: int


def head(file: BinaryIO) -> Head | None:
    """Return what a JPEG that begins at the start of `file` says; None for a broken one, and for a lossless one."""
    at, found = 2, None
    for _ in range(_MOST_SEGMENTS):
        file.seek(at)
        start = file.read(9)
        if len(start) < 4 or start[0] != 0xFF:
            return None
        mark = start[1]
        if mark == 0xFF:
            at += 1
            continue
        if mark == 0xDA:
            return None if found is None else Head(*found, at)
        if mark in (0xC0, 0xC1, 0xC2) and len(start) == 9:
            found = int.from_bytes(start[7:9], "big"), int.from_bytes(start[5:7], "big"), mark == 0xC2
        elif mark in (0xC3, 0xC5, 0xC6, 0xC7, 0xD9):
            return None
        at += 2 + int.from_bytes(start[2:4], "big")
    return None


def scans(file: BinaryIO, known: Head, most: int) -> int:
    """Return how many scans a JPEG has; counting ends above `most`."""
    count, before = 0, b""
    file.seek(known.scans_at)
    while part := file.read(_PART):
        part = before + part
        for one in _SCAN_OR_END.finditer(part):
            if one.group() == b"\xff\xd9" or count > most:
                return count
            count += 1
        before = part[-1:] if part[-1:] == b"\xff" else b""
    return count
