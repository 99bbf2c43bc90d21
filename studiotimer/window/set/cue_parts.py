"""What every cue is drawn with: where it stands, its first line, small lines."""

from __future__ import annotations

from typing import NamedTuple

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter

from studiotimer.window import theme
from studiotimer.window.set.cue_face import ChipFace, CueFace, Line
from studiotimer.window.set.lettering import Drawn, below_of, font_of, least, width_of, write
from studiotimer.window.theme import DARK

CUE_SHARE = 0.107
"""How high the cue's capitals are, of the window's height."""
LARGE_SHARE = 0.203
"""How high they are while there is no hero, where there is room."""
NARROWER = 0.97
WITHIN = 0.94
"""How much of a box's height words in it take at most, with what hangs below their line."""


class Setting(NamedTuple):
    """Where a cue is drawn and how: the window's height gives the sizes."""

    area: QRectF
    window: float
    large: bool = False
    outlined: bool = False
    ways: bool = False
    """Whether each scoop's way stands beside it also where the cue is small, as on the crew screen."""
    share: float = CUE_SHARE
    """How high the cue's capitals are at least, of the window's height."""

    @property
    def one(self) -> float:
        """Return a logical pixel of a window 800 high."""
        return self.window / 800.0

    @property
    def cap(self) -> float:
        """Return how high capitals are at least."""
        return self.share * self.window


def inner_of(setting: Setting) -> QRectF:
    """Return where words stand within a cue."""
    side = 24 * setting.one
    return setting.area.adjusted(side, 0, -side, 0)


def first_row(painter: QPainter, cue: CueFace, inner: QRectF, base: float, cap: float, time_cap: float) -> list[Drawn]:
    """Draw verb and place from the left and the time at the right, on the line `base`; the time's room comes first."""
    drawn, room = [], inner.width()
    if cue.time:
        font = font_of(time_cap)
        width = width_of(cue.time, font)
        middle = base - cap / 2
        if cue.due:
            side, tall = 0.32 * time_cap, 1.16 * time_cap if time_cap == cap else 1.5 * time_cap
            ink = QFontMetricsF(font).tightBoundingRect(cue.time).center().y()
            middle = base + ink if time_cap == cap else middle
            box = QRectF(inner.right() - width - 2 * side, middle - tall / 2, width + 2 * side, tall)
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(theme.CREAM))
            painter.drawRoundedRect(box, 0.2 * tall, 0.2 * tall)
            place = QPointF(box.x() + side, middle - ink)
            drawn.append(write(painter, "time", cue.time, font, place, theme.INK))
            room -= box.width()
        else:
            place = QPointF(inner.right() - width, base if time_cap == cap else middle + time_cap / 2)
            drawn.append(write(painter, "time", cue.time, font, place, theme.FROST))
            room -= width
        room -= 0.35 * cap
    verb = font_of(cap)
    while width_of(cue.verb, verb) > room and cap > least():
        cap *= NARROWER
        verb = font_of(cap)
    start = QPointF(inner.x(), base)
    drawn.append(write(painter, "verb", cue.verb, verb, start, theme.CREAM))
    if cue.place:
        left = width_of(f"{cue.verb} ", verb)
        size = cap
        while width_of(cue.place, font_of(size)) > room - left and size > 0.34 * cap:
            size *= NARROWER
        drawn.append(
            write(painter, "place", cue.place, font_of(size), start + QPointF(left, 0), theme.CREAM, room - left)
        )
    return drawn


def paint_rest(painter: QPainter, words: str, row: QRectF, cap: float, room: float) -> Drawn:
    """Draw words that are no scoop, as large as there is room for."""
    side, size = 0.3 * cap, cap
    while size > WITHIN * row.height() - below_of(words, font_of(size)):
        size *= NARROWER
    while width_of(words, font_of(size)) > room - 2 * side and size > 0.36 * cap:
        size *= NARROWER
    font = font_of(size)
    width = min(width_of(words, font), room - 2 * side)
    box = QRectF(row.x(), row.y(), width + 2 * side, row.height())
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(DARK.raised))
    painter.drawRoundedRect(box, 0.16 * row.height(), 0.16 * row.height())
    place = QPointF(box.x() + side, box.center().y() + (size - below_of(words, font)) / 2)
    return write(painter, "rest", words, font, place, theme.CREAM, width + 1)


def way_words(face: ChipFace) -> str:
    """Return a scoop's way in words: "box → left"."""
    return f"{face.came} → {face.to}" if face.came and face.to else f"→ {face.to}" if face.to else ""


def paint_line(painter: QPainter, line: Line, place: QPointF, room: float, size: float) -> list[Drawn]:
    """Write a small line; its words give way to its time."""
    plain, strong = font_of(size, "regular"), font_of(size)
    drawn, left = [], place.x()
    time = width_of(f"  {line.time}", strong) if line.time else 0.0
    if line.before:
        drawn.append(write(painter, "before", line.before, plain, place, DARK.quiet))
        left += width_of(f"{line.before}  ", plain)
    words = min(width_of(line.words, strong), place.x() + room - time - left)
    drawn.append(write(painter, "then", line.words, strong, QPointF(left, place.y()), theme.CREAM, words + 1))
    if line.time:
        at = QPointF(left + words + width_of("  ", strong), place.y())
        drawn.append(write(painter, "then time", line.time, strong, at, theme.FROST))
    return drawn


def line_width(line: Line, size: float) -> float:
    """Return how wide a small line is whole, with capitals `size` high."""
    plain, strong = font_of(size, "regular"), font_of(size)
    before = width_of(f"{line.before}  ", plain) if line.before else 0.0
    return before + width_of(line.words, strong) + (width_of(f"  {line.time}", strong) if line.time else 0.0)
