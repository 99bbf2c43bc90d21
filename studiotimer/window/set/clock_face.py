"""The life left to the hero in large figures that never jitter."""

from __future__ import annotations

from functools import lru_cache

from PySide6.QtCore import QPointF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPainterPath, QPaintEvent, QTransform
from PySide6.QtWidgets import QSizePolicy, QWidget

from studiotimer.window import theme
from studiotimer.window.set.fresh import STOPPED, Fresh

_FIGURES = "0123456789"
USUAL = "0:00"
LABEL_HEIGHT = 24.0
OVERSHOOT = 0.03
"""How far round figures reach below their line, in their height."""


@lru_cache(maxsize=64)
def _glyph(letter: str) -> tuple[QPainterPath, float]:
    """Return a letter's outline with figures 1 high, standing on 0, and its width; all figures are one width."""
    face = theme.font(200, "strong")
    metrics = QFontMetricsF(face)
    height = metrics.tightBoundingRect("0").height()
    path = QPainterPath()
    path.addText(QPointF(0, 0), face, letter)
    width = max(metrics.horizontalAdvance(one) for one in _FIGURES) if letter in _FIGURES else 0.0
    width = width or metrics.horizontalAdvance(letter)
    path.translate((width - metrics.horizontalAdvance(letter)) / 2, 0)
    return QTransform.fromScale(1 / height, 1 / height).map(path), width / height


def figures_width(words: str, height: float) -> float:
    """Return how wide `words` are when figures are `height` high."""
    return sum(_glyph(letter)[1] for letter in words) * height


def paint_figures(painter: QPainter, words: str, left: float, base: float, height: float, colour: QColor) -> None:
    """Draw `words` from `left` on the line `base`, figures `height` high."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(colour)
    for letter in words:
        path, width = _glyph(letter)
        painter.save()
        painter.translate(left, base)
        painter.scale(height, height)
        painter.drawPath(path)
        painter.restore()
        left += width * height


def fitting(words: str, metrics: QFontMetricsF, room: float) -> str:
    """Return as many of some words' parts, which commas divide, as there is room for; of the first what has room."""
    parts = words.split(", ")
    while len(parts) > 1 and metrics.horizontalAdvance(", ".join(parts)) > room:
        parts.pop()
    return metrics.elidedText(", ".join(parts), Qt.TextElideMode.ElideRight, room)


class ClockFace(QWidget):
    """The life left, with a line above that says in which stage the hero is and how its window stands."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._words, self._label, self._detail, self._colour = "", "", "", theme.CREAM
        self._figure_height = 160.0
        self._label_height = LABEL_HEIGHT
        self.fresh = Fresh(self)
        self.fresh.changed.connect(self._name)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    @property
    def words(self) -> str:
        """What the clock shows."""
        return self._words

    @property
    def label(self) -> str:
        """What is being counted."""
        return self._label

    @property
    def figure_height(self) -> float:
        """How high a figure is, in logical pixels."""
        return self._figure_height

    def set_figure_height(self, pixels: float, scale: float) -> None:
        """Make figures `pixels` high, and the words above them `scale` times as large."""
        self._figure_height = pixels
        self._label_height = LABEL_HEIGHT * scale
        self._fit()

    @property
    def detail(self) -> str:
        """In which stage the hero is, and how its window stands."""
        return self._detail

    @property
    def colour(self) -> str:
        """The colour of the figures."""
        return self._colour

    def say(self, words: str, label: str, colour: str = theme.CREAM, detail: str = "") -> None:
        """Show a time and `detail` in `colour`, and before that what is counted."""
        self.fresh.mark()
        if (words, label, colour, detail) == (self._words, self._label, self._colour, self._detail):
            return
        self._words, self._label, self._colour, self._detail = words, label, colour, detail
        self._name(self.fresh.stale)
        self._fit()
        self.update()

    def sizeHint(self) -> QSize:
        width = max(figures_width(self._words, self._figure_height), figures_width(USUAL, self._figure_height))
        return QSize(round(width) + 2, round(self._figure_height * (1 + 2 * OVERSHOOT) + self._label_height))

    def paintEvent(self, event: QPaintEvent) -> None:
        self.fresh.draw(self, self._paint)

    def _name(self, stopped: bool) -> None:
        said = f"{self._label}: {self._words}" if self._words else self._label
        self.setAccessibleName(STOPPED if stopped else ", ".join(part for part in (said, self._detail) if part))

    def _paint(self, painter: QPainter) -> None:
        size = max(self._label_height * 0.7, theme.unzoomed(13.0))
        base = self._label_height * 0.72
        plain, strong = theme.font(size), theme.font(size, "strong")
        left = QPointF(2, base)
        painter.setFont(plain)
        painter.setPen(QColor(theme.DARK.quiet))
        painter.drawText(left, self._label)
        left.setX(left.x() + QFontMetricsF(plain).horizontalAdvance(f"{self._label}  "))
        painter.setFont(strong)
        painter.setPen(QColor(self._colour))
        room = self.width() - left.x()
        painter.drawText(left, fitting(self._detail, QFontMetricsF(strong), room))
        low = self._label_height + self._figure_height * (1 + OVERSHOOT)
        paint_figures(painter, self._words, 0, low, self._figure_height, QColor(self._colour))

    def _fit(self) -> None:
        if self.size() != self.sizeHint():
            self.setFixedSize(self.sizeHint())
