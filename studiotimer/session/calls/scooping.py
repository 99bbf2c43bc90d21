"""What calls do to scoops: put in, taken out, and assumed where a call names one that was never logged."""

from __future__ import annotations

from dataclasses import replace

from studiotimer.session.entries import Entry, Why
from studiotimer.session.scoops import Scoop, Stay, numbers
from studiotimer.session.state import ContradictionError, State
from studiotimer.units import duration

DEFAULT_PULL_TO_SET_S = 75.0
"""How long before it came on set a scoop was pulled that nobody logged, where nobody says (own rule)."""


def with_scoop(state: State, scoop: Scoop) -> State:
    """Return the state with this scoop in it."""
    return state.but(scoops=state.scoops.with_(scoop.number, scoop))


def placed(
    state: State, number: int, at: float, ago: float | None, flavour: str | None, spot: str | None, shot: str | None
) -> State:
    """Return the state with a hero on set; raises ContradictionError where it cannot come in."""
    scoop = present(state, number, at, ago, flavour or _flavour_at(state, spot))
    if scoop.hero_on_set:
        raise ContradictionError(f"scoop {number} is on set already, since {duration(at - scoop.since)}")
    if scoop.judged == "reject":
        raise ContradictionError(f"scoop {number} was judged reject; judge it again to use it")
    there = scoop if scoop.on_set else scoop.moved("set", at)
    state = with_scoop(state, replace(there, hero=True, spot=spot, shot=shot, flavour=flavour or scoop.flavour))
    if shot is not None:
        state = state.but(heroes_used={**state.heroes_used, shot: state.heroes_used.get(shot, 0) + 1})
    return state


def taken_out(scoop: Scoop, at: float, why: Why, hero: bool = True) -> Scoop:
    """Return the scoop off the set; one that was never logged is assumed to have been there, as `hero` or not."""
    if scoop.assumed and len(scoop.stays) == 1:
        scoop = replace(scoop.moved("set", at, assumed=True), hero=hero)
    if why == "restyle":
        return replace(scoop.moved("tray", at), spot=None, hero=False)
    return replace(scoop.moved("out", at), why_out=why)


def present(state: State, number: int, at: float, ago: float | None, flavour: str | None = None) -> Scoop:
    """Return the scoop, assumed if it was never logged; raises ContradictionError when it is out."""
    scoop = state.scoops.get(number)
    if scoop is None:
        return assumed(state, number, at, ago, flavour)
    if scoop.place == "out":
        why = scoop.why_out or "gone"
        raise ContradictionError(
            f"scoop {number} is already out ({why}); choose another scoop, or take the call “out” back"
        )
    return scoop


def assumed(state: State, number: int, at: float, ago: float | None, flavour: str | None = None) -> Scoop:
    """Return a scoop that was never logged, assumed to have been pulled `ago` seconds before."""
    if flavour is None:
        flavour = state.shot.flavours[0] if state.shot and state.shot.flavours else "unknown"
    pulled = at - (DEFAULT_PULL_TO_SET_S if ago is None else ago)
    return Scoop(number, flavour, (Stay("tray", pulled, assumed=True),))


def _flavour_at(state: State, spot: str | None) -> str | None:
    if state.shot is None or spot not in state.shot.spots:
        return None
    return state.shot.flavours[state.shot.spots.index(spot)]


def assumed_words(entry: Entry, state: State) -> str | None:
    """Return what a call assumes of scoops that were never logged, None when it assumes nothing."""
    if entry.kind == "pull":
        return None
    named: list[int] = []
    for field in ("scoop", "scoops", "out", "into"):
        value = getattr(entry, field, None)
        named += value if isinstance(value, tuple) else [value] if isinstance(value, int) and value is not True else []
    unknown = [number for number in named if number not in state.scoops]
    if not unknown:
        return None
    ago = getattr(entry, "assumed_pull_s", None)
    which = f"scoop {unknown[0]} was" if len(unknown) == 1 else f"scoops {numbers(unknown)} were"
    return f"{which} never logged; pulled {duration(DEFAULT_PULL_TO_SET_S if ago is None else ago)} before, is assumed"
