"""What amend and take back make of the entries: the ones that count, as amended, in order of time."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator
from contextlib import suppress
from copy import copy
from dataclasses import dataclass
from datetime import datetime, timedelta
from operator import attrgetter

from pydantic import ValidationError

from studiotimer.errors import CallError
from studiotimer.session.calls.mends import Amend, amends, takes_back
from studiotimer.session.calls.notes import Opened
from studiotimer.session.calls.registry import apply, field_names, fold
from studiotimer.session.clock import Anchor
from studiotimer.session.collector import no_collection
from studiotimer.session.entries import Entry, fields_of
from studiotimer.session.log import Told
from studiotimer.session.problems import first_problem
from studiotimer.session.state import ContradictionError, State

_CHECKPOINT_EVERY = 64  # so many calls are folded in a millisecond or two
SPREAD = 8
NEAR_S = 0.1  # what a hand calls at once


@dataclass(frozen=True, slots=True)
class Run:
    """One time the file was open for writing: when its clock began, in session seconds and by the wall.

    `opening` is its first entry. Its place after the run before is `doubtful` where only the wall clock tells it,
    which may have been set meanwhile; that says that `gap_s` passed, less than 0 where it was set back.
    `anchor` is where its second 0 lies on the machine's own steady clock.
    """

    number: int
    began: float
    wall: datetime
    doubtful: bool
    opening: int
    gap_s: float
    anchor: Anchor | None


class MendError(CallError):
    """An amend or take back that cannot be; the message is the reason."""


def amended(entry: Entry, change: dict[str, object]) -> Entry:
    """Return `entry` with `change` made.

    Raises MendError when the change does not fit the entry's kind.
    """
    if not entry.mendable and not dates_a_run(entry, change):
        raise MendError(f"{_called(entry)} cannot be amended")
    if {"n", "run", "kind", "at", "phone", "call_id"} & change.keys():
        raise MendError("only a call's tick and its own fields can be amended")
    fields = fields_of(entry) | change
    try:
        return type(entry).model_validate(fields)
    except ValidationError as error:
        raise MendError(f"{entry.kind}: {first_problem(error, ('tick', *field_names(entry.kind)))}") from None


def dates_a_run(entry: Entry, change: dict[str, object]) -> bool:
    """Whether `change` says how long after the entry before a run was opened, and nothing else."""
    return entry.kind == "opened" and change.keys() == {"since_s"}


class Ledger:
    """The entries of a session and the state they fold to, kept up to date entry by entry.

    The state depends on the entries alone; keeping checkpoints only saves folding them all again.
    """

    def __init__(self) -> None:
        self.entries: list[Entry] = []
        self.runs: dict[int, Run] = {}
        self.told: list[Told] = []
        self.state = State()
        self.undone: set[int] = set()
        self._last_at = 0.0
        self._last_wall: float | None = None
        self._checkpoints: list[tuple[int, State]] = [(0, State())]
        self._takers: dict[int, tuple[int, ...]] = {}
        self._changes: dict[int, tuple[Amend, ...]] = {}
        self._amended_at: dict[int, float] = {}

    @classmethod
    def of(cls, entries: Iterable[Entry]) -> Ledger:
        """Return the ledger of `entries`."""
        ledger = cls()
        with no_collection():
            for entry in entries:
                ledger._note(entry)
            for entry in reversed(ledger.entries):
                if takes_back(entry) and entry.entry < entry.n and entry.n not in ledger.undone:
                    ledger.undone.add(entry.entry)
            ledger._date_again()
            counting = (entry for entry in ledger.entries if not _mends(entry) and entry.n not in ledger.undone)
            ledger.told = sorted(map(ledger._as_amended, counting), key=attrgetter("at"))
            ledger._amended_at = {told.entry.n: told.at for told in ledger.told if told.amended}
            ledger._refold(0)
        return ledger

    def add(self, entry: Entry) -> None:
        """Take one more entry, whether or not it can be true."""
        self._note(entry)
        if _mends(entry):
            self._tell_again(self._changed_by(entry))
        else:
            self._insert(Told(entry, self.seconds(entry)))

    def admit(self, entry: Entry) -> None:
        """Take one more entry if it can be true.

        Raises ContradictionError when it cannot be, or when a later entry then could not; nothing is changed.
        """
        if not _mends(entry) and self._comes_last(entry):
            apply(self.state, entry, self.seconds(entry))
            self.add(entry)
            return
        before = self._kept()
        known = {one.n for one in self.state.contradictions}
        self.add(entry)
        for fresh in self.state.contradictions:
            if fresh.n not in known:
                self._go_back(before)
                raise ContradictionError(self._then(entry, fresh.n, fresh.why))

    def seconds(self, entry: Entry) -> float:
        """Return when `entry` happened, in session seconds."""
        return self.runs[entry.run].began + entry.tick

    @property
    def last_at(self) -> float:
        """The latest session second of an entry that was logged, frames apart."""
        return self._last_at

    def entry(self, number: int) -> Entry | None:
        """Return entry `number` as it was logged."""
        place = bisect_left(self.entries, number, key=lambda entry: entry.n)
        found = self.entries[place : place + 1]
        return found[0] if found and found[0].n == number else None

    def told_of(self, number: int) -> Told | None:
        """Return entry `number` as it counts, None when it does not."""
        entry = self.entry(number)
        if entry is None or _mends(entry) or number in self.undone:
            return None
        return self._as_amended(entry)

    def amends_of(self, number: int) -> list[tuple[Amend, Entry]]:
        """Return the amends of entry `number` that count, each with the entry as it stood before."""
        return [(one, before) for one, before, _ in self._amends(number)]

    def wall_time(self, at: float) -> datetime:
        """Return the wall clock's time at session second `at`, reckoned from the run it falls in."""
        runs = sorted(self.runs.values(), key=lambda run: run.began)
        run = next((run for run in reversed(runs) if run.began <= at), runs[0])
        return run.wall + timedelta(seconds=at - run.began)

    def _note(self, entry: Entry) -> None:
        self.entries.append(entry)
        self._date(entry)
        self._note_mend(entry)

    def _date(self, entry: Entry) -> None:
        if entry.run not in self.runs:
            self.runs[entry.run] = self._new_run(entry)
        if entry.kind != "frame":
            self._last_at = max(self._last_at, self.seconds(entry))
            self._last_wall = entry.at.timestamp()

    def _date_again(self) -> None:
        """Date the runs anew, if somebody said how long after the one before one of them began."""
        if not any(run.opening in self._changes for run in self.runs.values()):
            return
        self.runs, self._last_at, self._last_wall = {}, 0.0, None
        for entry in self.entries:
            self._date(entry)

    def _new_run(self, entry: Entry) -> Run:
        """Date a run against those before: as somebody told, by the machine's steady clock, else by the wall clock."""
        wall = entry.at - timedelta(seconds=entry.tick)
        anchor, since_s = None, None
        if isinstance(entry, Opened):
            anchor = None if entry.boot is None or entry.boot_s is None else Anchor(entry.boot, entry.boot_s)
            since_s = self._since_s(entry)
        if self._last_wall is None:
            return Run(entry.run, 0.0, wall, False, entry.n, 0.0, anchor)
        gap = entry.at.timestamp() - self._last_wall
        known: float | None = self._joined(anchor, entry.tick)
        if since_s is not None:
            known = self._last_at + since_s - entry.tick
        began = self._last_at + max(gap, 0.0) - entry.tick if known is None else known
        return Run(entry.run, began, wall, known is None, entry.n, gap, anchor)

    def _since_s(self, opened: Opened) -> float | None:
        """Return how long after the entry before a run was opened, as it was told last."""
        told = opened.since_s
        for one in self._changes.get(opened.n, ()):
            if one.n not in self.undone and dates_a_run(opened, one.change):
                with suppress(MendError):
                    changed = amended(opened, one.change)
                    told = changed.since_s if isinstance(changed, Opened) else told
        return told

    def _joined(self, anchor: Anchor | None, tick: float) -> float | None:
        """Return when a run began if an earlier one ran since the same start of the machine, None if none did.

        A clock that would have it begin before the last entry is none to go by, as that of a container may be.
        """
        for run in reversed(self.runs.values()):
            if anchor is not None and run.anchor is not None and run.anchor.boot == anchor.boot:
                began = run.began + anchor.seconds - run.anchor.seconds
                return began if began + tick >= self._last_at - NEAR_S else None
        return None

    def _comes_last(self, entry: Entry) -> bool:
        return entry.run in self.runs and (not self.told or self.told[-1].at <= self.seconds(entry))

    def _note_mend(self, entry: Entry) -> None:
        """Note whom a mend mends; one of something that comes later does nothing."""
        if amends(entry) and entry.entry < entry.n:
            self._changes[entry.entry] = (*self._changes.get(entry.entry, ()), entry)
        elif takes_back(entry) and entry.entry < entry.n:
            self._takers[entry.entry] = (*self._takers.get(entry.entry, ()), entry.n)

    def _changed_by(self, mend: Entry) -> int | None:
        """Return the call that a new mend changes, if it changes one."""
        if takes_back(mend) and mend.entry < mend.n:
            return self._settle(mend.entry)
        return mend.entry if amends(mend) and mend.entry < mend.n else None

    def _settle(self, number: int) -> int | None:
        """Mark `number`, and what its own mending undid or restored, as undone or counting; return the call changed."""
        while (self._taken_back(number)) != (number in self.undone):
            self.undone ^= {number}
            entry = self.entry(number)
            if entry is None or not takes_back(entry):
                return entry.entry if entry and amends(entry) else number
            number = entry.entry
        return None

    def _taken_back(self, number: int) -> bool:
        return any(taker not in self.undone for taker in self._takers.get(number, ()))

    def _as_amended(self, entry: Entry) -> Told:
        if entry.n not in self._changes:
            return Told(entry, self.seconds(entry))
        counts = any(one.n not in self.undone for one in self._changes[entry.n])
        for _, _, after in self._amends(entry.n):
            entry = after
        return Told(entry, self.seconds(entry), amended=counts)

    def _amends(self, number: int) -> Iterator[tuple[Amend, Entry, Entry]]:
        """Yield each amend of entry `number` that counts and fits, with the entry before it and after it."""
        entry = self.entry(number)
        for one in self._changes.get(number, ()):
            if entry is None or one.n in self.undone:
                continue
            try:
                before, entry = entry, amended(entry, one.change)
            except MendError:
                continue
            yield one, before, entry

    def _tell_again(self, number: int | None) -> None:
        """Put entry `number` where it now belongs, and fold again from there."""
        entry = None if number is None else self.entry(number)
        if entry is None or _mends(entry):
            return
        if entry.kind == "opened":
            self.__dict__.update(Ledger.of(self.entries).__dict__)
            return
        was = self._amended_at.get(entry.n, self.seconds(entry))
        place = bisect_left(self.told, (was, entry.n), key=lambda told: told.order)
        if place < len(self.told) and self.told[place].entry.n == entry.n:
            del self.told[place]
        if entry.n not in self.undone:
            told = self._as_amended(entry)
            self._amended_at[entry.n] = told.at
            place = min(place, self._put(told))
        self._refold(place)

    def _insert(self, told: Told) -> None:
        place = self._put(told)
        if place == len(self.told) - 1:
            self._fold_in(place)
        else:
            self._refold(place)

    def _put(self, told: Told) -> int:
        """Put an entry where its time belongs and return its place."""
        if not self.told or told.order > self.told[-1].order:
            self.told.append(told)
            return len(self.told) - 1
        place = bisect_right(self.told, told.order, key=lambda one: one.order)
        self.told.insert(place, told)
        return place

    def _refold(self, place: int) -> None:
        """Fold again from the last checkpoint at or before `place`."""
        while self._checkpoints[-1][0] > place:
            self._checkpoints.pop()
        start, self.state = self._checkpoints[-1]
        for index in range(start, len(self.told)):
            self._fold_in(index)

    def _fold_in(self, index: int) -> None:
        told = self.told[index]
        self.state = fold(self.state, told.entry, told.at)
        if (index + 1) % _CHECKPOINT_EVERY == 0:
            self._checkpoints.append((index + 1, self.state))
            self._thin()

    def _thin(self) -> None:
        """Leave checkpoints out, more of them the farther back they are."""
        marks = self._checkpoints
        end = marks[-1][0]
        for place in range(len(marks) - 2, 0, -1):
            if marks[place + 1][0] - marks[place - 1][0] <= (end - marks[place - 1][0]) // SPREAD:
                del marks[place]

    def _kept(self) -> dict[str, object]:
        return {name: copy(value) for name, value in self.__dict__.items() if name != "entries"}

    def _go_back(self, kept: dict[str, object]) -> None:
        self.entries.pop()
        self.__dict__.update(kept)

    def _then(self, entry: Entry, number: int, why: str) -> str:
        """Say why `entry` cannot be, when entry `number` is what could not be true."""
        other = self.entry(number)
        return (
            why if other is None or number == entry.n else f"then {_called(other)} (entry {number}) could not be: {why}"
        )


def _mends(entry: Entry) -> bool:
    return entry.kind in ("amend", "take_back")


def _called(entry: Entry) -> str:
    words = entry.kind.replace("_", " ")
    return f"{'an' if words[0] in 'aeiou' else 'a'} {words}"
