"""What every chart is drawn with, on the screen and on paper: values to pixels, round marks, words clear of others."""

from __future__ import annotations

import math
from typing import NamedTuple

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from studiotimer.window import theme

STEPS_S = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14400, 43200, 86400)
"""The steps that an axis of time is marked by."""
MIDDLE = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter


def time_step(span_s: float, most: float, least: int = 1) -> int:
    """Return the least step, of `least` seconds or more, that marks a span no more than `most` times."""
    return next((step for step in STEPS_S if step >= least and span_s / step <= most), STEPS_S[-1])


def marks(span_s: float, step_s: int) -> range:
    """Return the seconds that an axis from 0 to `span_s` is marked at."""
    return range(0, int(span_s / step_s + 1e-9) * step_s + 1, step_s)


def round_marks(low: float, high: float, most: int) -> list[float]:
    """Return the multiples of 1, 2 or 5 times a power of ten from `low` to `high`, about `most` of them at most."""
    least = (high - low) / most
    power = 10.0 ** math.floor(math.log10(least))
    step = next(times * power for times in (1, 2, 5, 10) if times * power >= least * (1 - 1e-9))
    return [number * step for number in range(math.ceil(low / step), math.floor(high / step) + 1)]


class Scale(NamedTuple):
    """Values along a side: `low` stands at pixel `start`, `high` at `end`, which is less where up is more."""

    low: float
    high: float
    start: float
    end: float

    @property
    def per(self) -> float:
        """How many pixels one is; less than 0 where up is more."""
        return (self.end - self.start) / max(self.high - self.low, 1e-6)

    def at(self, value: float) -> float:
        """Return the pixel of a value, wherever that is; infinite for what never comes."""
        return self.start + (value - self.low) * self.per

    def within(self, value: float) -> float:
        """Return the pixel of a value, kept between the ends; the last of them for NaN, what is not known to come."""
        return self.at(max(self.low, min(self.high, value)))

    def value(self, pixel: float) -> float:
        """Return the value at a pixel."""
        return self.low + (pixel - self.start) / self.per


class Words:
    """A line of words from `left` to `right` on `base`: each where it belongs, none nearer to another than `gap`."""

    def __init__(self, painter: QPainter, left: float, right: float, base: float, gap: float = 10.0) -> None:
        self._painter, self._left, self._right, self._base, self._gap = painter, left, right, base, gap
        self._taken: list[tuple[float, float]] = []

    def write(
        self, at: float, words: str, colour: QColor, font: QFont, before: float = 0.5, ground: QColor | None = None
    ) -> bool:
        """Write words of which a share `before` stands left of `at`, on `ground`; return whether there was room."""
        metrics = QFontMetricsF(font)
        width = metrics.horizontalAdvance(words)
        left = max(min(at - width * before, self._right - width), self._left)
        if any(left < end + self._gap and left + width > start - self._gap for start, end in self._taken):
            return False
        self._taken.append((left, left + width))
        if ground is not None:
            box = QRectF(left - 2, self._base - metrics.ascent(), width + 4, metrics.height())
            self._painter.fillRect(box, ground)
        self._painter.setFont(font)
        self._painter.setPen(colour)
        self._painter.drawText(QPointF(left, self._base), words)
        return True


def write_in(
    painter: QPainter, box: QRectF, words: str, colour: QColor | None = None, font: QFont | None = None,
    whole: bool = False, place: Qt.AlignmentFlag = MIDDLE,
) -> None:  # fmt: skip
    """Write words on one line in a box, shortened to fit; with `whole` they are left out where they do not.

    Colour and font are the painter's own where none is given.
    """
    painter.setPen(painter.pen() if colour is None else colour)
    painter.setFont(painter.font() if font is None else font)
    metrics = QFontMetricsF(painter.font())
    shown = metrics.elidedText(words, Qt.TextElideMode.ElideRight, max(box.width(), 0.0))
    if shown == words or not whole:
        painter.drawText(box, place, shown)


def upright(painter: QPainter, x: float, top: float, bottom: float, pen: QPen) -> None:
    """Draw a line that stands at `x`."""
    painter.setPen(pen)
    painter.drawLine(QPointF(x, top), QPointF(x, bottom))


class Chart(QWidget):
    """A widget that is drawn by one routine, `paint`, and says in words what it shows."""

    def __init__(self, colours: theme.Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.colours = colours

    def set_colours(self, colours: theme.Theme) -> None:
        """Draw in another theme."""
        self.colours = colours
        self.update()

    def say(self, name: str, description: str = "") -> None:
        """Tell a screen reader what is shown."""
        self.setAccessibleName(name)
        self.setAccessibleDescription(description)

    def paint(self, painter: QPainter, area: QRectF) -> None:
        """Draw into `area`."""
        raise NotImplementedError

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self.paint(painter, QRectF(self.rect()))
