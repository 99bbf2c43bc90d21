"""The log as a call is filled in from it: what counts, what was taken back, the state it makes."""

from __future__ import annotations

from collections.abc import Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from studiotimer.session.entries import Entry
from studiotimer.session.state import State


@dataclass(frozen=True, slots=True)
class Told:
    """An entry that counts: as amended, with its session second, and how it came to be so."""

    entry: Entry
    at: float
    amended: bool = False

    @property
    def order(self) -> tuple[float, int]:
        """What the entries that count are sorted by."""
        return self.at, self.entry.n


class Log(Protocol):
    """What defaults and choices ask of the log; `mending.Ledger` is it."""

    @property
    def state(self) -> State:
        """The state that the entries make."""

    @property
    def entries(self) -> Sequence[Entry]:
        """Every entry as it was logged."""

    @property
    def undone(self) -> AbstractSet[int]:
        """The numbers of those taken back."""

    def entry(self, number: int) -> Entry | None:
        """Return entry `number` as it was logged."""

    def told_of(self, number: int) -> Told | None:
        """Return entry `number` as it counts, None when it does not."""

    def seconds(self, entry: Entry) -> float:
        """Return when `entry` happened, in session seconds."""

    def wall_time(self, at: float) -> datetime:
        """Return the wall clock's time at session second `at`."""
