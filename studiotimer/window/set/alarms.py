"""When a cue sounds: once it is due, a swap and a pull again while nobody answers, and not after that."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from studiotimer.session.countdowns import Forecast
from studiotimer.session.cues import Cue

AGAIN_S = 20.0
MOST = 3
KEPT_S = 60.0
LAST_S = 30.0
"""How long before the window's end it is told once."""

Mark = tuple[str, ...]


@dataclass
class _Told:
    times: int = 0
    last: float = -math.inf


class Alarms:
    """What has sounded, what was hushed, and the heroes that a person keeps one minute more."""

    def __init__(self) -> None:
        self._told: dict[Mark, _Told] = {}
        self._hushed: set[Mark] = set()
        self._kept: dict[int, float] = {}

    def standing(self, cues: Sequence[Cue]) -> list[Cue]:
        """Return the cues with those of heroes that are kept put off; in the order of their due times as before."""
        put_off = [replace(cue, due=max(cue.due, self._until(cue))) for cue in cues]
        late = [cue for cue, was in zip(put_off, cues, strict=True) if cue.due != was.due]
        order = [cue for cue in put_off if cue not in late]
        for cue in late:
            place = next((index for index, one in enumerate(order) if one.due > cue.due), len(order))
            order.insert(place, cue)
        return order

    def sounding(self, cues: Sequence[Cue], forecast: Forecast | None, pulled: int, now: float) -> list[str]:
        """Return the sounds whose time has come at session second `now`; `pulled` scoops were there so far."""
        due = [(cue.sound, mark_of(cue, pulled)) for cue in cues if cue.sound and cue.due <= now]
        sounds: list[str] = [sound for sound, mark in due if sound and self._wanted(mark, now, MOST)]
        window = forecast.window if forecast else None
        if window is not None and 0.0 < window.end.likely - now <= LAST_S:
            sounds += ["thirty"] if self._wanted(("thirty", str(window.ended_by)), now, 1) else []
        return sounds

    def heard(self, cues: Sequence[Cue], pulled: int, now: float) -> list[Cue]:
        """Return the due cues that sounded last, at once; the first of all where none sounded."""
        told = {at: self._told.get(mark_of(cue, pulled), _Told()) for at, cue in enumerate(cues)}
        last = max((told[at].last for at, cue in enumerate(cues) if cue.due <= now), default=-math.inf)
        found = [cue for at, cue in enumerate(cues) if cue.due <= now and told[at].last == last]
        return found if last > -math.inf else [cues[0]]

    def hush(self, cue: Cue, pulled: int) -> None:
        """Let a cue be silent from now on: it was answered, or seen."""
        self._hushed.add(mark_of(cue, pulled))

    def keep(self, cue: Cue, pulled: int, now: float) -> bool:
        """Keep the hero that a swap or an out would take one minute more; return whether the cue was such."""
        scoop = _leaving(cue)
        if scoop is None:
            return False
        self._kept[scoop] = now + KEPT_S
        self.hush(cue, pulled)
        return True

    def _until(self, cue: Cue) -> float:
        scoop = _leaving(cue)
        return -math.inf if scoop is None else self._kept.get(scoop, -math.inf)

    def _wanted(self, mark: Mark, now: float, most: int) -> bool:
        told = self._told.setdefault(mark, _Told())
        if mark in self._hushed or told.times >= most or now - told.last < AGAIN_S:
            return False
        told.times, told.last = told.times + 1, now
        return True


def mark_of(cue: Cue, pulled: int) -> Mark:
    """Return what makes a cue the same one from one moment to the next: who leaves, or the next pull of a flavour."""
    if (scoop := _leaving(cue)) is not None:
        return "leaves", str(scoop)
    if cue.kind == "pull":
        return "pull", str(cue.given.get("flavour")), str(pulled)
    return str(cue.kind), cue.words


def leaves(cue: Cue) -> bool:
    """Whether a cue takes a hero away."""
    return _leaving(cue) is not None


def _leaving(cue: Cue) -> int | None:
    """Return the hero that a swap or an out takes away."""
    if cue.kind == "swap":
        return int(cue.given["out"])
    scoops = cue.given.get("scoops", ()) if cue.kind == "out" else ()
    return int(scoops[0]) if scoops else None
