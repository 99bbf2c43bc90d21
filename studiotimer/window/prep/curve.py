"""The curve of a hero's edge and body over its time on set, the window shaded in it and the changes of look marked."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QMouseEvent, QPainter, QPen, QPolygonF
from PySide6.QtWidgets import QToolTip

from studiotimer import units
from studiotimer.prep.whatif import Curve, Floats
from studiotimer.window import theme
from studiotimer.window.chart import Chart, Scale, Words, marks, round_marks, time_step, upright, write_in
from studiotimer.window.theme import Theme
from studiotimer.window.tips import tip

HEIGHT = 250
LEFT, RIGHT, FOOT, ROW = 44.0, 54.0, 24.0, 18.0
"""The room for degrees, for the curves' names, for times, and for a row of words over the curves."""
MARK_WIDTH, LEAST_STEP_S, DEGREES = 76.0, 10, 7
"""How far apart times stand on the axis at least, in pixels and seconds, and how many degrees are named at most."""
END = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
EDGE = {"light": "#B5651D", "dark": theme.CARAMEL}


@dataclass(frozen=True)
class Line:
    """One line of the picture: its name, and temperatures in the units shown over seconds on set."""

    name: str
    seconds: Floats
    values: Floats
    planned: bool = False


class CurveView(Chart):
    """A curve over the curve as planned; the pointer is told what is under it."""

    def __init__(self, colours: Theme) -> None:
        super().__init__(colours)
        self.setFixedHeight(HEIGHT)
        self.setMouseTracking(True)
        self._curve: Curve | None = None
        self._style: units.Style = "metric"
        self.lines: tuple[Line, ...] = ()

    def show_curve(self, curve: Curve, planned: Curve | None, style: units.Style) -> None:
        """Draw `curve`, and thinly `planned` where it differs."""
        self._curve, self._style = curve, style
        both = [(planned, True)] if planned is not None else []
        self.lines = tuple(
            Line(name, one.seconds, _shown(values, style), thin)
            for one, thin in (*both, (curve, False))
            for name, values in (("body", one.body_c), (one.outside, one.edge_c))
        )
        ends = [f"{words} at {units.duration(at)}" for words, at in _marks(curve)]
        first = units.temperature(float(curve.edge_c[0]), style)
        self.say(
            f"curve of the {curve.outside} and the body of {curve.flavour}",
            f"the {curve.outside} begins at {first}; {', '.join(ends) or 'no change of look'}",
        )
        self.update()

    def told_at(self, x: float) -> str:
        """Return in words what the curve is at pixel `x`; empty beside it."""
        along = self._along()
        at = along.value(x)
        if self._curve is None or not along.low <= at <= along.high:
            return ""
        told = [
            f"{name} {units.temperature(float(np.interp(at, self._curve.seconds, celsius)), self._style, 1)}"
            for name, celsius in ((self._curve.outside, self._curve.edge_c), ("body", self._curve.body_c))
        ]
        return f"{units.duration(at)}  {', '.join(told)}"

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        QToolTip.showText(event.globalPosition().toPoint(), tip(self.told_at(event.position().x())), self)

    def paint(self, painter: QPainter, area: QRectF) -> None:
        """Draw the changes of look, named in rows over the rest, then window, axes and curves."""
        if self._curve is None:
            return
        along, small = self._along(), theme.font(theme.SMALL)
        rows = self._mark(painter, area, along, small)
        body = area.adjusted(LEFT, ROW * rows + 4, -RIGHT, -FOOT)
        drawn = [line.values for line in self.lines if not line.planned]
        low, high = min(float(each.min()) for each in drawn), max(float(each.max()) for each in drawn)
        room = (high - low) * 0.05 + 0.5
        up = Scale(low - room, high + room, body.bottom(), body.top())
        self._shade(painter, body, along)
        self._axes(painter, body, along, up, small)
        painter.setClipRect(body)
        for line in self.lines:
            painter.setPen(self._pen(line))
            points = zip(line.seconds.tolist(), line.values.tolist(), strict=True)
            painter.drawPolyline(QPolygonF([QPointF(along.at(at), up.at(value)) for at, value in points]))
        painter.setClipping(False)
        self._name_lines(painter, body, up)

    def _mark(self, painter: QPainter, area: QRectF, along: Scale, font: QFont) -> int:
        """Mark each change of look and name it beside its line, in the first row that has room; return the rows."""
        changes = [(words, at) for words, at in _marks(self._curve) if at <= along.high] if self._curve else []
        for _, at in changes:
            upright(painter, along.at(at), area.top(), area.bottom() - FOOT, QPen(self.colours.colour("quiet"), 1))
        rows = [Words(painter, 0.0, area.right(), area.top() + ROW * row + 14) for row in range(len(changes))]
        used = 0
        for mark, at in changes:
            words, x = f"{mark} {units.duration(at)}", along.at(at)
            ahead = x + 5 + theme.wide(words, theme.SMALL) <= area.right()
            place, before = (x + 5, 0.0) if ahead else (x - 5, 1.0)
            ink, ground = self.colours.colour("text"), self.colours.colour("ground")
            row = next(n for n, line in enumerate(rows, 1) if line.write(place, words, ink, font, before, ground))
            used = max(used, row)
        return used

    def _along(self) -> Scale:
        last = float(self._curve.seconds[-1]) if self._curve is not None else 1.0
        return Scale(0.0, last, LEFT, max(self.width() - RIGHT, LEFT + 1.0))

    def _pen(self, line: Line) -> QPen:
        if line.planned:
            return QPen(self.colours.colour("quiet"), 1, Qt.PenStyle.DashLine)
        return QPen(QColor(self.colours.accent if line.name == "body" else EDGE[self.colours.name]), 2.5)

    def _shade(self, painter: QPainter, body: QRectF, along: Scale) -> None:
        window = self._curve.window if self._curve is not None else None
        if window is not None and math.isfinite(window.start_s) and window.end_s > window.start_s:
            ground = self.colours.colour("accent")
            ground.setAlpha(38)
            left, right = along.within(window.start_s), along.within(window.end_s)
            painter.fillRect(QRectF(left, body.top(), right - left, body.height()), ground)

    def _axes(self, painter: QPainter, body: QRectF, along: Scale, up: Scale, font: QFont) -> None:
        line, quiet = QPen(self.colours.colour("line"), 1), self.colours.colour("quiet")
        unit = "°C" if self._style == "metric" else "°F"
        times = Words(painter, 0.0, body.right() + RIGHT, body.bottom() + 18)
        for at in marks(along.high, time_step(along.high, body.width() / MARK_WIDTH, LEAST_STEP_S)):
            upright(painter, along.at(at), body.bottom(), body.bottom() + 4, line)
            times.write(along.at(at), units.duration(at), quiet, font)
        for value in round_marks(up.low, up.high, DEGREES):
            painter.setPen(line)
            painter.drawLine(QPointF(body.left(), up.at(value)), QPointF(body.right(), up.at(value)))
            box = QRectF(0, up.at(value) - 9, body.left() - 6, 18)
            write_in(painter, box, f"{value:g}".replace("-", "−"), quiet, font, place=END)
        write_in(painter, QRectF(0, body.bottom() + 4, body.left() - 16, FOOT - 4), unit, quiet, font)

    def _name_lines(self, painter: QPainter, body: QRectF, up: Scale) -> None:
        """Name the curves behind their ends, the lower one lower where they end together."""
        strong = theme.font(theme.SMALL, "strong")
        lines = sorted((line for line in self.lines if not line.planned), key=lambda line: -line.values[-1])
        middle = -math.inf
        for line in lines:
            middle = max(up.at(float(line.values[-1])), middle + ROW)
            box = QRectF(body.right() + 6, middle - ROW / 2, RIGHT - 6, ROW)
            write_in(painter, box, line.name, self._pen(line).color(), strong)


def _marks(curve: Curve) -> list[tuple[str, float]]:
    """Return each change of look that comes, with its second on set."""
    return [(words, at) for words, at in curve.marks if math.isfinite(at)]


def _shown(celsius: Floats, style: units.Style) -> Floats:
    return celsius if style == "metric" else celsius * 9 / 5 + 32
