"""What is drawn of the cues at a moment: the one that leads, its scoops, its time, what follows. Pure."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from studiotimer.session.countdowns import Forecast
from studiotimer.session.cue import Chip, Cue
from studiotimer.session.entries import LOCKS
from studiotimer.session.state import State
from studiotimer.window.set.face import stage_at
from studiotimer.window.set.flavours import Palette

QUESTIONS = ("got_it", "look")
"""The kinds of cue that only ask: they never stand before one that has to be done."""


class ChipFace(NamedTuple):
    """One scoop (or a flavour without a number): its names from long to short, its way, its colour."""

    number: str
    forms: tuple[str, ...]
    came: str
    to: str
    colour: str


class LockCard(NamedTuple):
    """One lock: its key, its name, whether it is locked, whether it is the one that is cued."""

    key: str
    name: str
    on: bool
    cued: bool


class Line(NamedTuple):
    """A small line: a quiet word before, what it says, and a time."""

    before: str
    words: str
    time: str = ""

    @property
    def said(self) -> str:
        """Return it as a reader says it."""
        return " ".join(part for part in (self.before, self.words, self.time) if part)


@dataclass(frozen=True)
class CueFace:
    """The cue: verb and place, the time ("now" when `due`), its scoops, the word between them, and small lines."""

    verb: str = ""
    place: str = ""
    time: str = ""
    due: bool = False
    chips: tuple[ChipFace, ...] = ()
    joined: str = ""
    rest: str = ""
    lines: tuple[Line, ...] = ()
    about: str = ""
    locks: tuple[LockCard, ...] = ()


def in_order(found: Sequence[Cue]) -> list[Cue]:
    """Return cues with the quiet questions after everything that has to be done."""
    return sorted(found, key=lambda cue: cue.kind in QUESTIONS)


def cue_face(found: Sequence[Cue], now: float, palette: Palette, state: State, keys: Mapping[str, str]) -> CueFace:
    """Return what is drawn of cues in order (see `in_order`) at session second `now`."""
    if not found:
        return CueFace()
    first, parts = found[0], found[0].parts
    ahead = first.ahead_at(now)
    due = not ahead and first.kind is not None and math.isfinite(first.due)
    return CueFace(
        parts.verb or first.words,
        parts.place,
        "now" if due else ahead,
        due,
        tuple(_chip(chip, palette) for chip in parts.chips),
        parts.joined,
        parts.rest,
        tuple(_lines(found, now, keys)),
        "",
        _locks(first, state, keys),
    )


def stand_ins(state: State, forecast: Forecast | None, now: float) -> tuple[Line, ...]:
    """Return what stands on set for a hero, scoops (in their stage, once it is known) and props, a line each."""
    known = {one.scoop: one for one in forecast.heroes} if forecast else {}
    scoops = (
        f"{scoop.number} {stage_at(known[scoop.number], now)}" if scoop.number in known else str(scoop.number)
        for scoop in state.stand_ins()
    )
    props = (prop.removeprefix("stand-in ") for prop in state.props)
    return tuple(Line("stand-in", words) for words in (*scoops, *props))


def brief(cue: Cue) -> str:
    """Return a cue in as few words as tell it: its verb and its numbers, "Swap 8 for 4"."""
    parts = cue.parts
    joined = f" {parts.joined} " if parts.joined else ", "
    scoops = joined.join(str(chip.scoop) for chip in parts.chips if chip.scoop is not None)
    flavours = " ".join(chip.flavour for chip in parts.chips if chip.scoop is None)
    return " ".join(part for part in (parts.verb, scoops, flavours, parts.rest) if part)


def _lines(found: Sequence[Cue], now: float, keys: Mapping[str, str]) -> list[Line]:
    lines = [Line("", found[0].note)] if found[0].note else []
    asked = next((cue for cue in found[1:] if cue.kind in QUESTIONS and cue.due <= now), None)
    if asked is not None:
        lines.append(Line(keys.get(str(asked.kind), ""), asked.words))
    following = next((cue for cue in found[1:] if cue.kind not in QUESTIONS), None)
    if following is not None:
        lines.append(Line("then", f"{following.words[:1].lower()}{following.words[1:]}", following.ahead_at(now)))
    return lines


def _chip(chip: Chip, palette: Palette) -> ChipFace:
    number = "" if chip.scoop is None else str(chip.scoop)
    forms = palette.forms(chip.flavour) if chip.flavour else ()
    return ChipFace(number, forms, chip.came, chip.to, palette.colour(chip.flavour))


def _locks(first: Cue, state: State, keys: Mapping[str, str]) -> tuple[LockCard, ...]:
    if first.kind != "lock":
        return ()
    cued = first.given.get("which")
    return tuple(LockCard(keys.get(f"lock:{one}", ""), one, state.locks[one], one == cued) for one in LOCKS)
