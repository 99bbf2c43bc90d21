"""What can be said on set of the pictures taken: how many of this take, the newest, and that none comes."""

from __future__ import annotations

from studiotimer.plain import short
from studiotimer.prep.found import counted
from studiotimer.session.state import State
from studiotimer.units import duration

MISSED_S = 20.0
"""A hero stands this long without a picture before it is said (own rule)."""
LONGEST_NAME = 24


def frames_words(state: State) -> str:
    """Return how many frames this take has and the newest one's name, empty before the first."""
    if state.last_frame is None:
        return ""
    count = counted(state.frames - state.frames_before_take, "frame")
    return f"{count} of this take, last {short(state.last_frame[0], LONGEST_NAME)}"


def no_frame_s(state: State, at: float) -> float | None:
    """Return for how long a hero has stood without a picture at session second `at`; None while that is no matter."""
    heroes = state.heroes()
    if not heroes or state.hold is not None:
        return None
    since = max(one.since for one in heroes)
    if state.last_frame is not None:
        since = max(since, state.last_frame[1])
    return at - since if at - since >= MISSED_S else None


def no_frame_words(state: State, at: float) -> str:
    """Return that no picture comes while a hero stands, empty where one did."""
    missed = no_frame_s(state, at)
    return "" if missed is None else f"no frame for {duration(missed)}"
