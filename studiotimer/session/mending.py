"""What amend and take back make of the entries: the ones that count, as amended, in order of time."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from pydantic import ValidationError

from studiotimer.session.entries import AnyEntry
from studiotimer.session.problems import first_problem
from studiotimer.session.state import State, fold

_CHECKPOINT_EVERY = 64


@dataclass(frozen=True, slots=True)
class Run:
    """One time the file was open for writing: when its clock began, in session seconds and by the wall.

    Its place after the run before is doubtful, since the wall clock may have been set meanwhile.
    """

    number: int
    began: float
    wall: datetime
    doubtful: bool


@dataclass(frozen=True, slots=True)
class Told:
    """An entry that counts: as amended, with its session second, and how it came to be so."""

    entry: AnyEntry
    at: float
    amended: bool = False


class MendError(ValueError):
    """An amend or take back that cannot be; the message is the reason."""


def amended(entry: AnyEntry, change: dict[str, Any]) -> AnyEntry:
    """Return `entry` with `change` made.

    Raises MendError when the change does not fit the entry's kind.
    """
    if not entry.mendable:
        raise MendError(f"a {entry.kind.replace('_', ' ')} cannot be amended")
    fields = entry.model_dump(mode="python", by_alias=True) | change
    if {"n", "run", "kind", "at"} & change.keys():
        raise MendError("only a call's tick and its own fields can be amended")
    try:
        return type(entry).model_validate(fields)
    except ValidationError as error:
        raise MendError(first_problem(error)) from None


class Ledger:
    """The entries of a session and the state they fold to, kept up to date entry by entry.

    The state depends on the entries alone; keeping checkpoints only saves folding them all again.
    """

    def __init__(self) -> None:
        self.entries: list[AnyEntry] = []
        self.runs: dict[int, Run] = {}
        self.told: list[Told] = []
        self.state = State()
        self.undone: frozenset[int] = frozenset()
        self._last_at = 0.0
        self._last_wall: float | None = None
        self._checkpoints: list[tuple[int, State]] = [(0, State())]
        self._mends: list[AnyEntry] = []

    @classmethod
    def of(cls, entries: Sequence[AnyEntry]) -> Ledger:
        """Return the ledger of `entries`."""
        ledger = cls()
        for entry in entries:
            ledger._note(entry)
            if entry.kind in ("amend", "take_back"):
                ledger._mends.append(entry)
        ledger._retell()
        return ledger

    def add(self, entry: AnyEntry) -> None:
        """Take one more entry."""
        self._note(entry)
        if entry.kind in ("amend", "take_back"):
            self._mends.append(entry)
            self._retell()
        else:
            self._insert(Told(entry, self.seconds(entry)))

    def drop_last(self) -> AnyEntry:
        """Undo the last `add`; the ledger is as it was before."""
        entry = self.entries.pop()
        if self._mends and self._mends[-1] is entry:
            self._mends.pop()
        self._retell()
        return entry

    def seconds(self, entry: AnyEntry) -> float:
        """Return when `entry` happened, in session seconds."""
        return self.runs[entry.run].began + entry.tick

    def entry(self, number: int) -> AnyEntry | None:
        """Return entry `number` as it was logged."""
        if 1 <= number <= len(self.entries) and self.entries[number - 1].n == number:
            return self.entries[number - 1]
        return next((entry for entry in self.entries if entry.n == number), None)

    def _note(self, entry: AnyEntry) -> None:
        if entry.run not in self.runs:
            self.runs[entry.run] = self._new_run(entry)
        self.entries.append(entry)
        if entry.kind not in ("frame",):
            self._last_at = max(self._last_at, self.seconds(entry))
            self._last_wall = entry.at.timestamp()

    def _new_run(self, entry: AnyEntry) -> Run:
        """Date a run against the one before by the wall clock, which may have been set meanwhile."""
        wall = entry.at - timedelta(seconds=entry.tick)
        if self._last_wall is None:
            return Run(entry.run, 0.0, wall, doubtful=False)
        gap = entry.at.timestamp() - self._last_wall
        return Run(entry.run, self._last_at + max(gap, 0.0) - entry.tick, wall, doubtful=True)

    def wall_time(self, at: float) -> datetime:
        """Return the wall clock's time at session second `at`, reckoned from the run it falls in."""
        runs = sorted(self.runs.values(), key=lambda run: run.began)
        run = next((run for run in reversed(runs) if run.began <= at), runs[0])
        return run.wall + timedelta(seconds=at - run.began)

    def _insert(self, told: Told) -> None:
        place = len(self.told)
        if self.told and told.at < self.told[-1].at:
            place = bisect_right(self.told, (told.at, told.entry.n), key=lambda one: (one.at, one.entry.n))
        self.told.insert(place, told)
        if place == len(self.told) - 1:
            self.state = fold(self.state, told.entry, told.at)
            if len(self.told) % _CHECKPOINT_EVERY == 0:
                self._checkpoints.append((len(self.told), self.state))
        else:
            self._refold(place)

    def _retell(self) -> None:
        undone: set[int] = set()
        changes: dict[int, list[dict[str, Any]]] = {}
        for mend in reversed(self._mends):
            if mend.n in undone:
                continue
            if mend.kind == "take_back":
                undone.add(mend.entry)
            elif mend.kind == "amend":
                changes.setdefault(mend.entry, []).insert(0, mend.change)
        self.undone = frozenset(undone)
        told = [
            self._as_amended(entry, changes.get(entry.n))
            for entry in self.entries
            if entry.n not in undone and entry.kind not in ("amend", "take_back")
        ]
        told.sort(key=lambda one: (one.at, one.entry.n))
        same = 0
        for before, after in zip(self.told, told, strict=False):
            if before is not after and before != after:
                break
            same += 1
        self.told = told
        self._refold(same)

    def _as_amended(self, entry: AnyEntry, changes: list[dict[str, Any]] | None) -> Told:
        for change in changes or ():
            try:
                entry = amended(entry, change)
            except MendError:
                continue
        return Told(entry, self.seconds(entry), amended=bool(changes))

    def _refold(self, place: int) -> None:
        """Fold again from the last checkpoint at or before `place`."""
        while self._checkpoints[-1][0] > place:
            self._checkpoints.pop()
        start, state = self._checkpoints[-1]
        for index in range(start, len(self.told)):
            one = self.told[index]
            state = fold(state, one.entry, one.at)
            if (index + 1) % _CHECKPOINT_EVERY == 0:
                self._checkpoints.append((index + 1, state))
        self.state = state
