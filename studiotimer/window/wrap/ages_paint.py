"""Selects against age drawn: for each age the frames taken, those chosen filled in, the best span marked."""

from __future__ import annotations

import math

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPen

from studiotimer.units import duration
from studiotimer.window import theme
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
    most = max(max(one.count for one in bins), 1)
    step = body.width() / max(len(bins), 12)
    painter.setFont(paper_font(theme.SMALL))
    for index, one in enumerate(bins):
        left = body.left() + index * step
        height = body.height() * one.count / most
        bar = QRectF(left + 2, body.bottom() - height, max(step - 4, 1.0), height)
        painter.setPen(QPen(colours.colour("quiet"), 1))
        if one.count:
            painter.drawRect(bar)
        chosen = body.height() * one.selects / most
        painter.fillRect(QRectF(bar.left(), body.bottom() - chosen, bar.width(), chosen), colours.colour("accent"))
        painter.setPen(colours.colour("quiet"))
        if one.selects and step >= NUMBER:
            box = QRectF(left, body.bottom() - height - 17, step, 15)
            painter.drawText(box, Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignBottom, str(one.selects))
        if index % math.ceil(LABEL / step) == 0:
            painter.drawText(QPointF(min(left + 1, body.right() - 30), body.bottom() + 16), duration(one.start_s))
    painter.setPen(QPen(colours.colour("line"), 1))
    painter.drawLine(body.bottomLeft(), body.bottomRight())
    if by_age.start_s is not None and by_age.end_s is not None:
        _paint_best(painter, body, step, by_age.start_s, by_age.end_s, colours)
    painter.restore()


def _paint_best(
    painter: QPainter, body: QRectF, step: float, start_s: float, end_s: float, colours: theme.Theme
) -> None:
    left, right = (body.left() + at / BIN_S * step for at in (start_s, end_s))
    painter.setPen(QPen(colours.colour("text"), 3))
    painter.drawLine(QPointF(left, body.bottom() + 3), QPointF(max(right, left + 3), body.bottom() + 3))
    painter.setFont(paper_font(theme.SMALL, "strong"))
    painter.setPen(colours.colour("text"))
    words = f"best {duration(start_s)} to {duration(end_s)}"
    width = QFontMetricsF(painter.font()).horizontalAdvance(words) + 2
    place = min(max((left + right - width) / 2, body.left()), body.right() - width)
    painter.drawText(QRectF(place, body.top() - TOP, width, 16), Qt.AlignmentFlag.AlignLeft, words)
