"""The melt ribbons beside the time: a thin one for each hero, its scoop before it and its own time after it."""

from __future__ import annotations

import math

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPainterPath, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from studiotimer.units import duration
from studiotimer.window import theme
from studiotimer.window.chart import Chart, Scale, Words, upright
from studiotimer.window.ribbon import paint_band, paint_foot, paint_runs
from studiotimer.window.set.buttons import whole_words
from studiotimer.window.set.hero_bands import HeroBand, HeroBands
from studiotimer.window.set.lettering import least, paint_number
from studiotimer.window.theme import DARK

TOP, FOOT = 21.0, 24.0
PITCH, TALL, LEAST_PITCH = 48.0, 34.0, 21.0
NAMES, TIMES = 112.0, 84.0
PAST = 125
"""How dark what is past is drawn over, of 255."""


class HeroRibbons(Chart):
    """As many ribbons as there is room for, those that end first before others; the rest is counted."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(DARK, parent)
        self._shown: HeroBands | None = None
        self._scale = 1.0
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("melt ribbon: no hero on set")

    @property
    def shown(self) -> HeroBands | None:
        """What is drawn."""
        return self._shown

    def show_bands(self, bands: HeroBands | None, empty: str = "no hero on set") -> None:
        """Show the heroes, or none."""
        if bands != self._shown:
            self._shown = bands
            self.update()
        self.setAccessibleName(bands.words if bands is not None else f"melt ribbon: {empty}")

    def set_scale(self, scale: float) -> None:
        """Draw everything `scale` times as large."""
        self._scale = scale
        self.update()

    def minimumSizeHint(self) -> QSize:
        return QSize(round(300 * self._scale), round((TOP + FOOT + LEAST_PITCH) * self._scale))

    def paint(self, painter: QPainter, area: QRectF) -> None:
        """Draw the heroes; an empty set is left to what stands there then."""
        if self._shown is not None:
            paint_bands(painter, area, self._shown, self._scale)


def paint_bands(painter: QPainter, area: QRectF, shown: HeroBands, scale: float) -> None:
    """Draw bands into an area: names left, times right, now and the swap above, the window's times below."""
    body = area.adjusted(NAMES * scale, TOP * scale, -TIMES * scale, -FOOT * scale)
    fits = max(int(body.height() // (LEAST_PITCH * scale)), 1)
    order = sorted(range(len(shown.bands)), key=lambda index: (index != shown.first, shown.bands[index].ends))
    seen = sorted(order[:fits])
    pitch = min(PITCH * scale, body.height() / len(seen))
    tall = min(TALL * scale, pitch - 9 * scale)
    along = Scale(0.0, shown.span, body.left(), body.right())
    for place, index in enumerate(seen):
        box = QRectF(body.x(), body.y() + place * pitch, body.width(), tall)
        _paint_hero(painter, area, box, shown, index, along, scale)
    low = body.y() + (len(seen) - 1) * pitch + tall
    bands = QRectF(body.x(), body.y(), body.width(), low - body.y())
    _paint_now(painter, bands, shown, along, scale)
    _paint_below(Words(painter, bands.left(), bands.right(), low + 23 * scale, 8 * scale), shown, along, scale)
    if len(seen) < len(shown.bands):
        painter.setFont(theme.font(max(13 * scale, least())))
        painter.setPen(QColor(DARK.quiet))
        painter.drawText(QPointF(area.x(), low + 21 * scale), f"{len(shown.bands) - len(seen)} more")


def _paint_hero(
    painter: QPainter, area: QRectF, box: QRectF, shown: HeroBands, index: int, along: Scale, scale: float
) -> None:
    one = shown.bands[index]
    side = box.height()
    chip = QRectF(area.x(), box.y(), max(side, 1.05 * side), side)
    paint_number(painter, chip, one.number, one.colour)
    painter.setFont(theme.font(max(15 * scale, least()), "medium"))
    painter.setPen(QColor(theme.CREAM))
    room = box.x() - chip.right() - 16 * scale
    spot = whole_words(one.spot, painter.font(), room)
    middle = Qt.AlignmentFlag.AlignVCenter
    painter.drawText(QRectF(chip.right() + 8 * scale, box.y(), room + 4, side), middle, spot)
    paint_one(painter, box, one, shown.now, along, scale, words=box.height() > 1.25 * least())
    painter.setFont(theme.font(max(min(20 * scale, side * 0.7), least()), "strong"))
    painter.setPen(QColor(one.left_colour))
    times = QRectF(box.right(), box.y(), area.right() - box.right(), side)
    painter.drawText(times, middle | Qt.AlignmentFlag.AlignRight, one.left)


def paint_one(
    painter: QPainter, box: QRectF, one: HeroBand, now: float, along: Scale, scale: float, words: bool = True
) -> None:
    """Draw one hero's band: stages, what is past dimmed, dressing hatched, its window under it, its swap above it."""
    paint_band(painter, box, one.band, along, scale, now, words)
    radius = min(box.height() / 2, 14.0 * scale)
    shape = QPainterPath()
    shape.addRoundedRect(box, radius, radius)
    x = along.within
    painter.save()
    painter.setClipPath(shape)
    since = one.band.starts[0]
    if one.dressed > since:
        hatch = QColor(theme.INK)
        hatch.setAlpha(170)
        painter.fillRect(QRectF(x(since), box.y(), x(one.dressed) - x(since), box.height()),
                         QBrush(hatch, Qt.BrushStyle.FDiagPattern))  # fmt: skip
    past = QColor(theme.INK)
    past.setAlpha(PAST)
    painter.fillRect(QRectF(box.x(), box.y(), x(now) - box.x(), box.height()), past)
    painter.restore()
    if math.isfinite(one.opens) and one.opens < one.ends:
        under = QRectF(x(one.opens), box.bottom() + 3 * scale, x(one.ends) - x(one.opens), 3 * scale)
        painter.fillRect(under, QColor(theme.CREAM))
        if one.ends <= along.high:
            upright(painter, x(one.ends), box.y(), box.bottom(), QPen(QColor(theme.INK), 5 * scale))
            upright(painter, x(one.ends), box.y(), box.bottom() + 5 * scale, QPen(QColor(theme.CREAM), 2 * scale))
    paint_foot(painter, box, one.band, along, scale)
    paint_runs(painter, box, one.band, along, scale)
    if 0.0 <= one.swap <= along.high:
        _paint_swap(painter, x(one.swap), box, scale)


def _paint_swap(painter: QPainter, x: float, box: QRectF, scale: float) -> None:
    """Mark a swap by a triangle that stands on the band."""
    half = 6 * scale
    path = QPainterPath(QPointF(x - half, box.y() - 5 * scale))
    path.lineTo(x + half, box.y() - 5 * scale)
    path.lineTo(x, box.y() + 5 * scale)
    path.closeSubpath()
    painter.setPen(QPen(QColor(theme.INK), 2 * scale))
    painter.setBrush(QColor(theme.FROST))
    painter.drawPath(path)


def _paint_now(painter: QPainter, bands: QRectF, shown: HeroBands, along: Scale, scale: float) -> None:
    x, top, bottom = along.within(shown.now), bands.y() - 4 * scale, bands.bottom() + 8 * scale
    upright(painter, x, top, bottom, QPen(QColor(theme.INK), 8 * scale))
    upright(painter, x, top, bottom, QPen(QColor(theme.CREAM), 4 * scale))
    above = Words(painter, bands.left(), bands.right(), bands.y() - 7 * scale, 8 * scale)
    _write(above, along.at(shown.now), f"now {duration(shown.now)}", theme.CREAM, "strong", scale)
    for one in (shown.bands[shown.first], *shown.bands):
        if math.isfinite(one.swap) and one.swap <= shown.span:
            _write(above, along.at(one.swap), f"swap {duration(one.swap)}", theme.FROST, "medium", scale)
    dressed = max(one.dressed for one in shown.bands)
    if dressed > 0 and shown.heroes:
        _write(above, along.start, "dressing", DARK.quiet, "regular", scale)


def _paint_below(below: Words, shown: HeroBands, along: Scale, scale: float) -> None:
    """Write when the window of all heroes together opens and ends, and how far the ribbon goes."""
    one, opens = shown.bands[shown.first], max(band.opens for band in shown.bands)
    if math.isfinite(one.ends) and one.ends <= shown.span:
        words = f"{'ended' if one.ends < shown.now else 'ends'} {duration(one.ends)}"
        _write(below, along.at(one.ends), words, theme.CREAM, "strong", scale)
    if math.isfinite(opens) and opens < one.ends:
        words = f"{'opened' if opens <= shown.now else 'opens'} {duration(opens)}"
        _write(below, along.at(opens), words, DARK.quiet, "regular", scale)
    if math.isfinite(one.band.foot) and one.band.foot <= shown.span:
        _write(below, along.at(one.band.foot), f"foot {duration(one.band.foot)}", theme.CREAM, "regular", scale)
    for words in (shown.asks, duration(shown.span)):
        _write(below, along.end, words, DARK.quiet, "regular", scale)


def _write(line: Words, x: float, words: str, colour: str, weight: theme.Weight, scale: float) -> None:
    if words:
        line.write(x, words, QColor(colour), theme.font(max(13 * scale, least()), weight))
