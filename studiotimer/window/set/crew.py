"""The crew screen: clock, cue and what it moves, the next cue, shot and time of day, readable across the room."""

from __future__ import annotations

from datetime import datetime

from PySide6.QtCore import QRectF, Qt, QTimer, Signal
from PySide6.QtGui import QCloseEvent, QColor, QFontMetricsF, QKeyEvent, QPainter, QPaintEvent, QScreen
from PySide6.QtWidgets import QApplication, QWidget

from studiotimer.window import theme
from studiotimer.window.faults import logged
from studiotimer.window.set import face
from studiotimer.window.set.clock_face import figures_width, paint_figures
from studiotimer.window.set.fitting import fitted_to
from studiotimer.window.set.fresh import SAID, STOPPED, Fresh
from studiotimer.window.set.page import SetPage
from studiotimer.window.set.routes import routes
from studiotimer.window.theme import DARK
from studiotimer.window.veil import DimVeil

TICK_MS = 40
CLOCK_SHARE = 0.46
LEAST_CUE = 0.6
"""A cue is drawn this much smaller at most before its name is shortened."""
GAP = 24.0
HINT_MS = 6000


class CrewScreen(QWidget):
    """A window of its own for a second monitor. Keys pressed in it are taken by the Set page.

    It takes no keys from the window when it comes. `closed` tells that a person closed it.
    """

    closed = Signal()

    def __init__(self, page: SetPage) -> None:
        super().__init__()
        self._page = page
        self._warning = ""
        self._hint = f"Esc or {page.keys.shown('crew')} closes this screen"
        self._colour = DARK.text
        self._shown: tuple[str, ...] = ()
        self._routes: tuple[str, ...] = ()
        self._after = ""
        self.setWindowTitle("Studiotimer crew screen")
        self.setStyleSheet(f"background: {DARK.ground};")
        self.setMinimumSize(480, 270)
        self.veil = DimVeil(self)
        self.fresh = Fresh(self)
        self.fresh.changed.connect(self._name_cover)
        self.setWindowFlags(Qt.WindowType.Window | Qt.WindowType.FramelessWindowHint)
        self.setAttribute(Qt.WidgetAttribute.WA_ShowWithoutActivating)
        self._tick = QTimer(self)
        self._tick.setTimerType(Qt.TimerType.PreciseTimer)
        self._tick.setInterval(TICK_MS)
        self._tick.timeout.connect(self.tick)
        self._tick.start()
        QTimer.singleShot(HINT_MS, self, self._hush)
        self.tick()

    @property
    def shown(self) -> tuple[str, ...]:
        """What the screen shows: time left, what it counts, cue and when, shot, time of day, warning."""
        return self._shown

    @property
    def routes(self) -> tuple[str, ...]:
        """What the cue moves, from where to where."""
        return self._routes

    @property
    def after(self) -> str:
        """The cue after this one, and when."""
        return self._after

    def fill(self, monitor: QScreen) -> None:
        """Fill a monitor."""
        self.hide()
        self.setScreen(monitor)
        self.setGeometry(monitor.geometry())
        self.showFullScreen()

    def _hush(self) -> None:
        """Leave the hint away: it was there long enough to be read."""
        self._hint = ""
        self.update()

    def warn(self, words: str) -> None:
        """Show a warning, or none."""
        self._warning = words
        self.tick()

    def tick(self) -> None:
        """Show the moment; painted only when something changed."""
        with logged("the crew screen", SAID):
            running = self._page.running
            if running.session.clock.stands():
                return
            now = self._page.now()
            clock = face.clock(running.forecast, running.state, now)
            cue = self._page.cues[0]
            shot = running.state.shot.name if running.state.shot else ""
            shown = (
                clock.words,
                clock.label,
                cue.words,
                cue.ahead_at(now),
                shot,
                f"{datetime.now():%H:%M:%S}",
                self._warning,
            )
            after = "".join(f"then {one.said_at(now)}" for one in self._page.cues[1:2])
            moved = tuple(routes(cue, running.desk()))
            if (shown, after, moved) != (self._shown, self._after, self._routes):
                self._colour = clock.colour
                self._shown, self._after, self._routes = shown, after, moved
                said = (f"{clock.label} {clock.words}", cue.said_at(now), *moved, after, shot)
                self.setAccessibleName(", ".join(part for part in said if part))
                self.update()
            self.fresh.mark()

    def _name_cover(self, stopped: bool) -> None:
        if stopped:
            self._shown = ()
            self.setAccessibleName(STOPPED)

    def dim(self, dimmed: bool) -> None:
        """Dim, or light again."""
        self.veil.cover(dimmed)

    def paintEvent(self, event: QPaintEvent) -> None:
        self.fresh.draw(self, self._paint)

    def _paint(self, painter: QPainter) -> None:
        painter.fillRect(self.rect(), QColor(DARK.ground))
        words, label, cue, ahead, shot, time, warning = self._shown
        width, height = float(self.width()), float(self.height())
        margin = height * 0.06
        inner = QRectF(margin, margin, width - 2 * margin, height - 2 * margin)
        text = QColor(DARK.text)
        row = height * 0.075
        left, right = Qt.AlignmentFlag.AlignLeft, Qt.AlignmentFlag.AlignRight
        painter.setFont(theme.font(row * 0.8, "strong"))
        beside = QFontMetricsF(painter.font()).horizontalAdvance(time) + GAP
        self._row(painter, inner.adjusted(0, 0, -beside, 0), 0.0, row, shot, text, left)
        self._row(painter, inner, 0.0, row, time, text, right)
        self._row(painter, inner, row * 1.35, row * 0.75, label, QColor(self._colour), left)
        digits = min(
            height * CLOCK_SHARE,
            height * CLOCK_SHARE * inner.width() / max(figures_width(words, height * CLOCK_SHARE), 1),
        )
        base = inner.y() + row * 2.35 + digits
        paint_figures(painter, words, inner.x(), base, digits, text)
        below = base - inner.y() + row * 0.6
        self._row(painter, inner, below, self._cue_height(row * 1.35, inner.width()), cue, text, left, ahead)
        below += row * 1.5
        if self._routes:
            self._row(painter, inner, below, row, "     ".join(self._routes), text, left)
            below += row * 1.1
        if self._after:
            self._row(painter, inner, below, row * 0.75, self._after, QColor(DARK.quiet), left)
        if warning:
            self._row(painter, inner, inner.height() - row * 0.7, row * 0.8, warning, QColor(DARK.warning), left)
        elif self._hint:
            self._row(painter, inner, inner.height() - row * 0.4, row * 0.5, self._hint, QColor(DARK.quiet), left)

    def _cue_height(self, height: float, room: float) -> float:
        """Return how high the cue's row is: as it would be, or less where the cue would not fit."""
        _, _, cue, ahead, *_ = self._shown
        wide = QFontMetricsF(theme.font(height * 0.8, "strong")).horizontalAdvance(f"{cue} {ahead}")
        return height * min(max(room / max(wide, 1.0), LEAST_CUE), 1.0)

    def _row(
        self, painter: QPainter, inner: QRectF, top: float, height: float, words: str, colour: QColor,
        side: Qt.AlignmentFlag, time: str = "",
    ) -> None:  # fmt: skip
        painter.setFont(theme.font(height * 0.8, "strong"))
        painter.setPen(colour)
        shown = fitted_to(words, time, QFontMetricsF(painter.font()), inner.width())
        painter.drawText(
            QRectF(inner.x(), inner.y() + top, inner.width(), height), side | Qt.AlignmentFlag.AlignVCenter, shown
        )

    def keyPressEvent(self, event: QKeyEvent) -> None:
        QApplication.sendEvent(self._page, event)

    def closeEvent(self, event: QCloseEvent) -> None:
        self._tick.stop()
        self.deleteLater()  # by Qt, in its own thread: whoever collects what refers to itself may be another
        event.accept()
        self.closed.emit()
