"""How a cue is drawn as large as a hero's time, while there is no hero: its scoops as large as there is room for."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from studiotimer.window import theme
from studiotimer.window.set.cue_face import ChipFace, CueFace, LockCard
from studiotimer.window.set.cue_parts import (
    LARGE_SHARE,
    NARROWER,
    Setting,
    first_row,
    inner_of,
    line_width,
    paint_line,
    paint_rest,
    way_words,
)
from studiotimer.window.set.lettering import Drawn, font_of, least, paint_scoop, two_lines, widest, width_of, write
from studiotimer.window.theme import DARK

TIME_SHARE = 0.62
"""How high the time is, in the height of the verb, where that is as high as a hero's time."""


def paint_large(painter: QPainter, cue: CueFace, setting: Setting) -> list[Drawn]:
    """Draw a cue over the whole of the setting's area and return the words that were drawn."""
    inner, cap = inner_of(setting), LARGE_SHARE * setting.window
    while cap > setting.cap and _wanted(cue, cap, setting) > inner.width():
        cap = max(cap * NARROWER, setting.cap)
    base = inner.y() + 0.65 * LARGE_SHARE * setting.window + cap / 2
    drawn = first_row(painter, cue, inner, base, cap, max(TIME_SHARE * cap, setting.cap))
    row = _second_row(setting)
    if cue.locks:
        for card, box in zip(cue.locks, lock_boxes(setting), strict=True):
            drawn += _lock_card(painter, card, box, setting.one)
    elif cue.chips and not cue.chips[0].number:
        drawn += _flavour(painter, cue.chips[0], row, setting)
    elif cue.chips:
        drawn += _scoops(painter, cue.chips, row, setting)
    elif cue.rest:
        size = min(0.62 * row.height(), LARGE_SHARE * setting.window)
        drawn.append(paint_rest(painter, cue.rest, row, size, row.width()))
    return drawn + _foot(painter, cue, inner, setting)


def lock_boxes(setting: Setting) -> list[QRectF]:
    """Return where the three locks' cards stand while the cue is large."""
    row = _second_row(setting)
    gap = 20 * setting.one
    width = (row.width() - 2 * gap) / 3
    return [QRectF(row.x() + index * (width + gap), row.y(), width, row.height()) for index in range(3)]


def _wanted(cue: CueFace, cap: float, setting: Setting) -> float:
    """Return how much room the first line wants with capitals `cap` high."""
    time_cap, time = max(TIME_SHARE * cap, setting.cap), 0.0
    if cue.time:
        time = width_of(cue.time, font_of(time_cap)) + (0.64 * time_cap if cue.due else 0.0) + 0.4 * cap
    return width_of(f"{cue.verb} {cue.place}".strip(), font_of(cap)) + time


def _second_row(setting: Setting) -> QRectF:
    """Return where the scoops (or the locks) stand."""
    inner = inner_of(setting)
    top = inner.y() + 1.46 * LARGE_SHARE * setting.window
    return QRectF(inner.x(), top, inner.width(), inner.bottom() - top - 0.062 * setting.window)


def _foot(painter: QPainter, cue: CueFace, inner: QRectF, setting: Setting) -> list[Drawn]:
    """Write what follows at the left of the last line, and what the scoops would have at its right."""
    size = max(0.0175 * setting.window, least() * 0.73)
    plain = font_of(size, "regular")
    base, left, drawn = inner.bottom() - 0.022 * setting.window, inner.x(), []
    about = width_of(cue.about, plain)
    room = inner.width() - (about + 24 * setting.one if about else 0.0)
    for line in cue.lines:
        wanted = line_width(line, size)
        if left > inner.x() and left + wanted > inner.x() + room:
            break
        drawn += paint_line(painter, line, QPointF(left, base), max(min(wanted, inner.x() + room - left), 0.0), size)
        left += wanted + 28 * setting.one
    if about:
        place = QPointF(max(inner.right() - about, inner.x()), base)
        drawn.append(write(painter, "about", cue.about, plain, place, DARK.quiet, inner.width()))
    return drawn


def _flavour(painter: QPainter, chip: ChipFace, row: QRectF, setting: Setting) -> list[Drawn]:
    """Draw a flavour that has no number yet, as large as a number, and the way it goes beside it."""
    side, way = 0.3 * row.height(), way_words(chip)
    way_font = font_of(0.16 * row.height(), "medium")
    way_room = width_of(way, way_font) + side if way else 0.0
    room = row.width() - way_room - 2 * side
    size = min(0.5 * row.height(), LARGE_SHARE * setting.window)
    forms = chip.forms or ("",)
    form = next((one for one in forms if width_of(one, font_of(setting.cap)) <= room), forms[-1])
    while width_of(form, font_of(size)) > room and size > least():
        size *= NARROWER
    box = QRectF(row.x(), row.y(), width_of(form, font_of(size)) + 2 * side, row.height())
    ink = paint_scoop(painter, box, chip.colour, setting.outlined)
    place = QPointF(box.x() + side, box.center().y() + size / 2)
    drawn = [write(painter, "flavour", form, font_of(size), place, ink)]
    if way:
        at = QPointF(box.right() + side, box.center().y() + 0.08 * row.height())
        drawn.append(write(painter, "way", way, way_font, at, theme.CREAM))
    return drawn


def _scoops(painter: QPainter, chips: Sequence[ChipFace], row: QRectF, setting: Setting) -> list[Drawn]:
    """Draw scoops in as many rows as make their numbers largest."""
    gap = (20 if len(chips) < 5 else 8) * setting.one
    digits = max(width_of(chip.number, font_of(100.0)) for chip in chips) / 100.0

    def shape(rows: int) -> tuple[float, float, float]:
        """Return how wide and high each is in so many rows, and how high the number's figures."""
        per_row = -(-len(chips) // rows)
        wide = min((row.width() - gap * (per_row - 1)) / per_row, 0.5 * row.width())
        tall = (row.height() - gap * (rows - 1)) / rows
        return wide, tall, min(0.78 * tall, 0.9 * LARGE_SHARE * setting.window, (wide - 0.3 * tall) / digits)

    rows = max(range(1, min(len(chips), 6) + 1), key=lambda count: shape(count)[2])
    wide, tall, cap = shape(rows)
    named = max(min(cap, 0.44 * wide / digits), setting.cap)
    if named < cap and all(_name_lines(chip.forms, *_name_room(chip, wide, tall, named, setting)) for chip in chips):
        cap = named
    per_row = -(-len(chips) // rows)
    drawn = []
    for index, chip in enumerate(chips):
        place = row.topLeft() + QPointF((index % per_row) * (wide + gap), (index // per_row) * (tall + gap))
        drawn += _scoop(painter, chip, QRectF(place.x(), place.y(), wide, tall), cap, setting)
    return drawn


def _scoop(painter: QPainter, chip: ChipFace, box: QRectF, cap: float, setting: Setting) -> list[Drawn]:
    """Draw one scoop: its number, then its flavour over where it goes, as far as there is room."""
    ink = paint_scoop(painter, box, chip.colour, setting.outlined)
    side = 0.16 * box.height()
    number = width_of(chip.number, font_of(cap))
    size, room = _name_room(chip, box.width(), box.height(), cap, setting)
    left = box.x() + side + number + 0.14 * cap
    words = _name_lines(chip.forms, size, room)
    way = _way_lines(chip, size, room, most=int(0.8 * box.height() / (1.5 * size)) - len(words))
    words += way
    free = max(room - widest(words, font_of(size)), 0.0)
    shift = min(free / 2, 0.3 * box.height()) if words else max((box.width() - number) / 2 - side, 0.0)
    place = QPointF(box.x() + side + shift, box.center().y() + cap / 2)
    drawn = [write(painter, "number", chip.number, font_of(cap), place, ink)]
    step = 1.5 * size
    top = box.center().y() + size / 2 - step * (len(words) - 1) / 2
    for index, line in enumerate(words):
        part: tuple[str, theme.Weight]
        part = ("way", "regular") if index >= len(words) - len(way) else ("flavour", "strong")
        at = QPointF(left + shift, top + index * step)
        drawn.append(write(painter, part[0], line, font_of(size, part[1]), at, ink, room))
    return drawn


def _way_lines(chip: ChipFace, size: float, room: float, most: int) -> list[str]:
    """Return a scoop's way, from where to where, on as few lines as have room for it: on two, else only where to."""
    if not chip.to:
        return []
    to = f"→ {chip.to}"
    for lines in ([way_words(chip)], [chip.came, to], [to]):
        if len(lines) <= most and all(lines) and widest(lines, font_of(size, "regular")) <= room:
            return lines
    return []


def _name_room(chip: ChipFace, wide: float, tall: float, cap: float, setting: Setting) -> tuple[float, float]:
    """Return how high a scoop's name is and how much room it has beside a number `cap` high."""
    size = max(min(0.14 * tall, 0.034 * setting.window), least() * 0.73)
    return size, wide - 0.16 * tall - width_of(chip.number, font_of(cap)) - 0.14 * cap - 0.1 * tall


def _name_lines(forms: Sequence[str], size: float, room: float) -> list[str]:
    """Return the longest name that has room on one line, or on two; none where not even the shortest has."""
    for form in forms:
        for lines in ([form], two_lines(form)):
            if widest(lines, font_of(size)) <= room:
                return list(lines)
    return []


def _lock_card(painter: QPainter, card: LockCard, box: QRectF, one: float) -> list[Drawn]:
    """Draw one lock: its key, its name, and whether it is locked."""
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(QColor(DARK.line if card.on else DARK.warning), (4 if card.cued else 2) * one))
    painter.drawRoundedRect(box.adjusted(2, 2, -2, -2), 20 * one, 20 * one)
    side = min(0.55 * box.height(), 0.24 * box.width())
    key = QRectF(box.x() + 0.4 * side, box.center().y() - side / 2, side, side)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(theme.CREAM if card.cued else DARK.raised))
    painter.drawRoundedRect(key, 0.16 * side, 0.16 * side)
    painter.setPen(QColor(theme.INK if card.cued else theme.CREAM))
    painter.setFont(font_of(0.4 * side))
    painter.drawText(key, Qt.AlignmentFlag.AlignCenter, card.key)
    left = key.right() + 0.3 * side
    room = box.right() - left - 0.1 * side
    name = min(0.4 * side, 0.4 * side * room / max(width_of(card.name, font_of(0.4 * side)), 1.0))
    state = font_of(max(0.23 * side, least() * 0.73), "regular")
    middle, colour = box.center().y(), DARK.quiet if card.on else DARK.warning
    said = "✓ locked" if card.on else "not locked"
    return [
        write(painter, "lock", card.name, font_of(name), QPointF(left, middle + 0.02 * side), theme.CREAM, room + 1),
        write(painter, "locked", said, state, QPointF(left, middle + 0.42 * side), colour, room),
    ]
