"""How a cue is drawn: two lines beside a hero's time, or as large as its time while there is no hero."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter

from studiotimer.window import theme
from studiotimer.window.set.cue_face import ChipFace, CueFace, Line, LockCard
from studiotimer.window.set.cue_large import paint_large
from studiotimer.window.set.cue_parts import (
    NARROWER,
    WITHIN,
    Setting,
    first_row,
    inner_of,
    line_width,
    paint_line,
    paint_rest,
    way_words,
)
from studiotimer.window.set.lettering import (
    Drawn,
    below_of,
    font_of,
    least,
    paint_scoop,
    two_lines,
    widest,
    width_of,
    write,
)
from studiotimer.window.theme import DARK

HEIGHT = 2.86
"""How high the cue beside a hero's time is, in the height of its capitals."""
CHIP = 1.24
"""How high a scoop in it is, likewise."""
WAY_SIZES = (0.34, 0.3, 0.26, 0.22)
"""How high a scoop's way is written: the first at which all of them have room, likewise."""


def paint_cue(painter: QPainter, cue: CueFace, setting: Setting) -> list[Drawn]:
    """Draw a cue and return the words that were drawn."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(DARK.panel))
    painter.drawRoundedRect(setting.area, 20 * setting.one, 20 * setting.one)
    return paint_large(painter, cue, setting) if setting.large else _small(painter, cue, setting)


def _small(painter: QPainter, cue: CueFace, setting: Setting) -> list[Drawn]:
    inner, cap = inner_of(setting), setting.cap
    base = inner.y() + 1.16 * cap
    drawn = first_row(painter, cue, inner, base, cap, cap)
    row = QRectF(inner.x(), base + 0.31 * cap, inner.width(), CHIP * cap)
    if cue.locks:
        made, left = _locks(painter, cue.locks, row, cap)
        drawn += made
    elif cue.rest and not cue.chips:
        room = row.width() - _lines_room(cue.lines, cap, row.width()) - 0.4 * cap
        drawn.append(paint_rest(painter, cue.rest, row, cap, max(room, row.width() * 0.5)))
        left = drawn[-1].box.right() + 0.5 * cap
    else:
        made, left = _chips_in_a_row(painter, cue, row, cap, setting)
        drawn += made
    return drawn + _lines(painter, cue.lines, QRectF(left, row.y(), row.right() - left, row.height()), cap)


def _locks(painter: QPainter, locks: Sequence[LockCard], row: QRectF, cap: float) -> tuple[list[Drawn], float]:
    """Write the locks and how each stands; return what was drawn and where the row goes on."""
    font, left, drawn = font_of(0.42 * cap), row.x(), []
    for lock in locks:
        words = f"✓ {lock.name}" if lock.on else f"○ {lock.name}"
        colour = DARK.quiet if lock.on else DARK.warning
        drawn.append(write(painter, "lock", words, font, QPointF(left, row.center().y() + 0.2 * cap), colour))
        left = drawn[-1].box.right() + 0.6 * cap
    return drawn, left


class _Chip(NamedTuple):
    """One scoop as it is drawn in a row: its name's lines and type, and how wide everything is."""

    face: ChipFace
    number: float
    lines: tuple[str, ...]
    name: float
    width: float


def _chips_in_a_row(
    painter: QPainter, cue: CueFace, row: QRectF, cap: float, setting: Setting
) -> tuple[list[Drawn], float]:
    """Draw the scoops of a cue from the left; return what was drawn and where the row goes on."""
    if not cue.chips:
        return [], row.x()
    wanted = _lines_room(cue.lines, cap, row.width())
    joined = font_of(0.46 * cap, "regular")
    between = width_of(cue.joined, joined) + 0.5 * cap if cue.joined else 0.22 * cap
    rooms = (wanted, min(wanted, 0.24 * row.width()), 0.0)
    levels = max(len(chip.forms) for chip in cue.chips) + 1
    chosen, size = [_sized(chip, levels, cap) for chip in cue.chips], cap

    shortest = sum(_sized(chip, levels, cap).width for chip in cue.chips) + between * (len(cue.chips) - 1)
    ways = _ways(cue.chips, cap, row.width() - shortest if setting.ways else 0.0)

    def total(chips: Sequence[_Chip]) -> float:
        return sum(chip.width for chip in chips) + between * (len(chips) - 1) + sum(ways.widths)

    whole = [level for level in range(levels) if all(_whole_words(chip, level) for chip in cue.chips)]
    for room, tried in [(room, whole) for room in rooms[:2]] + [(room, range(levels)) for room in rooms]:
        rows = ([_sized(chip, level, cap) for chip in cue.chips] for level in tried)
        fitting = next((one for one in rows if total(one) <= row.width() - (room + 0.5 * cap if room else 0.0)), None)
        if fitting is not None:
            chosen = fitting
            break
    while total(chosen) > row.width() and size > least():
        size *= NARROWER
        between = min(between, 0.22 * size)
        chosen = [_sized(chip, levels, size) for chip in cue.chips]
    drawn, left = [], row.x()
    for index, chip in enumerate(chosen):
        if index and cue.joined:
            at = left - between + (between - width_of(cue.joined, joined)) / 2
            drawn.append(
                write(painter, "joined", cue.joined, joined, QPointF(at, row.center().y() + 0.2 * cap), DARK.quiet)
            )
        box = QRectF(left, row.y(), chip.width, row.height())
        drawn += _paint_chip(painter, chip, box, size, setting.outlined)
        left += chip.width
        way = QRectF(left, row.y(), ways.widths[index], row.height())
        drawn += _paint_way(painter, chip.face, way, cap, ways.size)
        left += way.width() + between
    return drawn, left - between + 0.5 * cap


def _whole_words(face: ChipFace, level: int) -> bool:
    """Whether a chip's name of a level ends with one of its words, not within it."""
    if not face.forms:
        return True
    form = face.forms[min(level, len(face.forms) - 1)]
    return level < len(face.forms) and f"{face.forms[0]} ".startswith(f"{form} ")


def _sized(face: ChipFace, level: int, cap: float) -> _Chip:
    """Return a chip with the name of a level: the whole one first, then shorter ones, none at last.

    A flavour without a number is written in the number's size, smaller where it is long.
    """
    side, forms = 0.3 * cap, face.forms
    name = forms[min(level, len(forms) - 1)] if forms else ""
    if not face.number:
        size = 1.0 if level or len(name) <= 9 else 0.62
        lines = (name,) if size == 1.0 else tuple(two_lines(name))
        size = size if len(lines) == 1 else 0.42
        if size == 1.0:
            size = min(1.0, WITHIN * CHIP / (1.0 + below_of(name, font_of(cap)) / cap))
        return _Chip(face, 0.0, lines, size, 2 * side + widest(lines, font_of(size * cap)))
    number = width_of(face.number, font_of(cap))
    lines = tuple(two_lines(name)) if name and level < len(forms) else ()
    size = 0.31 if len(lines) > 1 else 0.36
    wide = 0.2 * cap + widest(lines, font_of(size * cap)) if lines else 0.0
    return _Chip(face, number, lines, size, 2 * side + number + wide)


def _paint_chip(painter: QPainter, chip: _Chip, box: QRectF, cap: float, outlined: bool) -> list[Drawn]:
    ink = paint_scoop(painter, box, chip.face.colour, outlined)
    left, drawn = box.x() + 0.3 * cap, []
    if chip.number:
        place = QPointF(left, box.center().y() + cap / 2)
        drawn.append(write(painter, "number", chip.face.number, font_of(cap), place, ink))
        left += chip.number + 0.2 * cap
    font = font_of(chip.name * cap)
    step = 1.42 * chip.name * cap
    below = below_of(chip.lines[0], font) if len(chip.lines) == 1 and not chip.number else 0.0
    top = box.center().y() + (chip.name * cap - below) / 2 - step * (len(chip.lines) - 1) / 2
    for index, line in enumerate(chip.lines):
        room = box.right() - left - 0.1 * cap
        drawn.append(write(painter, "flavour", line, font, QPointF(left, top + index * step), ink, room))
    return drawn


class _Ways(NamedTuple):
    """How high the scoops' ways are written, and how wide each is."""

    size: float
    widths: tuple[float, ...]


def _ways(chips: Sequence[ChipFace], cap: float, room: float) -> _Ways:
    """Return the scoops' ways in `room` for all of them: smaller before one is cut, none where there is too little."""
    words, each, size = [way_words(chip) for chip in chips], room / len(chips), cap
    if each < 1.5 * cap:
        return _Ways(size, (0.0,) * len(chips))
    for share in WAY_SIZES:
        size = share * cap
        wanted = [width_of(one, font_of(size, "medium")) + 0.3 * cap if one else 0.0 for one in words]
        if sum(wanted) <= room:
            return _Ways(size, tuple(wanted))
    return _Ways(size, tuple(min(one, each) for one in wanted))


def _paint_way(painter: QPainter, face: ChipFace, box: QRectF, cap: float, size: float) -> list[Drawn]:
    if box.width() <= 0.0:
        return []
    place, font = QPointF(box.x() + 0.24 * cap, box.center().y() + size / 2), font_of(size, "medium")
    return [write(painter, "way", way_words(face), font, place, theme.CREAM, box.width() - 0.24 * cap)]


def _line_font(cap: float) -> float:
    return max(0.2 * cap, least() * 0.73)


def _lines_room(lines: Sequence[Line], cap: float, most: float) -> float:
    return min(max((line_width(line, _line_font(cap)) for line in lines), default=0.0), 0.46 * most)


def _lines(painter: QPainter, lines: Sequence[Line], box: QRectF, cap: float) -> list[Drawn]:
    """Draw the small lines at the right, as many as there is room for."""
    if box.width() < 1.5 * cap or not lines:
        return []
    step = 0.42 * cap
    top = box.center().y() + _line_font(cap) / 2 - step * (len(lines) - 1) / 2
    drawn = []
    for index, line in enumerate(lines):
        size, wide = _line_font(cap), line_width(line, _line_font(cap))
        if wide > box.width():
            size = max(size * (box.width() - 2) / wide, min(size, least() * 0.73))
        left = max(box.right() - line_width(line, size), box.x())
        drawn += paint_line(painter, line, QPointF(left, top + index * step), box.right() - left, size)
    return drawn
