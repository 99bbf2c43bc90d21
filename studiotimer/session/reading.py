"""Reading a session file: its header, its entries, and whether it is whole, torn or damaged."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from pydantic import AwareDatetime, BaseModel, ConfigDict, ValidationError

from studiotimer.session.entries import AnyEntry, BadLineError
from studiotimer.session.lines import checked_body, from_line
from studiotimer.session.problems import first_problem

FORMAT = "studiotimer session"
VERSION = 1
SUFFIX = ".setlog"
LONGEST_LINE = 4 << 20

Condition = Literal["whole", "torn", "damaged"]


class SessionFileError(ValueError):
    """The file cannot be used as a session; the message is one clear sentence."""


class Header(BaseModel):
    """A session file's first line."""

    model_config = ConfigDict(frozen=True, extra="ignore")

    format: str
    version: int
    session: str
    created: AwareDatetime
    plan: dict[str, Any]


@dataclass(frozen=True)
class BadLine:
    """A line that could not be read: its number counted from 1, and why."""

    line: int
    why: str


@dataclass(frozen=True)
class SessionFile:
    """What a session file holds, damaged or not."""

    path: Path
    header: Header
    entries: tuple[AnyEntry, ...]
    bad_lines: tuple[BadLine, ...]
    condition: Condition
    good_bytes: int
    """How much of the file, from its start, is complete lines (a torn tail comes after)."""


def read(path: Path) -> SessionFile:
    """Return everything readable in the session at `path`.

    Raises SessionFileError when it is not a session or one of a newer version.
    """
    return parse(path, _bytes_of(path))


def parse(path: Path, data: bytes) -> SessionFile:
    """Return what `data`, the contents of `path`, holds; see `read`."""
    complete, tail = _split(data)
    entries: list[AnyEntry] = []
    bad: list[BadLine] = []
    header = _header(path, complete, tail, bad)
    expected = 1
    for number, line in enumerate(complete[1:], start=2):
        try:
            entry = _entry(line)
            if entry.n < expected:
                raise BadLineError(f"entry {entry.n} stands after entry {expected - 1}")
        except BadLineError as error:
            bad.append(BadLine(number, str(error)))
            continue
        if entry.n > expected and not _explained(entry.n - expected, number, bad):
            bad.append(BadLine(number, f"entries {expected} to {entry.n - 1} are missing before this line"))
        entries.append(entry)
        expected = entry.n + 1
    good = sum(len(line) + 1 for line in complete)
    torn = bool(tail)
    if tail and (finished := _finished(tail, expected)) is not None:
        entries.append(finished)
        torn = False
        good += len(tail)
    return SessionFile(
        path=path,
        header=header,
        entries=tuple(entries),
        bad_lines=tuple(bad) or ((BadLine(len(complete) + 1, "the last line is torn"),) if torn else ()),
        condition="damaged" if bad else "torn" if torn else "whole",
        good_bytes=good,
    )


def _bytes_of(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except FileNotFoundError:
        raise SessionFileError(f"{path.name}: there is no such file") from None
    except IsADirectoryError:
        raise SessionFileError(f"{path.name} is a folder, not a session file") from None
    except OSError as error:
        raise SessionFileError(f"{path.name} cannot be read: {error.strerror}") from None


def _split(data: bytes) -> tuple[list[bytes], bytes]:
    """Return the complete lines and what follows the last line end."""
    *complete, tail = data.split(b"\n")
    return complete, tail


def _header(path: Path, complete: list[bytes], tail: bytes, bad: list[BadLine]) -> Header:
    first = complete[0] if complete else tail
    if not first or b'"format"' not in first[:200] or FORMAT.encode() not in first[:200]:
        raise SessionFileError(f"{path.name} is not a studiotimer session (its first line does not say so)")
    try:
        header = Header.model_validate_json(checked_body(first))
    except BadLineError as error:
        header = _salvaged(path, first)
        bad.append(BadLine(1, str(error)))
    except ValidationError as error:
        raise SessionFileError(f"{path.name}: its first line is not a session's: {first_problem(error)}") from None
    if header.version > VERSION:
        raise SessionFileError(
            f"{path.name} was written by a newer studiotimer (file version {header.version}, this one reads up to "
            f"{VERSION}); open it with that version"
        )
    return header


def _salvaged(path: Path, first: bytes) -> Header:
    """Return a header for a session whose first line is damaged; its plan is lost."""
    try:
        return Header.model_validate_json(first)
    except ValidationError:
        import uuid
        from datetime import UTC, datetime

        lost = uuid.uuid5(uuid.NAMESPACE_URL, path.name)
        return Header(
            format=FORMAT, version=VERSION, session=str(lost), created=datetime.fromtimestamp(0, UTC), plan={}
        )


def _entry(line: bytes) -> AnyEntry:
    if len(line) > LONGEST_LINE:
        raise BadLineError(f"the line is {len(line)} bytes long; no entry is that long")
    try:
        return from_line(line)
    except RecursionError:
        raise BadLineError("the line is nested too deeply to be an entry") from None


def _explained(missing: int, number: int, bad: list[BadLine]) -> bool:
    """Whether the bad lines just before line `number` account for the missing entries."""
    run = 0
    while run < len(bad) and bad[-1 - run].line == number - 1 - run:
        run += 1
    return run >= missing


def _finished(tail: bytes, expected: int) -> AnyEntry | None:
    """Return the entry of a last line that lacks nothing but its line end."""
    try:
        entry = _entry(tail)
    except BadLineError:
        return None
    return entry if entry.n == expected else None
