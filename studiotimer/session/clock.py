"""The clock a session runs on: one that counts sleep and that nobody can set."""

from __future__ import annotations

import contextlib
import sys
import time
from datetime import UTC, datetime
from pathlib import Path
from typing import NamedTuple, Protocol

from studiotimer.session.fields import LATEST_YEAR

EARLIEST, LATEST = datetime(1970, 1, 2, tzinfo=UTC), datetime(LATEST_YEAR, 12, 31, tzinfo=UTC)
"""A day after the first there is, so that it can be said in every zone."""
MADE_IN, LASTS_YEARS = 2025, 75
LOOK_AGAIN_S = 0.2  # long against both clocks' grain
BOOT_ID = Path("/proc/sys/kernel/random/boot_id")


class Anchor(NamedTuple):
    """Where a run's clock began on a clock that nobody can set: since which start of the machine, and its seconds."""

    boot: str
    seconds: float


class Clock(Protocol):
    """Seconds since the run began, and the wall clock's time in UTC."""

    def anchor(self) -> Anchor | None:
        """Return where this run's second 0 lies on the machine's steady clock; None where that cannot be told."""
        ...

    def tick(self) -> float:
        """Return seconds since the run began, time asleep included."""
        ...

    def stands(self) -> bool:
        """Whether the clock stands still, or runs far too slowly, by another clock of the machine."""
        ...

    def now(self) -> datetime:
        """Return the wall clock's time, in UTC; it may jump."""
        ...


def steady_seconds() -> float:
    """Return seconds on the machine's clock that counts sleep and cannot be set."""
    if sys.platform == "linux":
        return time.clock_gettime(time.CLOCK_BOOTTIME)
    if sys.platform == "darwin":
        return time.clock_gettime(time.CLOCK_MONOTONIC_RAW)
    return time.monotonic()


def boot_id() -> str | None:
    """Return what tells one start of this machine from another, None where the system has no such thing."""
    if sys.platform == "linux":
        with contextlib.suppress(OSError, ValueError):
            return BOOT_ID.read_text(encoding="ascii").strip()[:64] or None
    return None


def sayable(at: datetime) -> datetime:
    """Return the nearest time that an entry can have: a clock that is years off must not keep calls from being made."""
    return min(max(at, EARLIEST), LATEST)


def wrong_year_words(now: datetime) -> list[str]:
    """Return what is said of a wall clock whose year cannot be true; nothing of one that may be right."""
    if MADE_IN <= now.year <= MADE_IN + LASTS_YEARS:
        return []
    return [
        f"This machine's clock says {now.year}. Working times do not hang on it, but set it before pictures are "
        "matched to this shoot."
    ]


class SystemClock:
    """The machine's clocks, counted from when this object was made."""

    def __init__(self) -> None:
        self._began = steady_seconds()
        self._looked = (self._began, time.monotonic())
        self._stands = False

    def anchor(self) -> Anchor | None:
        """Return where this run's second 0 lies since the machine was started."""
        boot = boot_id()
        return None if boot is None else Anchor(boot, self._began)

    def stands(self) -> bool:
        """Whether the steady clock went on by less than half of what another did since it was looked at last."""
        now = (steady_seconds(), time.monotonic())
        went, other = (one - before for one, before in zip(now, self._looked, strict=True))
        if other >= LOOK_AGAIN_S:
            self._looked, self._stands = now, went < other / 2
        return self._stands

    def tick(self) -> float:
        """Return seconds since this run began, time asleep included."""
        return steady_seconds() - self._began

    def now(self) -> datetime:
        """Return the wall clock's time, in UTC."""
        return sayable(datetime.now(UTC))
