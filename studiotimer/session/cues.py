"""What the program asks of the crew next."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from studiotimer.session.defaults import Desk, NoDefaultError, filled, free_spots
from studiotimer.session.wording import numbers


@dataclass(frozen=True)
class Cue:
    """One call the cue key would make now, in a verb and what it acts on."""

    kind: str
    words: str
    given: Mapping[str, Any] = field(default_factory=dict)


def next_call(desk: Desk) -> Cue:
    """Return the next sensible call: the shot, a pull, hero in, then swap."""
    state = desk.state
    if state.shot is None:
        return _cue("shot", desk)
    if state.heroes():
        if free_spots(state) and state.line():
            return _cue("hero_in", desk)
        going = filled("swap", desk)
        if going["in"] in state.scoops:
            return _cue("swap", desk)
        return _cue("pull", desk)
    if state.line():
        return _cue("hero_in", desk)
    return _cue("pull", desk)


def _cue(kind: str, desk: Desk) -> Cue:
    try:
        return Cue(kind, action(kind, filled(kind, desk), desk))
    except NoDefaultError:
        return Cue(kind, kind)


def action(kind: str, fields: Mapping[str, Any], desk: Desk) -> str:
    """Return what a call would do as a verb and its object: "Pull pistachio", "Swap lemon spot for 15"."""
    state = desk.state
    match kind:
        case "shot":
            return f"Begin {fields['name']}"
        case "pull":
            return f"Pull {fields['flavour']}"
        case "hero_in":
            return f"Hero in {numbers(fields['scoops'])}"
        case "swap":
            going = state.scoops.get(fields["out"])
            spot = going.spot if going and going.spot else str(fields["out"])
            return f"Swap {spot} for {fields['in']}"
        case "top_up":
            return f"Top-up {fields['mass_kg']:g} kg"
        case _:
            return kind
