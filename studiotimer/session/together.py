"""Two files of one session, found side by side and joined: as when two programs wrote it, each unaware of the other."""

from __future__ import annotations

import glob
import re
from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import NamedTuple

from studiotimer.plain import shown
from studiotimer.session.calls.line import Pull
from studiotimer.session.calls.mends import Amend, TakeBack
from studiotimer.session.entries import Entry
from studiotimer.session.first_lines import SUFFIX, GoneOnError, SessionFileError
from studiotimer.session.journal import create, write_all
from studiotimer.session.live import Session, open_as_can_be
from studiotimer.session.reading import SessionFile, read, read_header

JOINED = "-joined-"
_MADE = re.compile(r"-(beside|joined|moved|taken)-\d+$")
_SCOOPS = ("scoop", "scoops", "out", "into")
MOST_FILES = 20


class Other(NamedTuple):
    """A file with entries of the same session that an open one lacks."""

    path: Path
    entries: int

    @property
    def words(self) -> str:
        """What is said of it."""
        calls = f"{self.entries} entr{'y' if self.entries == 1 else 'ies'}"
        return f"{shown(self.path.name, 80)}, beside this file, has {calls} more of this session."


def base_of(path: Path) -> str:
    """Return what all files of one session are called, but for what tells them apart."""
    stem = path.stem
    while stem != (stem := _MADE.sub("", stem)):
        pass
    return stem


def other_of(path: Path, session: str, entries: Sequence[Entry]) -> Other | None:
    """Return the file beside `path` that has most entries of the session which `entries` lack; None where none has.

    One that was joined already comes first.
    """
    found = []
    for beside in _all_beside(path):
        try:
            if read_header(beside).session != session:
                continue
            theirs = _tails(entries, read(beside).entries)[1]
        except SessionFileError:
            continue
        lacking = len(_calls(_without(theirs, entries)))
        found.append((JOINED in beside.stem, lacking, beside))
    best = max((one for one in found if one[1]), default=None)
    return Other(best[2], best[1]) if best is not None else None


def gone_on(path: Path, why: SessionFileError) -> SessionFileError:
    """Return why `path` is no session, with the file beside it that has most of the session that was in it, if any."""
    found = []
    for beside in _all_beside(path):
        with suppress(SessionFileError):
            found.append((len(read(beside).entries), beside))
    return GoneOnError(str(why), max(found)[1]) if found else why


def open_or_offer(path: Path) -> Session:
    """Open a session as it can be; raises GoneOnError when it is in a file beside it instead, SessionFileError."""
    try:
        return open_as_can_be(path)
    except SessionFileError as error:
        raise gone_on(path, error) from None


def _all_beside(path: Path) -> list[Path]:
    """Return the files beside a session's that are called as its own are."""
    called = sorted(path.parent.glob(f"{glob.escape(base_of(path))}*{SUFFIX}"))[:MOST_FILES]
    return [beside for beside in called if beside != path and base_of(beside) == base_of(path)]


def joined(one: Path, other: Path, target: Callable[[], Path]) -> Path:
    """Write what two files of one session hold, each entry once, to a new file, and return its path.

    Where one of them has every call, that is the path. Raises SessionFileError when one cannot
    be read or `target`, a free path, cannot be made.
    """
    first, second = read(one), read(other)
    mine, theirs = _tails(first.entries, second.entries)
    more = _without(theirs, mine)
    if not _calls(_without(mine, theirs)):
        return other
    if not _calls(more):
        return one
    path = target()
    journal, _ = create(path, first.header.plan, first.header.created, first.header.session)
    write_all(journal, _merged(first, mine, theirs, more))
    journal.close()
    return path


def _merged(first: SessionFile, mine: Sequence[Entry], theirs: Sequence[Entry], more: Sequence[Entry]) -> list[Entry]:
    """Return all entries, in order of their time, numbered afresh; runs and scoops that both counted are told apart."""
    before = list(first.entries[: len(first.entries) - len(mine)])
    own = {_key(entry): entry for entry in mine}
    twins = [(own[_key(entry)], entry) for entry in theirs if _key(entry) in own]
    runs = {their.run: mine.run for mine, their in twins}
    runs |= _renumbered([one.run for one in (*before, *mine)], _own_runs(mine, more))
    scoops = {their.scoop: mine.scoop for mine, their in twins if isinstance(mine, Pull) and isinstance(their, Pull)}
    pulled = {one.scoop for one in (*before, *mine) if isinstance(one, Pull)}
    again = [one.scoop for one in more if isinstance(one, Pull) and one.scoop in pulled]
    scoops |= _renumbered([*pulled, *(one.scoop for one in more if isinstance(one, Pull))], again)
    their_twin = {mine.n: their.n for mine, their in twins}
    numbers: dict[tuple[bool, int], int] = {(True, entry.n): entry.n for entry in before}
    entries = before
    for is_mine, entry in _by_time(mine, more):
        number = len(entries) + 1
        change: dict[str, object] = {"n": number}
        numbers[is_mine, entry.n] = number
        if isinstance(entry, Amend | TakeBack):
            change["entry"] = numbers.get((is_mine, entry.entry)) or numbers.get((True, entry.entry), entry.entry)
        if not is_mine:
            change |= {"run": runs.get(entry.run, entry.run), **_rescooped(entry, scoops)}
        entries.append(entry.model_copy(update=change))
        if is_mine and entry.n in their_twin:
            numbers[False, their_twin[entry.n]] = number
    return entries


def _tails(mine: Sequence[Entry], theirs: Sequence[Entry]) -> tuple[Sequence[Entry], Sequence[Entry]]:
    """Return what stands in either after what both begin with."""
    same = 0
    for one, other in zip(mine, theirs, strict=False):
        if one != other:
            break
        same += 1
    return mine[same:], theirs[same:]


def _without(entries: Iterable[Entry], others: Iterable[Entry]) -> list[Entry]:
    keys = {_key(entry) for entry in others}
    return [entry for entry in entries if _key(entry) not in keys]


def _key(entry: Entry) -> tuple[str, datetime, float]:
    """Return what an entry is known by in any file, whatever numbers it has there: its kind and moment."""
    return entry.kind, entry.at, entry.tick


def _calls(entries: Iterable[Entry]) -> list[Entry]:
    return [entry for entry in entries if entry.kind not in ("opened", "closed")]


def _own_runs(mine: Sequence[Entry], more: Sequence[Entry]) -> list[int]:
    """Return the runs that `more` opened under a number that a run of `mine` has too."""
    taken = {entry.run for entry in mine}
    return [entry.run for entry in more if entry.kind == "opened" and entry.run in taken]


def _renumbered(taken: Iterable[int], again: Iterable[int]) -> dict[int, int]:
    highest = max(taken, default=0)
    return {number: highest + place for place, number in enumerate(dict.fromkeys(again), 1)}


def _rescooped(entry: Entry, scoops: dict[int, int]) -> dict[str, object]:
    """Return the fields of an entry that name a scoop which has another number now."""
    changed: dict[str, object] = {}
    for name in _SCOOPS:
        value = getattr(entry, name, None)
        if isinstance(value, tuple):
            changed[name] = tuple(scoops.get(one, one) for one in value)
        elif isinstance(value, int):
            changed[name] = scoops.get(value, value)
    return changed


def _by_time(mine: Sequence[Entry], more: Sequence[Entry]) -> list[tuple[bool, Entry]]:
    """Return both in one order: each as it was written, the earlier of the two next first."""
    left, right = list(mine), list(more)
    order: list[tuple[bool, Entry]] = []
    while left or right:
        own = not right or (bool(left) and left[0].at <= right[0].at)
        order.append((own, (left if own else right).pop(0)))
    return order
