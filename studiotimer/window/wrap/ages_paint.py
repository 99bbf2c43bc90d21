"""Selects against age drawn: for each age the frames taken, those chosen filled in, the best span marked."""

from __future__ import annotations

import math

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter, QPen

from studiotimer.units import duration
from studiotimer.window import theme
from studiotimer.window.chart import Scale, Words
from studiotimer.window.paper import paper_font
from studiotimer.wrap.selects import BIN_S, ByAge

AXIS = 24.0
TOP = 40.0
MOST_BARS = 60
LABEL, NUMBER = 44.0, 16.0


def paint_ages(painter: QPainter, area: QRectF, by_age: ByAge, colours: theme.Theme) -> None:
    """Draw one look's selects by age into `area`."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    body = area.adjusted(0, TOP, 0, -AXIS)
    bins = by_age.bins[:MOST_BARS]
    along = Scale(0.0, max(len(bins), 12) * BIN_S, body.left(), body.right())
    up = Scale(0.0, max(1, *(one.count for one in bins)), body.bottom(), body.top())
    font, quiet, step = paper_font(theme.SMALL), colours.colour("quiet"), BIN_S * along.per
    times = Words(painter, body.left(), body.right(), body.bottom() + 16)
    for index, one in enumerate(bins):
        left = along.at(index * BIN_S)
        wide = max(step - 4, 1.0)
        painter.setPen(QPen(quiet, 1))
        if one.count:
            painter.drawRect(QRectF(left + 2, up.at(one.count), wide, body.bottom() - up.at(one.count)))
        chosen = QRectF(left + 2, up.at(one.selects), wide, body.bottom() - up.at(one.selects))
        painter.fillRect(chosen, colours.colour("accent"))
        if one.selects and step >= NUMBER:
            figure = Words(painter, left, left + step, up.at(one.count) - 5)
            figure.write(left + step / 2, str(one.selects), quiet, font)
        if index % math.ceil(LABEL / step) == 0:
            times.write(left + 1, duration(one.start_s), quiet, font, 0.0)
    painter.setPen(QPen(colours.colour("line"), 1))
    painter.drawLine(body.bottomLeft(), body.bottomRight())
    if by_age.start_s is not None and by_age.end_s is not None:
        _paint_best(painter, body, along, by_age.start_s, by_age.end_s, colours)
    painter.restore()


def _paint_best(
    painter: QPainter, body: QRectF, along: Scale, start_s: float, end_s: float, colours: theme.Theme
) -> None:
    left, right, ink = along.at(start_s), along.at(end_s), colours.colour("text")
    painter.setPen(QPen(ink, 3))
    painter.drawLine(QPointF(left, body.bottom() + 3), QPointF(max(right, left + 3), body.bottom() + 3))
    words = f"best {duration(start_s)} to {duration(end_s)}"
    said = Words(painter, body.left(), body.right(), body.top() - TOP + 13)
    said.write((left + right) / 2, words, ink, paper_font(theme.SMALL, "strong"))
