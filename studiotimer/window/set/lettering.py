"""Letters by the height of their capitals, and the shape of a scoop: what is drawn large on Set and crew screen."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache
from typing import NamedTuple

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPainterPath, QPen

from studiotimer.window import theme

TOP_CORNER, BOTTOM_CORNER = 0.44, 0.14
"""Corners of a scoop, in its height."""
LEAST_PIXELS = 13.0
"""The smallest letters that are drawn here, the same on the screen however large this run draws."""


class Drawn(NamedTuple):
    """Words that were drawn: what they are, what they would be whole, what is seen, and how high capitals are."""

    part: str
    wanted: str
    shown: str
    cap: float
    box: QRectF


@cache
def _share(weight: theme.Weight) -> float:
    """Return how high capitals are, in the size of their type."""
    return QFontMetricsF(theme.font(1000, weight)).capHeight() / 1000.0


def font_of(cap: float, weight: theme.Weight = "strong") -> QFont:
    """Return the typeface with capitals at least `cap` pixels high."""
    return theme.font(math.ceil(cap / _share(weight) - 1e-6), weight)


def width_of(words: str, font: QFont) -> float:
    """Return how wide words are in one of the program's fonts."""
    return theme.wide(words, font.pixelSize(), theme.weight_of(font))


def below_of(words: str, font: QFont) -> float:
    """Return how far words hang below their line: 0 where no letter does."""
    return max(QFontMetricsF(font).tightBoundingRect(words).bottom(), 0.0)


def least() -> float:
    """Return the least size of letters, in logical pixels."""
    return theme.unzoomed(LEAST_PIXELS)


def write(
    painter: QPainter, part: str, words: str, font: QFont, place: QPointF, colour: str, room: float = math.inf
) -> Drawn:
    """Write words from `place` on its line, shortened to `room`, and return what is seen."""
    metrics = QFontMetricsF(font)
    fits = width_of(words, font) <= room + 0.5
    shown = words if fits else metrics.elidedText(words, Qt.TextElideMode.ElideRight, max(room, 0.0))
    painter.setFont(font)
    painter.setPen(QColor(colour))
    painter.drawText(place, shown)
    cap, width = metrics.capHeight(), width_of(shown, font)
    return Drawn(part, words, shown, cap, QRectF(place.x(), place.y() - cap, width, cap))


def scoop_path(box: QRectF) -> QPainterPath:
    """Return the outline of a scoop: round above, nearly square below."""
    top = min(box.height() * TOP_CORNER, box.width() / 2)
    low = min(box.height() * BOTTOM_CORNER, box.width() / 2)
    path = QPainterPath(QPointF(box.left() + top, box.top()))
    path.lineTo(box.right() - top, box.top())
    path.arcTo(QRectF(box.right() - 2 * top, box.top(), 2 * top, 2 * top), 90, -90)
    path.lineTo(box.right(), box.bottom() - low)
    path.arcTo(QRectF(box.right() - 2 * low, box.bottom() - 2 * low, 2 * low, 2 * low), 0, -90)
    path.lineTo(box.left() + low, box.bottom())
    path.arcTo(QRectF(box.left(), box.bottom() - 2 * low, 2 * low, 2 * low), 270, -90)
    path.lineTo(box.left(), box.top() + top)
    path.arcTo(QRectF(box.left(), box.top(), 2 * top, 2 * top), 180, -90)
    path.closeSubpath()
    return path


def paint_scoop(painter: QPainter, box: QRectF, colour: str, outlined: bool = False) -> str:
    """Draw a scoop in a flavour's colour, or only its outline; return the colour of words on it."""
    painter.save()
    if outlined:
        line = max(box.height() * 0.04, 2.0)
        painter.setPen(QPen(QColor(colour), line))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPath(scoop_path(box.adjusted(line / 2, line / 2, -line / 2, -line / 2)))
    else:
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(colour))
        painter.drawPath(scoop_path(box))
    painter.restore()
    return theme.CREAM if outlined else theme.INK


def paint_number(painter: QPainter, box: QRectF, number: str, colour: str, outlined: bool = False) -> None:
    """Draw a small scoop with its number."""
    ink = paint_scoop(painter, box, colour, outlined)
    size = max(box.height() * 0.62, least())
    while size > 8 and theme.wide(number, size, "strong") > box.width() - 4:
        size -= 1
    painter.setFont(theme.font(size, "strong"))
    painter.setPen(QColor(ink))
    painter.drawText(box, Qt.AlignmentFlag.AlignCenter, number)


def two_lines(words: str) -> list[str]:
    """Return words on two lines of as much the same length as there are; one where there is but one word."""
    parts = words.split()
    if len(parts) < 2:
        return [words]
    ways = ([" ".join(parts[:cut]), " ".join(parts[cut:])] for cut in range(1, len(parts)))
    return min(ways, key=lambda lines: max(len(line) for line in lines))


def widest(lines: Sequence[str], font: QFont) -> float:
    """Return how wide the widest of some lines is."""
    return max((width_of(line, font) for line in lines), default=0.0)
