"""Forecast against seen: what was said of each change, when the scoop came on set and just before it was seen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from studiotimer.session.countdowns import Band, Changes
from studiotimer.session.entries import LookSeen, Seen
from studiotimer.session.forecast import Forecaster
from studiotimer.session.state import State
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

    A forecast is worked out as it was then: from the entries that count up to that moment and nothing after
    (other scoops are left out of the forecast, but not of what was learned).
    """
    forecaster = Forecaster(session.plan)
    found = []
    for step in steps:
        call = step.told.entry
        if not isinstance(call, LookSeen):
            continue
        stay = next((one for one in stays if one.scoop == call.scoop and one.since <= step.told.at <= one.until), None)
        if stay is None:
            continue
        placed = _said(forecaster, stay.state, stay, stay.since, call.seen)
        before = _said(forecaster, step.before, stay, step.told.at, call.seen)
        if placed is not None and before is not None:
            found.append(
                Foretold(call.scoop, stay.flavour, call.seen, step.told.at - stay.since, placed, before, call.n)
            )
    return found


def _said(forecaster: Forecaster, state: State, stay: OnSet, at: float, what: Seen) -> Band | None:
    scoop = state.scoops.get(stay.scoop)
    if scoop is None or not scoop.on_set:
        return None
    others_out = {
        number: other if number == stay.scoop or other.place == "out" else other.moved("out", at)
        for number, other in state.scoops.items()
    }
    said = forecaster.forecast(state.but(scoops=others_out), at).on_set(stay.scoop)
    if said is None:
        return None
    band = _band(said.changes, what)
    return Band(band.early - stay.since, band.likely - stay.since, band.late - stay.since)


def _band(changes: Changes, what: Seen) -> Band:
    return {
        "sheen": changes.sheen, "edges": changes.edges, "first drip": changes.first_drip, "slump": changes.slump
    }[what]  # fmt: skip
