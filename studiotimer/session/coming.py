"""How heroes would come in: when, tempered how long, and how many frames a second that gives. Pure arithmetic."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from studiotimer.session.countdowns import HeroForecast, LineForecast
from studiotimer.session.wanted import Take

STEP_S = 5.0
MOVES_S = 8.0
"""What a move takes, its answer and the way (own rule)."""
AGAIN_S = 45.0
"""What bringing the next heroes takes where these do not get all frames: their carry and dressing (own rule)."""
TEMPER_WORTH_S = 10.0
"""Frost that goes sooner than this is left to the set (own rule)."""
TEMPERED_WITHIN_S = 240.0
"""How long at most heroes are waited for to be tempered; beyond it they are waited for in larger steps."""
WAIT_S = 600.0
"""How far ahead heroes are brought at most, and how much of a window counts (own rule)."""
WAIT_STEP_S = 15.0  # own rule: so far ahead nothing is known more exactly
_BEGINS_S = tuple(step * STEP_S for step in range(int(TEMPERED_WITHIN_S / STEP_S) + 1)) + tuple(
    TEMPERED_WITHIN_S + step * WAIT_STEP_S for step in range(1, int((WAIT_S - TEMPERED_WITHIN_S) / WAIT_STEP_S) + 1)
)


def tempered(one: LineForecast) -> bool:
    """Whether the tray takes enough frost from a scoop in the cold to be worth a move."""
    return TEMPER_WORTH_S < one.temper_s < math.inf


class Coming(NamedTuple):
    """A waiting scoop that is to come on set: what is foreseen of it, and whether it waits in the cold."""

    one: LineForecast
    cold: bool
    dressing_s: float

    def placed(self, at: float, tray_s: float) -> tuple[float, float]:
        """Return its window (seconds on set: start, end) if placed at `at` after `tray_s` of that on the tray.

        On the tray as on set its edge only warms: what the tray takes of the frost comes sooner, and so does its end.
        """
        start, end = self.one.placed(at)
        tempers = self.one.temper_s
        if not self.cold or not tempered(self.one) or not math.isfinite(start):
            return start, end
        sooner = self.sooner_s(at) * min(max(tray_s, 0.0) / tempers, 1.0)
        return start - sooner, end - sooner

    def sooner_s(self, at: float) -> float:
        """Return how much sooner its window opens for being tempered."""
        return max(self.one.placed(at)[0] - self.dressing_s, 0.0)


class Way(NamedTuple):
    """Heroes that come in: the first is taken up at `begin`; their common window, its frames, frames a second."""

    begin: float
    seconds: float
    frames: int
    rate: float


NO_WAY = Way(math.inf, 0.0, 0, 0.0)


def way(
    coming: Sequence[Coming], standing: Sequence[HeroForecast], take: Take, now: float, begin: float, walks_s: float,
    counted: float | None = None,
) -> Way:  # fmt: skip
    """Return what comes of placing scoops `walks_s` after `begin` beside the heroes that stand.

    Those in the cold are tempered from `now` on, for as long as there is and they need; the rate counts from `counted`
    on (`now`, when None).
    """
    at = begin + walks_s
    spans = [one.placed(at, begin - now - MOVES_S) for one in coming]
    opens = max(at, *(at + start for start, _ in spans), *(hero.start.likely for hero in standing))
    closes = min([*(at + end for _, end in spans), *(hero.end.likely for hero in standing)])
    if not math.isfinite(opens) or not closes > opens:
        return Way(begin, 0.0, 0, 0.0)
    seconds = min(closes - opens, WAIT_S)
    frames = min(take.fit(seconds), take.left)
    lasts = opens - (now if counted is None else counted) + frames * take.between_s
    if frames < take.left:
        lasts += AGAIN_S
    return Way(begin, seconds, frames, frames / lasts)


def best_way(
    coming: Sequence[Coming], standing: Sequence[HeroForecast], take: Take, now: float, soonest: float, walks_s: float
) -> Way:
    """Return the way in that brings most frames a second from `now` on, begun no sooner than `soonest`."""
    ways = (way(coming, standing, take, now, soonest + later, walks_s) for later in _BEGINS_S)
    return max(ways, key=lambda one: one.rate)
