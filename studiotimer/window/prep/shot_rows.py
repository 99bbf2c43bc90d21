"""A shot's windows on the axis of all shots, the frames that fit and one word: a row that is pressed to choose it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QSizePolicy

from studiotimer.plain import short
from studiotimer.prep.found import counted
from studiotimer.prep.shots import ShotResult
from studiotimer.window import theme
from studiotimer.window.chart import Chart, Scale, Words, upright, write_in
from studiotimer.window.prep.axis import ARROW, CLEAR, Axis, Bar, beside
from studiotimer.window.prep.prep_style import look_colour, word_colours
from studiotimer.window.theme import BODY, LIGHT, SMALL, Theme
from studiotimer.window.tips import tip

HEIGHT, HEAD = 60, 26
FRAMES, WORD, GAP = 104.0, 68.0, 14.0
THIN, THICK, LEAST = 8.0, 16.0, 5.0
PLAIN, ICED = "straight from the freezer", "out of the dry-ice box"


@dataclass(frozen=True)
class Columns:
    """Where the name, the axis, the frames and the word of a row stand."""

    name: float
    axis: float
    axis_width: float
    frames: float
    word: float

    @property
    def along(self) -> Scale:
        """Where shares of the axis stand."""
        return Scale(0.0, 1.0, self.axis, self.axis + self.axis_width)

    @staticmethod
    def of(width: float) -> Columns:
        """Return the columns of a row that is so wide."""
        name = min(max(width * 0.21, 104.0), 220.0)
        word = width - WORD - 4
        frames = word - GAP - FRAMES
        return Columns(name, name + GAP, max(frames - GAP - name - GAP, 60.0), frames, word)


def word_of(shot: ShotResult) -> str:
    """Return the one word that says how a shot will go."""
    return "works" if shot.works else "short" if shot.frames_fit.value else "cannot"


class ShotRow(QAbstractButton):
    """One shot; choosing it shows its fields."""

    def __init__(self) -> None:
        super().__init__()
        self.setCheckable(True)
        self.setFixedHeight(HEIGHT)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.colours: Theme = LIGHT
        self._shot: ShotResult | None = None
        self._axis = Axis(600.0, 120)
        self._wanted = 0

    def show_axis(self, axis: Axis) -> None:
        """Draw on this axis."""
        self._axis = axis
        self.update()

    def show_shot(self, shot: ShotResult, wanted: int) -> None:
        """Show a shot of which so many frames are wanted."""
        self._shot, self._wanted = shot, wanted
        iced = shot.iced.text if shot.iced else "none planned"
        self.setToolTip(tip(shot.name))
        self.setAccessibleName(
            f"{shot.name}: {word_of(shot)}, {shot.look}, window {shot.plain.text}, with dry ice {iced}, "
            f"{shot.frames_fit.text} fit of {wanted} wanted, heroes needed {shot.groups.text}, {shot.verdict}"
        )
        self.update()

    @property
    def bars(self) -> list[tuple[Bar, bool]]:
        """Return the windows on the axis, each with whether it is filled."""
        shot = self._shot
        if shot is None:
            return []
        bars = [(self._axis.bar(shot.plain_s, shot.plain.text), False)]
        if shot.iced and shot.iced_s:
            bars.append((self._axis.bar(shot.iced_s, shot.iced.text), True))
        return bars

    def sizeHint(self) -> QSize:
        return QSize(520, HEIGHT)

    def paintEvent(self, event: QPaintEvent) -> None:
        if self._shot is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._ground(painter)
        columns, high = Columns.of(self.width()), float(HEIGHT)
        for share, _ in self._axis.ticks:
            x = round(columns.along.at(share)) + 0.5
            upright(painter, x, 6, high - 6, QPen(self.colours.colour("line"), 1.0))
        self._name(painter, self._shot, columns)
        for number, (bar, filled) in enumerate(self.bars):
            middle = high / 2 if len(self.bars) == 1 else 19.0 if number == 0 else 40.0
            self._bar(painter, bar, filled, middle, columns)
        self._frames(painter, self._shot, columns)
        self._word(painter, word_of(self._shot), columns)

    def _ground(self, painter: QPainter) -> None:
        box = QRectF(self.rect()).adjusted(-0.0, 1.5, 0.0, -1.5)
        if self.isChecked() or self.underMouse():
            painter.setPen(Qt.PenStyle.NoPen)
            ground = QColor(self.colours.raised)
            ground.setAlpha(150 if self.isChecked() else 80)
            painter.setBrush(ground)
            painter.drawRoundedRect(box, 8, 8)
        if self.hasFocus():
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(self.colours.colour("accent"), 2.0))
            painter.drawRoundedRect(box.adjusted(1, 0, -1, 0), 8, 8)

    def _name(self, painter: QPainter, shot: ShotResult, columns: Columns) -> None:
        font = theme.font(BODY, "strong")
        lines = two_lines(shot.name, QFontMetricsF(font), columns.name - 10)
        top = (HEIGHT - 19 * len(lines) - 17) / 2
        text, quiet = self.colours.colour("text"), self.colours.colour("quiet")
        for number, line in enumerate(lines):
            write_in(painter, QRectF(8, top + 19 * number, columns.name, 19), line, text, font)
        look = QRectF(8, top + 19 * len(lines), columns.name, 17)
        write_in(painter, look, f"{shot.look} look", quiet, theme.font(SMALL))

    def _bar(self, painter: QPainter, bar: Bar, filled: bool, middle: float, columns: Columns) -> None:
        weight: theme.Weight = "strong" if filled else "regular"
        words = theme.wide(bar.text, SMALL, weight)
        left = right = 0.0
        if not bar.none:
            left, right = bar.start * columns.axis_width, bar.end * columns.axis_width
            right = max(right, left + LEAST)
        x = columns.axis + beside(left, right, words, columns.axis_width, ARROW if bar.endless else CLEAR)
        painter.fillRect(QRectF(x - 2, middle - 8, words + 4, 16), self._beneath())
        ink = self.colours.colour("text" if filled else "quiet")
        write_in(painter, QRectF(x, middle - 9, words + 2, 18), bar.text, ink, theme.font(SMALL, weight))
        if bar.none:
            return
        thick = THICK if filled else THIN
        box = QRectF(columns.axis + left, middle - thick / 2, right - left, thick)
        if filled and self._shot is not None:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(look_colour(self._shot.look)))
        else:
            painter.setPen(QPen(self.colours.colour("text"), 1.5))
            painter.setBrush(self.colours.colour("ground"))
        round_ = min(thick, box.width()) / 2
        painter.drawRoundedRect(box, round_, round_)
        if bar.endless:
            painter.setPen(QPen(self.colours.colour("text"), 1.5))
            end = QPointF(box.right() + 5, middle)
            painter.drawPolyline([end - QPointF(4, 4), end, end - QPointF(4, -4)])

    def _beneath(self) -> QColor:
        """Return the colour that words on the axis stand on, so that no mark runs through them."""
        ground, over = self.colours.colour("ground"), self.colours.colour("raised")
        share = 150 / 255 if self.isChecked() else 80 / 255 if self.underMouse() else 0.0
        parts = ((ground.redF(), over.redF()), (ground.greenF(), over.greenF()), (ground.blueF(), over.blueF()))
        return QColor.fromRgbF(*(one + (other - one) * share for one, other in parts))

    def _frames(self, painter: QPainter, shot: ShotResult, columns: Columns) -> None:
        fits, small, quiet = f"{shot.frames_fit.value:,}", theme.font(SMALL), self.colours.colour("quiet")
        ink = self.colours.colour("text" if shot.works else "danger")
        write_in(painter, QRectF(columns.frames, 11, FRAMES, 20), fits, ink, theme.font(BODY, "strong"))
        after = columns.frames + theme.wide(fits, BODY, "strong") + 4
        rest = counted(int(shot.frames_fit.value or 0), "frame").partition(" ")[2]
        write_in(painter, QRectF(after, 11, FRAMES, 20), f"{rest} fit", quiet, small)
        write_in(painter, QRectF(columns.frames, 30, FRAMES, 18), f"of {self._wanted:,} wanted", quiet, small)

    def _word(self, painter: QPainter, word: str, columns: Columns) -> None:
        ground, ink = word_colours(word, self.colours)
        box = QRectF(columns.word, HEIGHT / 2 - 12, WORD, 24)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(ground))
        painter.drawRoundedRect(box, 12, 12)
        write_in(painter, box, word, QColor(ink), theme.font(SMALL, "strong"), place=Qt.AlignmentFlag.AlignCenter)


class AxisHead(Chart):
    """The marks of the axis, over the rows."""

    def __init__(self) -> None:
        super().__init__(LIGHT)
        self.setFixedHeight(HEAD)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.say("minutes after hero in")
        self._axis = Axis(600.0, 120)

    def show_axis(self, axis: Axis) -> None:
        """Show the marks of an axis."""
        self._axis = axis
        self.update()

    def paint(self, painter: QPainter, area: QRectF) -> None:
        """Draw the heading, the marks as far as they stand clear of each other, and a line under them."""
        columns, font, quiet = Columns.of(area.width()), theme.font(SMALL), self.colours.colour("quiet")
        write_in(painter, QRectF(8, 0, columns.name, HEAD), "Will it work", quiet, theme.font(SMALL, "strong"))
        write_in(painter, QRectF(columns.frames, 0, FRAMES + GAP + WORD, HEAD), "after hero in", quiet, font)
        marks = Words(painter, columns.axis, columns.frames - 4, HEAD / 2 + 5)
        for share, words in self._axis.ticks:
            marks.write(columns.along.at(share), words, quiet, font)
        painter.setPen(QPen(self.colours.colour("line"), 1.0))
        painter.drawLine(QPointF(0, HEAD - 0.5), QPointF(area.width(), HEAD - 0.5))


class Legend(Chart):
    """What the outlined and the filled bars are."""

    def __init__(self) -> None:
        super().__init__(LIGHT)
        self.setFixedHeight(22)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self._boxed = True
        self.show_boxed(True, False)

    def show_boxed(self, iced: bool, boxed: bool) -> None:
        """Say what is filled; nothing is where no dry ice is planned."""
        self._boxed = iced
        self._words = ICED if boxed else "with dry ice at the set"
        self.say(f"outlined: {PLAIN}" + (f"; filled: {self._words}" if iced else ""))
        self.update()

    def paint(self, painter: QPainter, area: QRectF) -> None:
        """Draw a bar of each kind with its words."""
        x = 1.0 + (Columns.of(self.width()).axis if self.width() > 560 else 8.0)
        for words, filled in ((PLAIN, False), *(((self._words, True),) if self._boxed else ())):
            painter.setPen(Qt.PenStyle.NoPen if filled else QPen(self.colours.colour("text"), 1.5))
            painter.setBrush(QColor(theme.FROST) if filled else self.colours.colour("ground"))
            high = 12.0 if filled else THIN
            painter.drawRoundedRect(QRectF(x, 11 - high / 2, 22, high), high / 2, high / 2)
            wide = theme.wide(words, SMALL)
            write_in(painter, QRectF(x + 28, 0, wide + 2, 22), words, self.colours.colour("quiet"), theme.font(SMALL))
            x += 28 + wide + 18


def two_lines(name: str, metrics: QFontMetricsF, width: float) -> list[str]:
    """Return a name on at most two lines of that width, shortened where it is longer."""
    lines: list[str] = []
    for word in name.split():
        if lines and metrics.horizontalAdvance(f"{lines[-1]} {word}") <= width:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    lines = [*lines[:1], *([" ".join(lines[1:])] if len(lines) > 1 else [])]
    return [_fitted(line, metrics, width) for line in lines] or [""]


def _fitted(line: str, metrics: QFontMetricsF, width: float) -> str:
    lengths: Iterable[int] = range(len(line), 0, -1)
    return next((each for count in lengths if metrics.horizontalAdvance(each := short(line, count)) <= width), "…")
