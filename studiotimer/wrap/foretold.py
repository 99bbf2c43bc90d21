"""Forecast against seen: what was said of each change, when the scoop came on set and just before it was seen."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from studiotimer.session.calls.seen import LookSeen
from studiotimer.session.countdowns import Band, WallChanges
from studiotimer.session.entries import WALL_SEEN, Seen
from studiotimer.session.feet import with_feet
from studiotimer.session.forecast import changes_on_set, foot_on_set
from studiotimer.session.learning import prior, taus_of
from studiotimer.session.state import State
from studiotimer.thermal import learn
from studiotimer.wrap.recorded import Recorded
from studiotimer.wrap.stays import OnSet, Step


@dataclass(frozen=True, slots=True)
class Foretold:
    """A change seen on a scoop `seen_s` after it came on set, and what had been said of it (seconds on set)."""

    scoop: int
    flavour: str
    what: Seen
    seen_s: float
    placed: Band
    before: Band
    entry: int

    @property
    def late_s(self) -> float:
        """By how many seconds it came later than was said when the scoop was placed; negative for sooner."""
        return self.seen_s - self.placed.likely

    @property
    def within(self) -> bool:
        """Whether it came within the 10 to 90 % band said when the scoop was placed."""
        return self.placed.early <= self.seen_s <= self.placed.late


def foretold(session: Recorded, steps: Sequence[Step], stays: Sequence[OnSet]) -> list[Foretold]:
    """Return every change seen on set beside its forecasts, in order of time.

    A forecast is what the program held then: it follows from the entries that count up to that moment and from the
    looks seen before it, and from nothing after.
    """
    sayer = _Sayer(session)
    found = []
    for step in steps:
        call = step.told.entry
        if not isinstance(call, LookSeen) or call.not_yet:
            continue
        stay = next((one for one in stays if one.scoop == call.scoop and one.since <= step.told.at <= one.until), None)
        if stay is None:
            continue
        placed = sayer.said(stay.state, stay, stay.since, call.seen, learned=sayer.by(stay.since))
        before = sayer.said(step.before, stay, step.told.at, call.seen, learned=sayer.before(step.told.at))
        if placed is not None and before is not None:
            found.append(
                Foretold(call.scoop, stay.flavour, call.seen, step.told.at - stay.since, placed, before, call.n)
            )
    return found


class _Sayer:
    """Says again what was said of a scoop on set."""

    def __init__(self, session: Recorded) -> None:
        self._session = session
        self._at = [one.at for one in session.learned.observations]
        self._held = [prior(session.plan)]
        for one in session.learned.observations:
            self._held.append(one.told_to(self._held[-1]))

    def by(self, at: float) -> learn.Belief:
        """Return the belief after everything seen up to `at`."""
        return self._held[bisect_right(self._at, at)]

    def before(self, at: float) -> learn.Belief:
        """Return the belief before what was seen at `at`."""
        return self._held[bisect_left(self._at, at)]

    def said(self, state: State, stay: OnSet, at: float, what: Seen, learned: learn.Belief) -> Band | None:
        """Return when on set a change was to come, None for a scoop that was not known to stand there."""
        scoop = state.scoops.get(stay.scoop)
        if scoop is None or not scoop.on_set:
            return None
        plan, climate = self._session.plan, self._session.climate
        taus = taus_of(learned, plan, {one.flavour for one in (scoop, *with_feet(state))})
        if what == "foot":
            times = foot_on_set(state, plan, scoop, climate, at, taus)
        else:
            changes = changes_on_set(plan, scoop, climate, at, taus)
            walls = isinstance(changes, WallChanges)
            times = changes.of(what) if walls == (what in WALL_SEEN) else None
        if times is None:
            return None
        return Band(times.early - stay.since, times.likely - stay.since, times.late - stay.since)
