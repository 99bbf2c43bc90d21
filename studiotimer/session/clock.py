"""The clock a session runs on: one that counts sleep and that nobody can set."""

from __future__ import annotations

import sys
import time
from datetime import UTC, datetime
from typing import Protocol


class Clock(Protocol):
    """Seconds since the run began, and the wall clock's time in UTC."""

    def tick(self) -> float:
        """Return seconds since the run began, time asleep included."""
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


class SystemClock:
    """The machine's clocks, counted from when this object was made."""

    def __init__(self) -> None:
        self._began = steady_seconds()

    def tick(self) -> float:
        """Return seconds since this run began, time asleep included."""
        return steady_seconds() - self._began

    def now(self) -> datetime:
        """Return the wall clock's time, in UTC."""
        return datetime.now(UTC)
