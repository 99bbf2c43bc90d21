"""The curve of a hero's edge and body over its time on set, drawn with pyqtgraph (MIT licence).

The library takes about half a second and 40 MB, so it is imported when the first curve is drawn.
"""

from __future__ import annotations

import math
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QResizeEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from studiotimer import units
from studiotimer.prep.whatif import Curve
from studiotimer.window import theme
from studiotimer.window.theme import Theme

HEIGHT = 250
MARK_WIDTH = 130.0
STEPS_S = (15, 30, 60, 120, 300, 600, 1200, 1800, 3600)
MOST_TICKS = 9
EDGE = {"light": "#B5651D", "dark": theme.CARAMEL}


class CurveView(QWidget):
    """A curve, the window shaded in it and the changes of look marked, over the curve as planned."""

    def __init__(self, colours: Theme) -> None:
        super().__init__()
        import pyqtgraph  # type: ignore[import-untyped]

        self._pg: Any = pyqtgraph
        self.colours = colours
        self.setFixedHeight(HEIGHT)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        self.plot = pyqtgraph.PlotWidget(background=None, antialias=True)
        self.plot.setMouseEnabled(x=False, y=False)
        self.plot.setMenuEnabled(False)
        self.plot.hideButtons()
        self.plot.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.plot.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.plot.setStyleSheet("background: transparent")
        column.addWidget(self.plot)
        self._drawn: tuple[Curve, Curve | None, units.Style] | None = None

    def show_curve(self, curve: Curve, planned: Curve | None, style: units.Style) -> None:
        """Draw `curve`, and thinly `planned` where it differs."""
        self._drawn = (curve, planned, style)
        pg, plot, colours = self._pg, self.plot, self.colours
        plot.clear()
        edge_colour, body_colour = EDGE[colours.name], colours.accent
        edge, body = _shown(curve.edge_c, style), _shown(curve.body_c, style)
        last = float(curve.seconds[-1])
        self._shade(curve, last)
        if planned is not None:
            thin = pg.mkPen(colours.quiet, width=1, style=Qt.PenStyle.DashLine)
            for values in (planned.edge_c, planned.body_c):
                plot.plot(planned.seconds, _shown(values, style), pen=thin)
        plot.plot(curve.seconds, body, pen=pg.mkPen(body_colour, width=2.5))
        plot.plot(curve.seconds, edge, pen=pg.mkPen(edge_colour, width=2.5))
        low = float(min(edge.min(), body.min()))
        high = float(max(edge.max(), body.max()))
        room = (high - low) * 0.16 + 0.5
        plot.setXRange(0, last, padding=0.0)
        plot.setYRange(low - room * 0.4, high + room, padding=0)
        self._mark(curve, last, high + room)
        for words, values, colour in ((curve.outside, edge, edge_colour), ("body", body, body_colour)):
            place = len(values) * 3 // 4
            text = pg.TextItem(words, color=colour, anchor=(0.0, 0.0))
            text.setFont(theme.font(theme.SMALL, "strong"))
            text.setPos(float(curve.seconds[place]), float(values[place]))
            plot.addItem(text)
        self._axes(last, style)
        self._name(curve, style)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if self._drawn is not None:
            self.show_curve(*self._drawn)

    def _shade(self, curve: Curve, last: float) -> None:
        window = curve.window
        if not math.isfinite(window.start_s) or window.end_s <= window.start_s:
            return
        ground = QColor(self.colours.accent)
        ground.setAlpha(38)
        region = self._pg.LinearRegionItem(
            (window.start_s, min(window.end_s, last)), movable=False, brush=ground, pen=self._pg.mkPen(None)
        )
        self.plot.addItem(region)

    def _mark(self, curve: Curve, last: float, top: float) -> None:
        """Mark when the look changes; words that would stand on each other go one lower."""
        before, lower = -1.0, 0.0
        near = MARK_WIDTH / max(self.width(), 1)
        span = self.plot.getViewBox().viewRange()[1]
        for words, at in _marks(curve):
            if at > last:
                continue
            line = self._pg.InfiniteLine(at, angle=90, pen=self._pg.mkPen(self.colours.quiet, width=1))
            self.plot.addItem(line)
            lower = lower + 1 if before >= 0 and (at - before) / last < near else 0.0
            text = self._pg.TextItem(f"{words} {units.duration(at)}", color=self.colours.text, anchor=(0.0, 0.0))
            text.setFont(theme.font(theme.SMALL))
            text.setPos(at, top - lower * (span[1] - span[0]) * 0.075)
            self.plot.addItem(text)
            before = at

    def _axes(self, last: float, style: units.Style) -> None:
        step = next((each for each in STEPS_S if last / each <= MOST_TICKS), STEPS_S[-1])
        bottom, left = self.plot.getAxis("bottom"), self.plot.getAxis("left")
        bottom.setTicks([[(at, units.duration(at)) for at in range(0, int(last) + 1, step)]])
        for axis in (bottom, left):
            axis.setTickFont(theme.font(theme.SMALL))
            axis.setTextPen(self.colours.quiet)
            axis.setPen(self.colours.line)
        left.setLabel("°C" if style == "metric" else "°F", color=self.colours.quiet)
        left.enableAutoSIPrefix(False)

    def _name(self, curve: Curve, style: units.Style) -> None:
        ends = [f"{words} at {units.duration(at)}" for words, at in _marks(curve)]
        first = units.temperature(float(curve.edge_c[0]), style)
        self.setAccessibleName(f"curve of the {curve.outside} and the body of {curve.flavour}")
        self.setAccessibleDescription(
            f"the {curve.outside} begins at {first}; {', '.join(ends) or 'no change of look'}"
        )


def _marks(curve: Curve) -> list[tuple[str, float]]:
    """Return each change of look that comes, with its second on set."""
    return [(words, at) for words, at in curve.marks if math.isfinite(at)]


def _shown(celsius: Any, style: units.Style) -> Any:
    return celsius if style == "metric" else celsius * 9 / 5 + 32
