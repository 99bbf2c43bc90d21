"""The minutes along which the shots' windows are drawn, one axis for all of them. Pure."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from studiotimer.prep.shots import ShotResult
from studiotimer.thermal.scoop import HORIZON_S

STEPS_S = (10, 30, 60, 120, 300, 600, 900, 1800, 3600)
LEAST_SPAN_S = 60.0
ROOM, WORDS, TICK = 1.06, 94.0, 64.0
"""How much longer than the last end the axis is; how wide a window's words and a mark's words are, in pixels."""


@dataclass(frozen=True)
class Bar:
    """One window, in shares of the axis; `endless` when it goes on past its end."""

    start: float
    end: float
    text: str
    endless: bool = False

    @property
    def none(self) -> bool:
        """Whether there is no window."""
        return math.isnan(self.start)


@dataclass(frozen=True)
class Axis:
    """So many seconds, with a mark every `step_s`."""

    span_s: float
    step_s: float

    @property
    def ticks(self) -> list[tuple[float, str]]:
        """Return each mark as its share of the axis and its words."""
        count = int(self.span_s / self.step_s + 1e-9)
        return [(number * self.step_s / self.span_s, self._words(number * self.step_s)) for number in range(count + 1)]

    def _words(self, seconds: float) -> str:
        if self.step_s < 60:
            return f"{seconds:.0f} s"
        return f"{seconds / 60:.0f} min" if self.step_s < 3600 else f"{seconds / 3600:.0f} h"

    def bar(self, ends: tuple[float, float], text: str) -> Bar:
        """Return a window on this axis; no window stays none."""
        start, end = ends
        endless = end >= min(HORIZON_S, self.span_s * ROOM)
        return Bar(start / self.span_s, min(end / self.span_s, 1.0), text, endless)


def axis_of(shots: Sequence[ShotResult], width: float) -> Axis:
    """Return an axis `width` pixels wide with room for every window of `shots`; over three hours they run out of it."""
    ends = [ends for shot in shots for ends in (shot.plain_s, shot.iced_s) if ends and not math.isnan(ends[0])]
    spans = [_span(start, end if end < HORIZON_S else start * 1.5, min(WORDS / width, 0.6)) for start, end in ends]
    span = max([LEAST_SPAN_S, *spans])
    step = next((each for each in STEPS_S if span / each <= max(width // TICK, 2)), STEPS_S[-1])
    return Axis(span, float(step))


def _span(start: float, end: float, words: float) -> float:
    """Return how long an axis is on which a window and, before or behind it, its words have room."""
    return end * ROOM if start / (end * ROOM) >= words else end / (1 - words)


def beside(start: float, end: float, words: float, width: float, gap: float = 6.0) -> float:
    """Return where words of that width stand: behind the bar, else before it, else as far right as they may."""
    if end + gap + words <= width:
        return end + gap
    return start - gap - words if start - gap - words >= 0.0 else max(width - words, 0.0)
