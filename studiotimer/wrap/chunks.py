"""EXIF in the chunks of PNG and WebP files (PNG, third edition, 11.3.4.5; RFC 9649, 2.7.1.5)."""

from __future__ import annotations

import io
import re
import struct
import zlib
from collections.abc import Iterator
from typing import BinaryIO

LONGEST = 256 * 1024
_MOST = 5000
_PNG, _WORDS = b"\x89PNG\r\n\x1a\n", (b"tEXt", b"zTXt", b"iTXt")
_PROFILE = re.compile(rb"Raw profile type (?:exif|APP1)\0", re.IGNORECASE)
"""How EXIF stood in words, in hexadecimal digits below three lines, before PNG had a chunk for it (common practice)."""


def exif_in(file: BinaryIO) -> Iterator[BinaryIO]:
    """Yield the EXIF blocks of a PNG or WebP, as TIFF each; none of any other file, or where its chunks are broken."""
    file.seek(0)
    head = file.read(12)
    if head.startswith(_PNG):
        file.seek(len(_PNG))
        chunks = _chunks(file, ">I4s", 4)
    elif head[:4] == b"RIFF" and head[8:] == b"WEBP":
        chunks = _chunks(file, "<4sI", 0)
    else:
        return
    for kind, data in chunks:
        block = _of_words(kind, data) if kind in _WORDS else data
        block = block.removeprefix(b"Exif\0\0")
        if block[:4] in (b"II*\0", b"MM\0*"):
            yield io.BytesIO(block)


def _chunks(file: BinaryIO, form: str, after: int) -> Iterator[tuple[bytes, bytes]]:
    """Yield the kind and the data of each chunk that may hold EXIF; a chunk of RIFF ends at an even place."""
    for _ in range(_MOST):
        head = file.read(8)
        if len(head) < 8:
            return
        one, other = struct.unpack(form, head)
        kind, size = (other, one) if isinstance(other, bytes) else (one, other)
        if kind in (b"eXIf", b"EXIF", *_WORDS) and size <= LONGEST:
            data = file.read(size)
            if len(data) < size:
                return
            yield kind, data
        else:
            file.seek(size, io.SEEK_CUR)
        file.seek(after or size % 2, io.SEEK_CUR)


def _of_words(kind: bytes, data: bytes) -> bytes:
    """Return the block that a chunk of words has in hexadecimal digits; nothing where it has none."""
    mark = _PROFILE.match(data)
    if mark is None:
        return b""
    words = data[mark.end() :]
    try:
        if kind == b"zTXt":
            words = _unpacked(words[1:])
        elif kind == b"iTXt":
            packed, rest = words[0], words[2:].split(b"\0", 2)[2]
            words = _unpacked(rest) if packed else rest
        return bytes.fromhex(b"".join(words.split(b"\n")[3:]).decode("ascii"))
    except (zlib.error, ValueError, IndexError):
        return b""


def _unpacked(data: bytes) -> bytes:
    """Return what was packed, nothing where it does not end or is longer than EXIF can be."""
    packed = zlib.decompressobj()
    whole = packed.decompress(data, 2 * LONGEST)
    return whole if packed.eof else b""
