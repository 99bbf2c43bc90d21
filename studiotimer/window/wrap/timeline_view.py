"""The timeline on the screen: zoomed by wheel or key, moved by dragging, telling what is under the pointer."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from studiotimer.units import duration, temperature
from studiotimer.window import theme
from studiotimer.window.chart import Chart
from studiotimer.window.tips import tip
from studiotimer.window.wrap.timeline_marks import calls_of
from studiotimer.window.wrap.timeline_paint import (
    CALLS,
    TRACK,
    Frame,
    full_height,
    paint_timeline,
    row_words,
)
from studiotimer.window.wrap.view import View
from studiotimer.wrap.timeline import Mark, Picture, Timeline

_NEAR_PX = 4.0
_ZOOM = 1.25
LEAST_ROW, MOST_ROW = 15.0, 28.0


class TimelineView(Chart):
    """A session's timeline. `chosen` tells the number of the scoop whose row was clicked."""

    chosen = Signal(int)

    def __init__(self, colours: theme.Theme = theme.LIGHT, parent: QWidget | None = None) -> None:
        super().__init__(colours, parent)
        self._timeline: Timeline | None = None
        self.view = View(0.0, 60.0)
        self._grabbed: tuple[QPointF, View] | None = None
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("timeline")

    def show_timeline(self, timeline: Timeline, keep_view: bool = False) -> None:
        """Show a timeline, the whole of it, or with `keep_view` the part that was in view if it is the same day's."""
        before, self._timeline = self._timeline, timeline
        same = before is not None and (before.start, before.end) == (timeline.start, timeline.end)
        self.set_view(self.view if keep_view and same else View.whole(timeline))
        self.setAccessibleDescription(
            f"{len(timeline.rows)} scoops, {len(timeline.frames) - len(timeline.clips)} frames"
        )
        self.updateGeometry()
        self.update()

    def minimumSizeHint(self) -> QSize:
        return QSize(400, self.sizeHint().height())

    def sizeHint(self) -> QSize:
        return QSize(1100, round(full_height(self._timeline)) if self._timeline else 320)

    def set_view(self, view: View) -> None:
        """Show another part, never past its ends by more than a tenth."""
        if self._timeline is None:
            return
        whole = View.whole(self._timeline)
        span = min(view.end - view.start, whole.end - whole.start)
        start = min(max(view.start, whole.start), whole.end - span)
        frame, count = self._frame(), len(self._timeline.rows)
        room = frame.tracks_top - frame.rows_top
        fit = max(int(room // LEAST_ROW), 1)
        row = max(room / fit if count > fit else min(room / max(count, 1), MOST_ROW), LEAST_ROW)
        rows = max(count - (frame.tracks_top - frame.rows_top) / row, 0.0)
        self.view = View(start, start + span, min(max(view.top, 0.0), rows), row)
        self.update()

    def told_at(self, point: QPointF) -> str:
        """Return what is at a point of the widget, in words; empty where there is nothing."""
        if self._timeline is None:
            return ""
        frame = self._frame()
        if point.x() < frame.left:
            index = frame.row_at(point.y())
            return "" if index is None else row_words(self._timeline.rows[index], float("inf"))
        at = frame.at(point.x())
        time = f"{self._timeline.time_of_day(at):%H:%M:%S}"
        index = frame.row_at(point.y())
        if index is not None:
            row = self._timeline.rows[index]
            age = f", {duration(at - row.start)} since pull" if at >= row.start else ""
            return f"{time}  {row_words(row, at)}{age}"
        tracks: dict[str, tuple[Sequence[Mark | Picture], ...]] = {
            "frames": (self._timeline.frames,), "notes": (self._timeline.notes,),
        }  # fmt: skip
        tracks[CALLS] = tuple(marks for _, marks in calls_of(self._timeline))
        for name, several in tracks.items():
            if name in frame.tracks and frame.track_top(name) <= point.y() < frame.track_top(name) + TRACK:
                near = [one for marks in several if (one := _nearest(marks, at, _NEAR_PX / frame.per_second))]
                told = min(near, key=lambda one: abs(one.at - at), default=None)
                return "" if told is None else f"{self._timeline.time_of_day(told.at):%H:%M:%S}  {told.words}"
        if "sauce" in frame.tracks and frame.track_top("sauce") <= point.y() < frame.track_top("sauce") + TRACK:
            return self._poured_at(frame, at)
        return self._air_at(frame, point, at, time)

    def _poured_at(self, frame: Frame, at: float) -> str:
        """Return the sauce that ran at a time, with the time it was poured at."""
        assert self._timeline is not None
        slack = _NEAR_PX / frame.per_second
        pour = next((one for one in self._timeline.pours if one.start - slack <= at <= one.end + slack), None)
        return "" if pour is None else f"{self._timeline.time_of_day(pour.start):%H:%M:%S}  {pour.words}"

    def _air_at(self, frame: Frame, point: QPointF, at: float, time: str) -> str:
        assert self._timeline is not None
        top = frame.track_top("air at the set")
        if not (top <= point.y() < top + TRACK and self._timeline.air):
            return ""
        place = min(max(bisect_left(self._timeline.air, (at,)), 0), len(self._timeline.air) - 1)
        return f"{time}  air at the set {temperature(self._timeline.air[place][1], digits=1)}"

    def paint(self, painter: QPainter, area: QRectF) -> None:
        """Draw what is in view, and which of the rows that is."""
        painter.fillRect(area, self.colours.colour("ground"))
        if self._timeline is not None:
            paint_timeline(painter, area, self._timeline, self.view, self.colours)
            self._paint_place(painter)

    def _paint_place(self, painter: QPainter) -> None:
        """Show which of the rows are in view, where not all of them are."""
        assert self._timeline is not None
        frame, count = self._frame(), len(self._timeline.rows)
        shown = self._rows_shown(self.view)
        if shown >= count:
            return
        height = frame.tracks_top - frame.rows_top
        bar = QRectF(
            self.width() - 6.0, frame.rows_top + height * self.view.top / count, 5.0, max(height * shown / count, 12.0)
        )
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(self.colours.colour("quiet"))
        painter.drawRoundedRect(bar, 2.5, 2.5)

    def wheelEvent(self, event: QWheelEvent) -> None:
        turned = event.angleDelta()
        frame = self._frame_or_none()
        if frame is None:
            return
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self.set_view(self.view.zoomed(_ZOOM ** (turned.y() / 120), frame.at(event.position().x())))
        else:
            span = self.view.end - self.view.start
            sideways = (
                turned.x()
                if turned.x()
                else (turned.y() if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 0)
            )
            rows, before = 0.0 if sideways else -turned.y() / 60, self.view
            self.set_view(self.view.moved(-sideways / 1200 * span, rows))
            if self.view == before:
                event.ignore()  # nothing moved here: the page may
                return
        event.accept()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self._grabbed = event.position(), self.view

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        frame = self._frame_or_none()
        if frame is None:
            return
        if self._grabbed is not None and event.buttons() & Qt.MouseButton.LeftButton:
            start, view = self._grabbed
            moved = event.position() - start
            self.set_view(view.moved(-moved.x() / frame.per_second, -moved.y() / view.row))
            return
        words = self.told_at(event.position())
        QToolTip.showText(event.globalPosition().toPoint(), tip(words), self)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        frame, grabbed, self._grabbed = self._frame_or_none(), self._grabbed, None
        if frame is None or grabbed is None:
            return
        index = frame.row_at(event.position().y())
        if index is not None and (event.position() - grabbed[0]).manhattanLength() < _NEAR_PX:
            self.chosen.emit(frame.timeline.rows[index].number)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        span = self.view.end - self.view.start
        middle = (self.view.start + self.view.end) / 2
        key = event.key()
        if key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal):
            self.set_view(self.view.zoomed(_ZOOM, middle))
        elif key == Qt.Key.Key_Minus:
            self.set_view(self.view.zoomed(1 / _ZOOM, middle))
        elif key in (Qt.Key.Key_Left, Qt.Key.Key_Right):
            self.set_view(self.view.moved(span / 10 * (1 if key == Qt.Key.Key_Right else -1)))
        elif key in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            self.set_view(self.view.moved(0.0, 1 if key == Qt.Key.Key_Down else -1))
        elif key == Qt.Key.Key_0 and self._timeline is not None:
            self.set_view(View.whole(self._timeline))
        else:
            super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.set_view(self.view)

    def _frame(self) -> Frame:
        assert self._timeline is not None
        return Frame(QRectF(self.rect()), self._timeline, self.view)

    def _frame_or_none(self) -> Frame | None:
        return self._frame() if self._timeline is not None else None

    def _rows_shown(self, view: View) -> float:
        frame = self._frame()
        return (frame.tracks_top - frame.rows_top) / view.row


def _nearest(marks: Sequence[Mark | Picture], at: float, within: float) -> Mark | Picture | None:
    place = bisect_left(marks, at, key=lambda one: one.at)
    near = [one for one in marks[max(place - 1, 0) : place + 1] if abs(one.at - at) <= within]
    return min(near, key=lambda one: abs(one.at - at), default=None)
