"""When a cue sounds: once it is due, a swap and a pull again while nobody answers, and not after that."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from studiotimer.session.countdowns import Forecast
from studiotimer.session.cue import Cue, Mark, leaving, mark_of

AGAIN_S = 20.0  # own rule: not heard by now, it is told again
MOST = 3  # own rule: an alarm that goes on is no news
KEPT_S = 60.0  # own rule: the minute that one press keeps a hero for
LAST_S = 30.0
"""How long before the window's end it is told once."""


@dataclass
class _Told:
    times: int = 0
    last: float = -math.inf


class Alarms:
    """What has sounded, what was hushed, and the heroes that a person keeps one minute more.

    `hushed` is called when a cue was: it sounds nowhere any more, here or on a phone.
    """

    def __init__(self, hushed: Callable[[], object] = lambda: None) -> None:
        self._tell = hushed
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
        self._tell()

    def silent(self, cue: Cue, pulled: int) -> bool:
        """Whether a cue was hushed."""
        return mark_of(cue, pulled) in self._hushed

    def keep(self, cue: Cue, pulled: int, now: float) -> bool:
        """Keep the hero that a swap or an out would take one minute more; return whether the cue was such."""
        scoop = leaving(cue)
        if scoop is None:
            return False
        self._kept[scoop] = now + KEPT_S
        self.hush(cue, pulled)
        return True

    def _until(self, cue: Cue) -> float:
        scoop = leaving(cue)
        return -math.inf if scoop is None else self._kept.get(scoop, -math.inf)

    def _wanted(self, mark: Mark, now: float, most: int) -> bool:
        told = self._told.setdefault(mark, _Told())
        if mark in self._hushed or told.times >= most or now - told.last < AGAIN_S:
            return False
        told.times, told.last = told.times + 1, now
        return True


def leaves(cue: Cue) -> bool:
    """Whether a cue takes a hero away."""
    return leaving(cue) is not None
