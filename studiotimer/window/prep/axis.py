"""The minutes along which the shots' windows are drawn, one axis for all of them. Pure."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

from studiotimer.prep.shots import ShotResult
from studiotimer.thermal.scoop import HORIZON_S
from studiotimer.window.chart import marks, time_step

LEAST_SPAN_S, LEAST_STEP_S = 60.0, 10
ROOM, WORDS, TICK = 1.06, 94.0, 64.0
"""How much longer than the last end the axis is; how wide a window's words and a mark's words are, in pixels."""
FAR = 4.0
"""A window that ends so many times later than most do runs out of the axis: else the others would be dots on it."""
CLEAR, ARROW = 6.0, 14.0
"""How far words are from their window, and from one that runs out and ends in an arrow, in pixels."""


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
    """So many seconds, with a mark every `step_s`; `words` is the share of it that a window's words take."""

    span_s: float
    step_s: int
    words: float = 0.0

    @property
    def ticks(self) -> list[tuple[float, str]]:
        """Return each mark as its share of the axis and its words."""
        return [(at / self.span_s, self._words(at)) for at in marks(self.span_s, self.step_s)]

    def _words(self, seconds: float) -> str:
        if self.step_s < 60:
            return f"{seconds:.0f} s"
        return f"{seconds / 60:.0f} min" if self.step_s < 3600 else f"{seconds / 3600:.0f} h"

    def bar(self, ends: tuple[float, float], text: str) -> Bar:
        """Return a window on this axis; no window stays none."""
        start, end = (at / self.span_s for at in ends)
        if end < min(HORIZON_S / self.span_s, ROOM) or math.isnan(start):
            return Bar(start, min(end, 1.0), text)
        return Bar(start, 1.0 if start >= self.words else max(1.0 - self.words, start), text, endless=True)


def axis_of(shots: Sequence[ShotResult], width: float) -> Axis:
    """Return an axis `width` pixels wide with room for all windows but those that end far later than most."""
    ends = [ends for shot in shots for ends in (shot.plain_s, shot.iced_s) if ends and not math.isnan(ends[0])]
    last = min(HORIZON_S, FAR * median(end for _, end in ends)) if ends else HORIZON_S
    words = min(WORDS / width, 0.6)
    spans = [_span(start, end, words) if end < last else start * 1.5 * ROOM for start, end in ends]
    span = max([LEAST_SPAN_S, *spans])
    for start, end in sorted((one for one in ends if one[1] < last), key=lambda one: one[1]):
        if start < words * span and end > (1 - words) * span:  # room on neither side, on an axis made for another
            span = end / (1 - words)
    return Axis(span, time_step(span, max(width // TICK, 2), LEAST_STEP_S), min((WORDS + ARROW) / width, 0.6))


def _span(start: float, end: float, words: float) -> float:
    """Return how long an axis is on which a window and, before or behind it, its words have room."""
    return end * ROOM if start / (end * ROOM) >= words else end / (1 - words)


def beside(start: float, end: float, words: float, width: float, gap: float = CLEAR) -> float:
    """Return where words of that width stand: behind the bar, else before it, else as far right as they may."""
    if end + gap + words <= width:
        return end + gap
    return start - gap - words if start - gap - words >= 0.0 else max(width - words, 0.0)
