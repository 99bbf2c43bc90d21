"""The crew screen: life left, ribbon, cue and what it moves, what follows, shot and time, read across the room."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QPointF, QRectF, Qt, QTimer, Signal
from PySide6.QtGui import QCloseEvent, QColor, QKeyEvent, QPainter, QPaintEvent, QPen, QScreen
from PySide6.QtWidgets import QApplication, QWidget

from studiotimer.window import theme
from studiotimer.window.chart import Scale, upright
from studiotimer.window.faults import logged
from studiotimer.window.set import face
from studiotimer.window.set.clock_face import figures_width, paint_figures
from studiotimer.window.set.cue_face import CueFace, cue_face
from studiotimer.window.set.cue_paint import HEIGHT, paint_cue
from studiotimer.window.set.cue_parts import Setting
from studiotimer.window.set.day_time import time_now
from studiotimer.window.set.fresh import SAID, STOPPED, Fresh
from studiotimer.window.set.hero_bands import HeroBand, HeroBands, hero_bands
from studiotimer.window.set.hero_ribbons import paint_one
from studiotimer.window.set.lettering import Drawn, paint_number, width_of, write
from studiotimer.window.set.page import SetPage
from studiotimer.window.set.routes import routes
from studiotimer.window.theme import DARK
from studiotimer.window.veil import DimVeil

TICK_MS = 40
DIGITS_SHARE = 0.3
"""How high the figures are at most, of the screen's height."""
RIBBON_SHARE = 0.012
CREW_CUE_SHARE = 0.132
"""How high the cue's capitals are, of the screen's height."""
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
        self._detail = ""
        self._cue = CueFace()
        self._bands: HeroBands | None = None
        self.drawn: list[Drawn] = []
        """The words of the cue that were drawn last."""
        self._shown: tuple[str, ...] = ()
        self._routes: tuple[str, ...] = ()
        self._after = ""
        self._drawn_of: tuple[CueFace, HeroBands | None, face.Face] | None = None
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
            if running.session.clock.stands() or running.hung:
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
                f"{time_now(running.session):%H:%M:%S}",
                self._warning,
            )
            after = "".join(f"then {one.said_at(now)}" for one in self._page.cues[1:2])
            moved = tuple(routes(cue))
            state, colours = running.state, self._page.colours
            bands = hero_bands(running.forecast, state, self._page.cues, now, colours)
            drawn = (cue_face(self._page.cues, now, colours, state, self._page.shown_keys()), bands, clock)
            if (shown, after, moved, drawn) != (self._shown, self._after, self._routes, self._drawn_of):
                self._colour, self._detail, self._drawn_of = clock.colour, clock.detail, drawn
                self._cue, self._bands = drawn[0], bands
                self._shown, self._after, self._routes = shown, after, moved
                said = (f"{clock.label} {clock.words}".strip(), clock.detail, cue.said_at(now), *moved, after, shot)
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
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        words, _, _, _, shot, time, warning = self._shown
        width, height = float(self.width()), float(self.height())
        one = height / 1080.0
        inner = QRectF(64 * one, 36 * one, width - 128 * one, height - 72 * one)
        self._head(painter, inner, shot, time, one)
        cap = CREW_CUE_SHARE * height
        tall = HEIGHT * cap
        foot = height - 58 * one
        bottom = foot - 46 * one
        hero = bool(words)
        area = QRectF(32 * one, bottom - tall, width - 64 * one, tall)
        if hero:
            digits = self._figures(painter, inner, words, one)
            self._heroes(painter, inner, digits, one)
            self._ribbon(painter, QRectF(inner.x(), area.y() - 42 * one, inner.width(), RIBBON_SHARE * height), one)
        else:
            area.setTop(inner.y() + 70 * one)
        cue = replace(self._cue, lines=tuple(line for line in self._cue.lines if line.before != "then"))
        self.drawn = paint_cue(
            painter, cue, Setting(area, height, not hero, outlined=True, ways=True, share=CREW_CUE_SHARE)
        )
        self._foot(painter, inner, foot, warning, one)

    def _head(self, painter: QPainter, inner: QRectF, shot: str, time: str, one: float) -> None:
        """Write the shot at the left and, quietly, the time of day at the right."""
        base = inner.y() + 38 * one
        clock = theme.font(32 * one)
        write(painter, "time of day", time, clock, QPointF(inner.right() - width_of(time, clock), base), DARK.quiet)
        room = inner.width() - width_of(time, clock) - 24 * one
        write(painter, "shot", shot, theme.font(40 * one, "strong"), QPointF(inner.x(), base), DARK.text, room)

    def _figures(self, painter: QPainter, inner: QRectF, words: str, one: float) -> QRectF:
        """Draw the life left and return where it stands; in cream, since large coloured figures would light the set."""
        height = min(DIGITS_SHARE * 1080 * one, 0.5 * inner.width() / max(figures_width(words, 1.0), 0.1))
        top = inner.y() + 84 * one
        paint_figures(painter, words, inner.x(), top + height, height, QColor(DARK.text))
        return QRectF(inner.x(), top, figures_width(words, height), height)

    def _heroes(self, painter: QPainter, inner: QRectF, digits: QRectF, one: float) -> None:
        """Draw how the window stands, and below each hero with its own time, as many as there is room for."""
        left = digits.right() + 70 * one
        box = QRectF(left, digits.y() - 10 * one, inner.right() - left, 68 * one)
        painter.setPen(QPen(QColor(self._colour), 3 * one))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRoundedRect(box, 14 * one, 14 * one)
        size, room = 44.0 * one, box.width() - 48 * one
        while width_of(self._detail, theme.font(size, "strong")) > room and size > 20 * one:
            size -= 1
        place = QPointF(box.x() + 24 * one, box.center().y() + 0.36 * size)
        write(painter, "state", self._detail, theme.font(size, "strong"), place, self._colour, room)
        bands = self._bands.bands if self._bands else ()
        first = self._bands.first if self._bands else 0
        rows = sorted(enumerate(bands), key=lambda each: (each[0] != first, each[1].ends))
        room_for = max(int((digits.bottom() - box.bottom()) // (46 * one)), 1)
        pitch = min((digits.bottom() - box.bottom()) / max(min(len(rows), room_for), 1), 80 * one)
        for place_in, (_, hero) in enumerate(sorted(rows[:room_for], key=lambda each: each[0])):
            row = QRectF(left, box.bottom() + 10 * one + place_in * pitch, box.width(), pitch - 8 * one)
            self._hero(painter, row, hero, one)

    def _hero(self, painter: QPainter, row: QRectF, hero: HeroBand, one: float) -> None:
        chip = QRectF(row.x(), row.y(), 1.16 * row.height(), row.height())
        paint_number(painter, chip, hero.number, hero.colour, outlined=True)
        base = row.center().y() + 0.18 * row.height()
        strong, plain = theme.font(0.72 * row.height(), "strong"), theme.font(0.56 * row.height())
        width = width_of(hero.left, strong)
        write(painter, "left", hero.left, strong, QPointF(row.right() - width, base + 2 * one), hero.left_colour)
        left = chip.right() + 24 * one
        room = row.right() - width - 24 * one - left
        write(painter, "spot", f"{hero.flavour}, {hero.spot}", plain, QPointF(left, base), DARK.text, room)

    def _ribbon(self, painter: QPainter, box: QRectF, one: float) -> None:
        """Draw the ribbon of the hero whose window ends first, thin, since it gives off light."""
        if self._bands is None:
            return
        hero, now = self._bands.bands[self._bands.first], self._bands.now
        along = Scale(0.0, self._bands.span, box.left(), box.right())
        paint_one(painter, box, hero, now, along, one, words=False)
        for colour, wide in ((theme.INK, 16 * one), (theme.CREAM, 7 * one)):
            pen = QPen(QColor(colour), wide)
            upright(painter, along.within(now), box.y() - 14 * one, box.bottom() + 14 * one, pen)

    def _foot(self, painter: QPainter, inner: QRectF, base: float, warning: str, one: float) -> None:
        """Write what follows, or a warning, or for a while how to close this screen."""
        follows = next((line for line in self._cue.lines if line.before == "then"), None)
        plain, strong = theme.font(44 * one), theme.font(44 * one, "strong")
        place = QPointF(inner.x(), base + 22 * one)
        if warning:
            write(painter, "warning", warning, strong, place, DARK.warning, inner.width())
        elif follows is not None:
            time = width_of(follows.time, strong)
            write(painter, "then", "then", plain, place, DARK.quiet)
            left = width_of("then  ", plain)
            write(
                painter, "then", follows.words, strong, place + QPointF(left, 0), DARK.text, inner.width() - left - time
            )
            at = QPointF(inner.right() - time, place.y())
            write(painter, "then time", follows.time, strong, at, theme.FROST)
        if self._hint:
            small = theme.font(24 * one)
            hint = QPointF(inner.center().x() - width_of(self._hint, small) / 2, base + 48 * one)
            write(painter, "hint", self._hint, small, hint, DARK.quiet)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        QApplication.sendEvent(self._page, event)

    def closeEvent(self, event: QCloseEvent) -> None:
        self._tick.stop()
        self.deleteLater()  # by Qt, in its own thread: whoever collects what refers to itself may be another
        event.accept()
        self.closed.emit()
