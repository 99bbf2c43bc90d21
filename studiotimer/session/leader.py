"""What a follower knows of who writes the session: what time it is there, when it was heard last, whether it is gone.

Everything heard was made before it arrived, so each arrival says of the leader's clock: at least this late. The latest
of these is taken, counted on the follower's own steady clock; no wall clock has a part in it.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import NamedTuple

from studiotimer.plain import plain
from studiotimer.session.beat import Beat
from studiotimer.session.calls.notes import Opened
from studiotimer.session.entries import Entry
from studiotimer.session.mending import Ledger
from studiotimer.units import duration

FORGET_S = 900.0
"""How long an arrival counts: two machines' clocks run apart by less than 0.1 s in that time (memory: 100 ppm)."""
QUIET_S = 5.0
"""From so long a silence on a follower says how old its news is (own rule)."""
GONE_S = 15.0
"""From so long a silence on the leader is gone, and who follows may go on (own rule)."""
FIRST_S = 4.0
"""How long a follower that has just begun waits before it says that it heard nothing."""
APART_S = 2.0
"""From where on it is told by how much the two clocks differ (own rule)."""


class News(NamedTuple):
    """What was found at one look: when, on the follower's steady and wall clocks, and what."""

    at: float
    wall: datetime
    entries: Sequence[Entry] = ()
    beat: Beat | None = None


@dataclass
class Leader:
    """Who writes a session that is followed; `hear` everything in order of arrival."""

    began: float
    """When following began, on the follower's steady clock."""
    run: int | None = None
    heard: float | None = None
    """When something new arrived last; None while nothing did."""
    machine: str = "the other machine"
    went_on: str | None = None
    closed: bool = False
    _ahead: deque[tuple[float, float]] = field(default_factory=deque)
    """Arrivals, each with by how much the run's tick was then at least ahead of the steady clock; falling."""
    _apart: deque[tuple[float, float]] = field(default_factory=deque)
    _beat: Beat | None = None
    _first: bool = True

    def hear(self, news: News) -> None:
        """Take in what arrived."""
        for entry in news.entries:
            if entry.run != self.run and (self.run is None or entry.run > self.run):
                self.run = entry.run
                self._ahead.clear()
            if entry.run == self.run and entry.kind != "frame":
                _note(self._ahead, news.at, entry.tick - news.at)
            if isinstance(entry, Opened):
                self.machine = plain(entry.machine)
            self.closed = entry.kind == "closed"
        if news.entries and not self._first:
            self.heard = news.at
        self._hear_beat(news)
        self._first = False

    def _hear_beat(self, news: News) -> None:
        beat = news.beat
        if beat is None or beat == self._beat:
            return
        self.went_on = beat.went_on
        if beat.run == self.run:
            _note(self._ahead, news.at, beat.tick - news.at)
        if self._beat is not None:
            self.heard = news.at
            _note(self._apart, news.at, (beat.at - news.wall).total_seconds())
        self._beat = beat

    def tick(self, at: float) -> float | None:
        """Return the run's tick at `at` on the steady clock, None before anything of it is known."""
        while len(self._ahead) > 1 and self._ahead[0][0] < at - FORGET_S:
            self._ahead.popleft()
        return at + self._ahead[0][1] if self._ahead else None

    def second(self, ledger: Ledger, at: float, wall: datetime) -> float:
        """Return the session second at `at`; by the wall clock, too, while the leader was never heard."""
        tick = self.tick(at)
        run = ledger.runs.get(self.run) if self.run is not None else None
        if tick is None or run is None:
            return ledger.state.last_time
        second = run.began + tick
        if self.heard is None and ledger.entries:
            last = ledger.entries[-1]
            return max(second, ledger.seconds(last) + (wall - last.at).total_seconds())
        return second

    def silent_s(self, at: float) -> float:
        """Return for how long nothing new arrived."""
        return at - (self.began if self.heard is None else self.heard)

    def gone(self, at: float) -> bool:
        """Whether nobody writes the session any more, as far as can be told from here."""
        return self.closed or self.silent_s(at) >= GONE_S

    @property
    def behind_s(self) -> float:
        """By how much this machine's wall clock is behind the leader's; 0 while that is not known."""
        return self._apart[0][1] if self._apart else 0.0

    def words(self, at: float) -> list[str]:
        """Return what is said of the leader, one sentence each."""
        said = []
        if self.went_on is not None:
            said.append(f"The shoot went on in {self.went_on}; open that one to follow it.")
        elif self.closed:
            said.append(f"The session was closed on {self.machine}.")
        elif self.heard is None:
            if self.silent_s(at) >= FIRST_S:
                said.append(
                    f"Nothing was heard of {self.machine} yet; working times are by this machine's clock, and in doubt."
                )
        elif self.silent_s(at) >= GONE_S:
            said.append(f"{self.machine} is gone: last heard {duration(self.silent_s(at))} ago.")
        elif self.silent_s(at) >= QUIET_S:
            said.append(f"{self.machine} last heard {duration(self.silent_s(at))} ago.")
        if abs(self.behind_s) >= APART_S:
            way = "behind" if self.behind_s > 0 else "ahead of"
            said.append(
                f"This machine's clock is {duration(round(abs(self.behind_s)))} {way} that of {self.machine}; "
                "working times do not hang on it."
            )
        return said


def _note(falling: deque[tuple[float, float]], at: float, value: float) -> None:
    """Keep the largest value first, and after it only what may become the largest once that is forgotten."""
    while falling and falling[-1][1] <= value:
        falling.pop()
    falling.append((at, value))
