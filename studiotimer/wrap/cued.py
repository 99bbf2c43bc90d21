"""Cues taken and missed, worked out anew from what the program knew at each call (own rule)."""

from __future__ import annotations

from collections.abc import Sequence

from studiotimer.session.cues import Cue, cues
from studiotimer.session.desk import Desk
from studiotimer.session.entries import Entry, fields_of
from studiotimer.session.fields import Given
from studiotimer.session.forecast import Forecaster
from studiotimer.session.mending import Ledger
from studiotimer.wrap.recorded import Recorded

EARLY_S = 30.0
"""A call counts as on its cue from this long before the cue was due."""
MISSED_S = 60.0
"""A cue counts as missed once it is this long past due and something else is called."""
MOST_CALLS = 400
"""With more calls than this the tally would take too long, and is left out."""

_CUED = ("pull", "hero_in", "swap", "out", "top_up", "tub_back")
_LEAVING = ("swap", "out")


def tally(session: Recorded) -> tuple[int, int] | None:
    """Return how many calls came on a cue, and how many cues were missed; None when there are too many calls."""
    told = session.ledger.told
    if sum(one.entry.kind in _CUED for one in told) > MOST_CALLS:
        return None
    ledger, forecaster = Ledger(), Forecaster(session.plan)
    taken, missed = 0, set()
    for one in told:
        if one.entry.kind in _CUED and ledger.runs.get(one.entry.run) is not None:
            standing = _standing(session, ledger, forecaster, one.at)
            own = next((cue for cue in standing if cue.due - one.at <= EARLY_S and _answers(one.entry, cue)), None)
            taken += own is not None
            missed |= {_key(cue) for cue in standing if cue is not own and one.at - cue.due > MISSED_S}
        ledger.add(one.entry)
    return taken, len(missed)


def _standing(session: Recorded, ledger: Ledger, forecaster: Forecaster, at: float) -> Sequence[Cue]:
    forecast = forecaster.forecast(ledger.state, at)
    ending = forecast.window.ended_by if forecast.window else None
    return cues(Desk(ledger, session.plan, at, forecast.best, ending), forecast)


def _answers(entry: Entry, cue: Cue) -> bool:
    """Whether a call does what a cue asked: a hero that was to leave left, by swap or out; else the same kind."""
    if entry.kind in _LEAVING:
        return cue.kind in _LEAVING and bool(_gone(fields_of(entry)) & _gone(cue.given))
    flavour = cue.given.get("flavour")
    return cue.kind == entry.kind and flavour in (None, getattr(entry, "flavour", None))


def _gone(fields: Given) -> set[int]:
    """Return the scoops that a swap or an out takes away."""
    out = fields.get("out")
    return {out} if out is not None else set(fields.get("scoops", ()))


def _key(cue: Cue) -> tuple[str | None, str]:
    if cue.kind in _LEAVING:
        return "leave", str(sorted(_gone(cue.given)))
    return cue.kind, str(sorted(cue.given.items(), key=str))
