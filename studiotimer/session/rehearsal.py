"""A recorded session played again at a chosen speed; nothing is written."""

from __future__ import annotations

from typing import NamedTuple

from studiotimer.errors import InputError
from studiotimer.session.clock import Clock, SystemClock
from studiotimer.session.entries import Entry
from studiotimer.session.live import Session, plan_of
from studiotimer.session.mending import Ledger
from studiotimer.session.reading import SessionFile

SLOWEST, FASTEST = 1.0, 60.0
USUAL_SPEED = 20.0
"""Of a recorded day, where none is asked for."""


class RehearsalAsked(NamedTuple):
    """How a day is to be rehearsed: how many times as fast; of a plan with which luck (None: drawn), without what."""

    speed: float
    luck: int | None = None
    without: tuple[str, ...] = ()


class SpeedError(InputError):
    """A speed that a rehearsal cannot have."""


def checked_speed(speed: float) -> float:
    """Return `speed`; raises SpeedError outside 1 to 60."""
    if not SLOWEST <= speed <= FASTEST:
        raise SpeedError(f"speed: {speed:g} is not possible; give {SLOWEST:g} to {FASTEST:g}")
    return speed


class Rehearsal(Session):
    """Plays the entries of a session when their time comes, on a clock that runs `speed` times as fast.

    With the last of them the day is over, and its time stands still.
    """

    takes_none = "a recorded day is being played; calls are made in a session that is opened"

    def __init__(self, held: SessionFile, speed: float = USUAL_SPEED, clock: Clock | None = None) -> None:
        super().__init__(held.path, held.header, plan_of(held.header), Ledger(), clock or SystemClock(), None)
        recorded = Ledger.of(held.entries)
        self._script = [(recorded.seconds(entry), entry) for entry in held.entries]
        self._place = 0
        self._speed = checked_speed(speed)
        self._paused = False
        self._began_at = self.began
        self._began_tick = self.clock.tick()
        self.due()

    @property
    def speed(self) -> float:
        """How many times as fast as the day itself it plays."""
        return self._speed

    @property
    def paused(self) -> bool:
        """Whether it stands still."""
        return self._paused

    @property
    def began(self) -> float:
        """The session second it begins at."""
        return self._script[0][0] if self._script else 0.0

    @property
    def next_at(self) -> float | None:
        """When the next entry comes, in session seconds; None after the last."""
        return None if self.done else self._script[self._place][0]

    @property
    def length_s(self) -> float:
        """The recorded session's length."""
        return self._script[-1][0] - self._script[0][0] if self._script else 0.0

    @property
    def done(self) -> bool:
        """Whether every entry was played: the day is over."""
        return self._place >= len(self._script)

    def time(self, tick: float | None = None) -> float:
        """Return the session second that is being played."""
        since = 0.0 if self._paused else (self.clock.tick() if tick is None else tick) - self._began_tick
        return min(self._began_at + since * self._speed, self.began + self.length_s)

    def due(self) -> list[Entry]:
        """Play the entries whose time has come, and return them."""
        played = []
        now = self.time()
        while not self.done and self._script[self._place][0] <= now:
            entry = self._script[self._place][1]
            self.ledger.add(entry)
            self.on_disk = entry.n
            played.append(entry)
            self._place += 1
        return played

    def set_speed(self, speed: float) -> None:
        """Go on at another speed; raises SpeedError outside 1 to 60."""
        self._anchor(self.time())
        self._speed = checked_speed(speed)

    def pause(self, paused: bool) -> None:
        """Stand still, or go on."""
        self._anchor(self.time())
        self._paused = paused

    def jump(self, to: float) -> None:
        """Go to a session second, forward or back."""
        if self._place and to < self._script[self._place - 1][0]:
            self.ledger = Ledger()
            self._place = 0
        self._anchor(max(to, self.began))
        self.due()

    def _anchor(self, at: float) -> None:
        self._began_at, self._began_tick = at, self.clock.tick()
