"""Reading a session file: its header, its entries, and whether it is whole, torn or damaged."""

import uuid
from collections.abc import Sequence
from pathlib import Path
from typing import Literal, NamedTuple

from pydantic import BaseModel, ConfigDict, ValidationError

from studiotimer.session.collector import no_collection
from studiotimer.session.entries import Entry
from studiotimer.session.fields import Count, Name, Wall
from studiotimer.session.first_lines import (
    FORMAT,
    LONGEST_LINE,
    VERSION,
    BadLineError,
    SessionFileError,
    bytes_of,
    checked_body,
    first_line,
)
from studiotimer.session.lines import from_line
from studiotimer.session.problems import first_problem

MOST_ENTRIES, MOST_BAD = 250_000, 10_000
"""Where reading stops: more entries than a year of shoots has, and more damage than anything can be made of."""

Condition = Literal["whole", "torn", "damaged"]


class Header(BaseModel):
    """A session file's first line."""

    model_config = ConfigDict(frozen=True, extra="ignore")

    format: Literal["studiotimer session"]
    version: Count
    session: Name
    created: Wall
    plan: dict[str, object]


class BadLine(NamedTuple):
    """A line that could not be read: its number counted from 1, and why."""

    line: int
    why: str


class SessionFile(NamedTuple):
    """What a session file holds, damaged or not."""

    path: Path
    header: Header
    entries: tuple[Entry, ...]
    bad_lines: tuple[BadLine, ...]
    condition: Condition
    good_bytes: int
    """How much of the file, from its start, is complete lines (a torn tail comes after)."""


class Scan:
    """The entry lines of a session read one after the other, the first of them being line 2 of the file."""

    def __init__(self) -> None:
        self.entries: list[Entry] = []
        self.bad: list[BadLine] = []
        self.line = 1
        self._expected = 1

    @property
    def full(self) -> bool:
        """Whether reading stops: there are more entries, or more lines that cannot be read, than there may be."""
        return len(self.bad) >= MOST_BAD or len(self.entries) >= MOST_ENTRIES

    def take(self, line: bytes) -> None:
        """Read the next line."""
        self.line += 1
        try:
            entry = self.entry_on(line)
        except BadLineError as error:
            self.bad.append(BadLine(self.line, str(error)))
            return
        missing = entry.n - self._expected
        if missing > self._bad_just_before():
            span = f"entries {self._expected} to {entry.n - 1} are" if missing > 1 else f"entry {self._expected} is"
            self.bad.append(BadLine(self.line, f"{span} missing before this line"))
        self.entries.append(entry)
        self._expected = entry.n + 1

    def entry_on(self, line: bytes) -> Entry:
        """Return the entry on the next line, without taking it; raises BadLineError when there is none."""
        if len(line) > LONGEST_LINE:
            raise BadLineError(f"the line is {len(line)} bytes long; no entry is that long")
        entry = from_line(line)
        if entry.n < self._expected:
            raise BadLineError(f"entry {entry.n} stands after entry {self._expected - 1}")
        return entry

    def follows(self, line: bytes) -> bool:
        """Whether `line` holds the entry that comes next."""
        try:
            return self.entry_on(line).n == self._expected
        except BadLineError:
            return False

    def _bad_just_before(self) -> int:
        count = 0
        while count < len(self.bad) and self.bad[-1 - count].line == self.line - 1 - count:
            count += 1
        return count


def read(path: Path) -> SessionFile:
    """Return everything readable in the session at `path`.

    Raises SessionFileError when it is not a session or one of a newer version.
    """
    return parse(path, bytes_of(path))


def read_header(path: Path) -> Header:
    """Return the first line of the session at `path`, without reading the rest; raises SessionFileError."""
    first = first_line(path)
    return header_on(path, first.removesuffix(b"\n")) or read(path).header


def parse(path: Path, data: bytes) -> SessionFile:
    """Return what `data`, the contents of `path`, holds; see `read`."""
    begin = data.find(b"\n") + 1
    first = data[: begin - 1] if begin else data
    begin = begin or len(data)
    header = header_on(path, first)
    scan = Scan()
    with no_collection():
        while not scan.full and (end := data.find(b"\n", begin)) >= 0:
            scan.take(data[begin:end])
            begin = end + 1
    tail = data[begin:]
    bad = scan.bad
    if scan.full and tail:
        bad.append(BadLine(scan.line + 1, "there is too much before it; reading stopped here"))
    if header is None:
        header = _salvaged(path, first, scan.entries)
        bad = [BadLine(1, "the line was changed: what it says of the plan may be wrong"), *bad]
    good = len(data) - len(tail)
    if tail and scan.follows(tail):
        scan.take(tail)
        good, tail = len(data), b""
    if tail and not bad:
        bad = [BadLine(scan.line + 1, "the last line is torn")]
        return SessionFile(path, header, tuple(scan.entries), tuple(bad), "torn", good)
    return SessionFile(path, header, tuple(scan.entries), tuple(bad), "damaged" if bad else "whole", good)


def header_on(path: Path, line: bytes) -> Header | None:
    """Return the header on a session's first line, None when the line is damaged.

    Raises SessionFileError when it is whole and not a session's, or one of a newer version.
    """
    try:
        header = Header.model_validate_json(checked_body(line))
    except BadLineError:
        return None
    except ValidationError as error:
        raise SessionFileError(f"{path.name}: its first line is not a session's: {first_problem(error)}") from None
    if header.version > VERSION:
        raise SessionFileError(
            f"{path.name} was written by a newer studiotimer (file version {header.version}, this one reads up to "
            f"{VERSION}); open it with that version"
        )
    return header


def _salvaged(path: Path, first: bytes, entries: Sequence[Entry]) -> Header:
    """Return what a damaged first line still says; raises SessionFileError when no entry says it is a session."""
    if not entries:
        if first.startswith(b'{"format":"%s"' % FORMAT.encode()):
            raise SessionFileError(f"{path.name} holds nothing but a damaged first line; there is nothing to open")
        raise SessionFileError(f"{path.name} is not a studiotimer session (its first line does not say so)")
    try:
        return Header.model_validate_json(first).model_copy(update={"version": VERSION})
    except ValidationError:
        lost = uuid.uuid5(uuid.NAMESPACE_URL, path.name)
        return Header(format=FORMAT, version=VERSION, session=str(lost), created=entries[0].at, plan={})
