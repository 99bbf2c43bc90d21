"""A cue: something asked of a person, with when it is due and the call it makes."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

from studiotimer.session.defaults import filled
from studiotimer.session.desk import Desk, NoDefaultError
from studiotimer.session.fields import Given
from studiotimer.session.scoops import numbers
from studiotimer.units import duration

Sound = Literal["pull", "thirty", "swap"]
Mark = tuple[str, ...]

NOW_S = 1.0  # what is due sooner is due now: a second is what the clock shows


class Chip(NamedTuple):
    """One scoop of a cue, or a flavour that has no number yet: where it comes from and where it goes, if it moves."""

    scoop: int | None
    flavour: str
    came: str = ""
    to: str = ""


@dataclass(frozen=True, slots=True)
class Parts:
    """A cue in parts, to be drawn: a verb, the place it is about, its scoops, the word between them, other words."""

    verb: str = ""
    place: str = ""
    chips: tuple[Chip, ...] = ()
    joined: str = ""
    rest: str = ""


@dataclass(frozen=True)
class Cue:
    """Something asked of a person: what to do, from which session second on, and the call it makes.

    `kind` is None when there is nothing to call ("let the fog clear"). `note` says more, where there is room. `parts`
    are what is drawn of it; `words` are what the log and readers have.
    """

    kind: str | None
    words: str
    due: float
    given: Given = field(default_factory=dict)
    sound: Sound | None = None
    note: str = ""
    parts: Parts = Parts("")

    def said_at(self, now: float) -> str:
        """Return the cue as a verb and a time: "Pull pistachio in 0:40"."""
        return f"{self.words} {self.ahead_at(now)}".rstrip()

    def ahead_at(self, now: float) -> str:
        """Return how long until it is due, "in 0:40"; empty once it is."""
        ahead = self.due - now
        return "" if ahead < NOW_S or not math.isfinite(ahead) else f"in {duration(ahead)}"


def mark_of(cue: Cue, pulled: int) -> Mark:
    """Return what makes a cue the same one from one moment to the next: who leaves, or the next pull of a flavour.

    `pulled` scoops were there so far.
    """
    if (scoop := leaving(cue)) is not None:
        return "leaves", str(scoop)
    if cue.kind == "pull":
        return "pull", str(cue.given.get("flavour")), str(pulled)
    return str(cue.kind), cue.words


def leaving(cue: Cue) -> int | None:
    """Return the hero that a swap or an out takes away; None of another cue."""
    if cue.kind == "swap":
        return int(cue.given["out"])
    scoops = cue.given.get("scoops", ()) if cue.kind == "out" else ()
    return int(scoops[0]) if scoops else None


def action(
    kind: str, desk: Desk, words: str, due: float, sound: Sound | None = None, note: str = "", **given: object
) -> Iterable[Cue]:
    """Yield a cue for a call with what is filled in for it, unless there is nothing to fill in."""
    asked = Desk(desk.ledger, desk.plan, desk.at, desk.best, desk.ending, None, given)
    try:
        fields = filled(kind, asked)
    except NoDefaultError:
        return
    yield Cue(kind, words.format(**{key: _shown(value) for key, value in fields.items()}), due, given, sound, note)


def _shown(value: object) -> str:
    return numbers(value) if isinstance(value, list | tuple) and value and isinstance(value[0], int) else str(value)
