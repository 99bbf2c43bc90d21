"""Flags and slot maps, drawn: in ink alone, so that they read on any printer."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import QLineF, QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from studiotimer.prep.flags import Flagged, SlotMap
from studiotimer.window.paper import POINTS_AN_INCH, paper_font
from studiotimer.window.prep.pages import Pages, Strokes

POINTS_A_MM = POINTS_AN_INCH / 25.4
FLAG = QSizeF(60.0 * POINTS_A_MM, 28.0 * POINTS_A_MM)
HEAD, FOOT = 44.0, 120.0
INK, LINE = "#000000", "#6A6A6A"
CENTRE = Qt.AlignmentFlag.AlignCenter
WRAPPED = Qt.AlignmentFlag.AlignLeft | Qt.TextFlag.TextWordWrap


def flag_pages(flagged: Flagged) -> Pages:
    """Return the pages of flags, then one for each map."""
    return Pages(f"{flagged.title}: flags and slot maps", flagged, partial(_drawn, flagged))


def flags_a_page(inner: QSizeF) -> tuple[int, int]:
    """Return (columns, rows) of flags in a space of so many points."""
    return int(inner.width() // FLAG.width()), int((inner.height() - HEAD) // FLAG.height())


def _drawn(flagged: Flagged, inner: QSizeF) -> Sequence[Strokes]:
    columns, rows = flags_a_page(inner)
    each, numbers = columns * rows, flagged.numbers
    sheets = [numbers[first : first + each] for first in range(0, len(numbers), each)]
    pages: list[Strokes] = [partial(_flags, flagged, sheet, columns, inner) for sheet in sheets]
    return [*pages, *(partial(_map, flagged.title, one, inner) for one in flagged.maps)]


def _flags(flagged: Flagged, numbers: Sequence[int], columns: int, inner: QSizeF, painter: QPainter) -> None:
    _head(painter, inner, f"{flagged.title}: flags {numbers[0]} to {numbers[-1]}", flagged.how)
    for place, number in enumerate(numbers):
        at = QPointF(place % columns * FLAG.width(), HEAD + place // columns * FLAG.height())
        _flag(painter, QRectF(at, FLAG), str(number))


def _flag(painter: QPainter, box: QRectF, number: str) -> None:
    painter.setPen(QPen(QColor(LINE), 0.5))
    painter.drawRect(box)
    fold = QPen(QColor(LINE), 0.5, Qt.PenStyle.DashLine)
    painter.setPen(fold)
    middle = box.center().x()
    painter.drawLine(QLineF(middle, box.top(), middle, box.bottom()))
    half = box.width() / 2
    size = box.height() * {1: 0.78, 2: 0.66}.get(len(number), 0.48)
    painter.setFont(paper_font(size, "strong"))
    for left in (box.left(), middle):
        side = QRectF(left, box.top(), half, box.height())
        painter.setPen(QColor(INK))
        painter.drawText(side.adjusted(0, 0, 0, -box.height() * 0.06), CENTRE, number)
        painter.setPen(QPen(QColor(INK), 2.2))
        low = side.bottom() - box.height() * 0.09
        painter.drawLine(QLineF(side.left() + half * 0.2, low, side.right() - half * 0.2, low))


def _map(title: str, one: SlotMap, inner: QSizeF, painter: QPainter) -> None:
    """Draw a map as it lies before the person who takes scoops out: row 1, next to the hand, is the lowest."""
    _head(
        painter,
        inner,
        f"{title}: {one.where}",
        "A pull takes the next free slot: A1, B1 … then A2. Write its number in.",
    )
    foot = FOOT if one.cautions else 30.0
    side = min(inner.width() / one.columns, (inner.height() - HEAD - foot) / one.rows)
    names = iter(one.names)
    for row in range(one.rows):
        for column in range(one.columns):
            top = HEAD + (one.rows - 1 - row) * side
            _slot(painter, QRectF(column * side, top, side, side), next(names))
    under = HEAD + one.rows * side
    painter.setFont(paper_font(11.0))
    painter.setPen(QColor(INK))
    painter.drawText(QRectF(0, under + 6, one.columns * side, 16), CENTRE, "▲ this side next to the hand")
    painter.drawText(QRectF(0, under + 26, inner.width(), foot - 26), WRAPPED, " ".join(one.cautions))


def _slot(painter: QPainter, box: QRectF, name: str) -> None:
    painter.setPen(QPen(QColor(INK), 1.0))
    painter.drawRect(box)
    painter.setFont(paper_font(max(8.0, math.floor(box.height() * 0.22)), "strong"))
    painter.drawText(box.adjusted(4, 2, 0, 0), Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop, name)
    painter.setPen(QPen(QColor(LINE), 0.5))
    low = box.bottom() - box.height() * 0.16
    painter.drawLine(QLineF(box.left() + box.width() * 0.2, low, box.right() - box.width() * 0.2, low))


def _head(painter: QPainter, inner: QSizeF, title: str, how: str) -> None:
    painter.setPen(QColor(INK))
    painter.setFont(paper_font(15.0, "strong"))
    elided = painter.fontMetrics().elidedText(title, Qt.TextElideMode.ElideRight, int(inner.width()))
    painter.drawText(QRectF(0, 0, inner.width(), 20), Qt.AlignmentFlag.AlignLeft, elided)
    painter.setFont(paper_font(10.0))
    painter.drawText(QRectF(0, 20, inner.width(), 18), Qt.AlignmentFlag.AlignLeft, how)
