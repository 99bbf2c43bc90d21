"""What a tile shows of a pulled scoop, and how it is drawn."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QFontMetricsF, QPainter, QPainterPath, QPen
from PySide6.QtWidgets import QStyleOptionViewItem

from studiotimer.window import theme
from studiotimer.window.set.lettering import least, paint_number
from studiotimer.window.set.row_model import Index
from studiotimer.window.set.row_strip import RowPainter, RowStrip, Stands
from studiotimer.window.theme import DARK

TILE_WIDTH, TILE_HEIGHT, TILE_GAP = 196, 122, 8
FITS = 0.86
"""How large letters may be for the height of their line, so that none is cut below it."""
_WHERE = int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft | Qt.TextFlag.TextDontClip)


@dataclass(frozen=True)
class Tile:
    """What one tile shows of a scoop: where it is and since when, how long frames could be taken if it were placed now.

    `number` is its scoop's; `forms` are its flavour's names, the longest first; `window` is where its window would
    begin and end, as shares of the small ribbon; `cued` tells that the cue names it.
    """

    number: int
    flavour: str
    where: str
    shoot: str
    ends: str = ""
    pulled: str = ""
    note: str = ""
    forms: tuple[str, ...] = ()
    colour: str = "#B9B1A8"
    window: tuple[float, float] | None = None
    cued: bool = False
    faint: bool = False
    place: str = ""
    """Where it is, without since when: what is left of that where there is little room."""

    @property
    def said(self) -> str:
        """What a reader says of it."""
        shoot = f"{self.shoot} to shoot if placed now" if self.shoot[:1].isdigit() else f"{self.shoot} if placed now"
        said = (self.flavour, self.where, self.note, shoot, self.ends, self.pulled, "cued" if self.cued else "")
        return f"scoop {self.number}, " + ", ".join(part for part in said if part)


class TilePainter(RowPainter[Tile]):
    """Draws one scoop of the line."""

    def __init__(self, strip: RowStrip[Tile]) -> None:
        super().__init__(strip)
        self.step = float(TILE_WIDTH + TILE_GAP)
        """How far it is from one tile to the next."""
        self.cut: dict[int, list[str]] = {}
        """The words that were shortened when a tile was drawn last, by its number."""

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        left, right = (int((index.row() + more) * self.step + 0.5 + 1e-6) for more in (0, 1))
        return QSize(right - left, 1)

    def draw(self, painter: QPainter, box: QRectF, row: Tile, stands: Stands) -> None:
        box.setWidth(round(self.step - TILE_GAP))
        one = box.width() / TILE_WIDTH
        box = box.adjusted(1.5, 1.5, -1.5, -1.5)
        painter.setBrush(QColor(DARK.raised if stands.under_mouse or stands.chosen else DARK.panel))
        line = DARK.accent if stands.chosen or stands.has_keys else theme.CREAM if row.cued else ""
        width = 1.5 * one if stands.has_keys and not stands.chosen else 3 * one
        painter.setPen(QPen(QColor(line), width) if line else Qt.PenStyle.NoPen)
        painter.drawRoundedRect(box, theme.RADIUS * one, theme.RADIUS * one)
        inner = box.adjusted(11 * one, 0, -9 * one, 0)
        strong = DARK.quiet if row.faint else DARK.text
        height, top = box.height(), box.y() + box.height() * 0.045
        chip = QRectF(inner.x(), top + height * 0.03, min(44 * one, height * 0.37), height * 0.33)
        paint_number(painter, chip, str(row.number), row.colour)
        left = chip.right() + 8 * one
        name = QRectF(left, top, inner.right() - left, height * 0.205)
        where = QRectF(left, name.bottom(), name.width(), height * 0.18)
        shoot = QRectF(inner.x(), where.bottom(), inner.width(), height * 0.275)
        last = QRectF(inner.x(), shoot.bottom(), inner.width(), height * 0.18)
        size = max(min(15 * one, name.height() * FITS), least())
        small = max(min(13 * one, last.height() * FITS), least())
        self._shoot(painter, shoot, row.shoot, strong, one, small)
        self._ribbon(painter, QRectF(inner.x(), box.bottom() - height * 0.085, inner.width(), height * 0.045), row)
        cut = [
            *_write(painter, name, name_for(row, size, name.width()), size, strong, "strong"),
            *_write(painter, where, where_words(row, small, where.width()), small, DARK.quiet),
            *_write(painter, last, last_words(row, small, last.width()), small, DARK.quiet),
        ]
        self.cut.update({row.number: cut}) if cut else self.cut.pop(row.number, None)

    def _shoot(self, painter: QPainter, box: QRectF, shoot: str, colour: str, one: float, small: float) -> None:
        """Write the time to shoot large, and what it is after it."""
        timed = shoot[:1].isdigit()
        pixels = min(31 * one, box.height()) if timed else 0.6 * box.height()
        painter.setFont(theme.font(pixels, "strong"))
        painter.setPen(QColor(colour))
        base = box.bottom() - box.height() * 0.14
        painter.drawText(QPointF(box.x(), base), shoot)
        if timed:
            left = theme.wide(shoot, pixels, "strong") + 7 * one
            painter.setFont(theme.font(small))
            painter.setPen(QColor(DARK.quiet))
            painter.drawText(QPointF(box.x() + left, base), "to shoot")

    def _ribbon(self, painter: QPainter, box: QRectF, tile: Tile) -> None:
        """Draw when the window would open and end, in the colours of the stages before, in and after it."""
        if tile.window is None:
            return
        opens, ends = (box.x() + share * box.width() for share in tile.window)
        shape = QPainterPath()
        shape.addRoundedRect(box, box.height() / 2, box.height() / 2)
        painter.save()
        painter.setClipPath(shape)
        painter.fillRect(box, QColor(theme.CARAMEL))
        shade = QColor(theme.INK)
        shade.setAlpha(90)
        painter.fillRect(box, QBrush(shade, Qt.BrushStyle.BDiagPattern))
        painter.fillRect(QRectF(box.x(), box.y(), opens - box.x(), box.height()), QColor(theme.FROST))
        painter.fillRect(QRectF(opens, box.y(), ends - opens, box.height()), QColor(theme.CUSTARD))
        painter.restore()
        painter.fillRect(QRectF(ends - 1, box.y() - 2, 2, box.height() + 4), QColor(theme.CREAM))


def last_words(tile: Tile, pixels: float, room: float) -> str:
    """Return when the window would end, and since when the scoop was pulled as far as there is room for that."""
    old = tile.pulled.removeprefix("pulled ").replace(" ago", " old")
    ways = (f"{tile.ends}, {tile.pulled}", f"{tile.ends}, {old}", tile.ends) if tile.ends else (tile.pulled,)
    return next((words for words in ways if theme.wide(words, pixels) <= room), ways[-1])


def where_words(tile: Tile, pixels: float, room: float) -> str:
    """Return where a scoop is and what it is for; since when it is there only as far as there is room for that too."""
    note = f", {tile.note}" if tile.note else ""
    whole = f"{tile.where}{note}"
    return whole if not tile.place or theme.wide(whole, pixels) <= room else f"{tile.place}{note}"


def name_for(tile: Tile, pixels: float, room: float) -> str:
    """Return the flavour, shortened to a name that still differs where it is too long."""
    forms = tile.forms or (tile.flavour,)
    return next((one for one in forms if theme.wide(one, pixels, "strong") <= room), forms[-1])


def _write(
    painter: QPainter, box: QRectF, words: str, pixels: float, colour: str, weight: theme.Weight = "regular"
) -> list[str]:  # fmt: skip
    """Write words into a box; return them where they had to be shortened."""
    font, shown = theme.font(pixels, weight), words
    painter.setFont(font)
    painter.setPen(QColor(colour))
    if theme.wide(words, pixels, weight) > box.width():
        shown = QFontMetricsF(font).elidedText(words, Qt.TextElideMode.ElideRight, box.width())
    painter.drawText(box, _WHERE, shown)
    return [words] if shown != words else []
