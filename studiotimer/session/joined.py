"""How a run of a session was joined to the one before: what is said of it, and how it is set right."""

from __future__ import annotations

from typing import NamedTuple

from studiotimer.session.mending import Ledger, Run
from studiotimer.session.state import State
from studiotimer.units import long_duration

SET_S = 2.0
"""A wall clock that moved this much less or more than the machine's steady clock was set."""


class Doubt(NamedTuple):
    """A run whose place after the one before hangs on the wall clock alone: what is said, and what can be amended."""

    words: str
    opening: int
    by_wall_s: float

    def amendment(self, since_s: float) -> dict[str, object]:
        """Return the fields of the amend call which says that the file was closed for `since_s` seconds."""
        return {"entry": self.opening, "change": {"since_s": round(since_s, 3)}}


def doubt(ledger: Ledger, number: int) -> Doubt | None:
    """Return the doubt about run `number`; None when it is placed well, or nothing hangs on it."""
    run = ledger.runs.get(number)
    if run is None or not run.doubtful or not _matters(ledger.state):
        return None
    if run.gap_s < 0:
        said = (
            f"this machine's clock stands {long_duration(-run.gap_s)} before the last entry; it goes on as if at once"
        )
    else:
        said = f"by this machine's clock the session was closed for {long_duration(run.gap_s)}"
    return Doubt(
        f"Working times are in doubt: {said}. That clock may have been set, or be another machine's.",
        run.opening,
        max(run.gap_s, 0.0),
    )


def clock_words(ledger: Ledger, number: int) -> list[str]:
    """Return what is said of a run that was placed well although the wall clock was set meanwhile."""
    run, before = ledger.runs.get(number), _before(ledger, number)
    if run is None or before is None or run.doubtful:
        return []
    moved = (run.wall - before.wall).total_seconds() - (run.began - before.began)
    if abs(moved) < SET_S:
        return []
    way = "forward" if moved > 0 else "back"
    return [f"The wall clock was set {way} by {long_duration(abs(moved))} meanwhile; working times go on as they were."]


def _before(ledger: Ledger, number: int) -> Run | None:
    earlier = [run for run in ledger.runs.values() if run.number != number]
    return earlier[-1] if earlier else None


def _matters(state: State) -> bool:
    """Whether anything in play grows older while the file is closed."""
    return bool(state.active() or state.tubs_out)
