"""A session's file as bytes: its ending, its first line, the sum at the end of each; without the models of entries."""

from __future__ import annotations

import json
import stat
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO, Literal

from studiotimer.errors import ContentError
from studiotimer.plain import plain

FORMAT: Literal["studiotimer session"] = "studiotimer session"
VERSION = 3
"""Raised with every new kind of entry, field or word: a reader that does not know them says which version to open the
file with, and does not take its lines for damage. Files of earlier versions are read, and gone on with, as they are.
"""
SUFFIX = ".setlog"
LONGEST_LINE = 4 << 20  # far above the line of the longest plan (own rule)
LARGEST_FILE = 64 << 20  # far above the log of a day, a frame a second (own rule)
_SUM = b',"sum":"'
_TAIL = len(_SUM) + len('01234567"}')


class BadLineError(ContentError):
    """Something is not an entry; the message says why."""


class SessionFileError(ContentError):
    """The file cannot be used as a session; the message is one clear sentence."""

    def __init__(self, sentence: str) -> None:
        super().__init__(plain(sentence))


class GoneOnError(SessionFileError):
    """The file cannot be used as a session, and its session is in one `beside` it."""

    def __init__(self, sentence: str, beside: Path) -> None:
        super().__init__(f"{sentence}; its session is in {beside.name}, beside it: open that one")
        self.beside = beside


def summed(fields: dict[str, object]) -> bytes:
    """Return `fields` as a JSON line closed by the CRC-32 of what stands before the sum."""
    body = json.dumps(fields, ensure_ascii=False, separators=(",", ":"), allow_nan=False).encode()[:-1]
    return body + _SUM + b"%08x" % zlib.crc32(body) + b'"}\n'


def checked_body(line: bytes) -> bytes:
    """Return the JSON object on `line` without its sum.

    Raises BadLineError when the sum is missing or does not match.
    """
    if len(line) <= _TAIL or not line.endswith(b'"}') or line[-_TAIL : -_TAIL + len(_SUM)] != _SUM:
        raise BadLineError("the line has no sum at its end")
    body = line[:-_TAIL]
    if b"%08x" % zlib.crc32(body) != line[-10:-2]:
        raise BadLineError("the line was changed: its sum does not match")
    return body + b"}"


def first_line(path: Path) -> bytes:
    """Return the first line of a file, or as much of it as a line may be long; raises SessionFileError."""
    return read_with(path, lambda file: file.readline(LONGEST_LINE))


def bytes_of(path: Path) -> bytes:
    """Return what the file holds; raises SessionFileError when it cannot be read."""
    return read_with(path, lambda file: file.read())


def read_with(path: Path, reading: Callable[[BinaryIO], bytes]) -> bytes:
    """Return what `reading` reads of a file that may be a session's; raises SessionFileError."""
    try:
        about = path.stat()
        if stat.S_ISDIR(about.st_mode):
            raise SessionFileError(f"{path.name} is a folder, not a session file")
        if not stat.S_ISREG(about.st_mode):
            raise SessionFileError(f"{path.name} is not a file; choose a session file")
        if about.st_size > LARGEST_FILE:
            raise SessionFileError(f"{path.name} is {about.st_size >> 20} MiB large; no session is that large")
        with path.open("rb") as file:
            return reading(file)
    except FileNotFoundError:
        raise SessionFileError(f"{path.name}: there is no such file") from None
    except (OSError, ValueError) as error:
        if isinstance(error, SessionFileError):
            raise
        why = getattr(error, "strerror", None) or str(error)
        raise SessionFileError(f"{path.name} cannot be read: {why}") from None
