"""The line: pulled scoops as tiles, in the order they will be used."""

from __future__ import annotations

import math
from dataclasses import dataclass

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFontMetricsF, QKeyEvent, QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QWidget

from studiotimer.window import theme
from studiotimer.window.set.buttons import press_by_key
from studiotimer.window.theme import DARK

TILE_WIDTH, TILE_HEIGHT, TILE_GAP = 150, 170, 12
TITLE_HEIGHT = 24


@dataclass(frozen=True)
class Tile:
    """What one tile shows: number, flavour, where and since when, its time if placed now, and how it was judged."""

    scoop: int
    flavour: str
    where: str
    placed: str
    note: str = ""
    faint: bool = False


class TileButton(QAbstractButton):
    """One scoop of the line; a click selects it."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.tile = Tile(0, "", "", "")
        self.setCheckable(True)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def show_tile(self, tile: Tile, chosen: bool) -> None:
        """Show a scoop, marked when it is the chosen one."""
        if tile != self.tile or chosen != self.isChecked():
            self.tile = tile
            self.setChecked(chosen)
            name = f"scoop {tile.scoop}, {tile.flavour}, {tile.where}, {tile.note} placed now {tile.placed}"
            self.setAccessibleName(name + (", chosen" if chosen else ""))
            self.update()

    def nextCheckState(self) -> None:
        """Leave the mark to the line, which knows what is chosen."""

    def keyPressEvent(self, event: QKeyEvent) -> None:
        press_by_key(self, event)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box = QRectF(self.rect()).adjusted(1.5, 1.5, -1.5, -1.5)
        painter.setBrush(QColor(DARK.raised if self.underMouse() else DARK.panel))
        one = self.width() / TILE_WIDTH
        width = 3 * one if self.isChecked() else 1.5 * one if self.hasFocus() else 0.0
        painter.setPen(QPen(QColor(DARK.accent), width) if width else Qt.PenStyle.NoPen)
        painter.drawRoundedRect(box, theme.RADIUS * one, theme.RADIUS * one)
        inner = box.adjusted(12 * one, 6 * one, -10 * one, -6 * one)
        strong = QColor(DARK.quiet if self.tile.faint else DARK.text)
        quiet = QColor(DARK.quiet)
        unit, tiny = inner.height() / 10.0, theme.unzoomed(theme.TINY)
        self._row(painter, inner, 0.0, 2.7 * unit, str(self.tile.scoop), theme.font(2.1 * unit, "strong"), strong)
        if self.tile.note:
            painter.setFont(theme.font(max(0.9 * unit, tiny), "medium"))
            painter.setPen(quiet)
            top = QRectF(inner.x(), inner.y(), inner.width(), 2.7 * unit)
            painter.drawText(top, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, self.tile.note)
        small = theme.font(max(1.2 * unit, tiny))
        self._row(painter, inner, 2.7 * unit, 1.8 * unit, self.tile.flavour, small, strong)
        self._row(painter, inner, 4.4 * unit, 1.8 * unit, self.tile.where, small, quiet)
        self._row(painter, inner, 6.3 * unit, 2.4 * unit, self.tile.placed, theme.font(2.1 * unit, "strong"), strong)
        self._row(
            painter,
            inner,
            8.6 * unit,
            1.5 * unit,
            "if placed now",
            theme.font(max(1.05 * unit, tiny)),
            quiet,
        )

    def _row(
        self, painter: QPainter, inner: QRectF, top: float, height: float, words: str, face: object, colour: QColor
    ) -> None:
        painter.setFont(face)  # type: ignore[arg-type]
        painter.setPen(colour)
        shown = QFontMetricsF(painter.font()).elidedText(words, Qt.TextElideMode.ElideRight, inner.width())
        row = QRectF(inner.x(), inner.y() + top, inner.width(), height)
        painter.drawText(row, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, shown)


class LineView(QWidget):
    """As many tiles as fit; the rest is counted, and the chosen one is always in view."""

    chosen = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._tiles: list[Tile] = []
        self._chosen: int | None = None
        self._first = 0
        self._buttons: list[TileButton] = []
        self._empty = ""
        self._scale = 1.0
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("the line")

    @property
    def tiles(self) -> list[Tile]:
        """What the line shows, in order of use."""
        return self._tiles

    @property
    def choice(self) -> int | None:
        """The chosen scoop."""
        return self._chosen

    def show_line(self, tiles: list[Tile], empty: str) -> None:
        """Show the waiting scoops, or words when there are none; a chosen scoop that left is let go."""
        self._tiles, self._empty = tiles, empty
        if self._chosen is not None and all(tile.scoop != self._chosen for tile in tiles):
            self._choose(None)
        self._lay_out()

    def set_scale(self, scale: float) -> None:
        """Draw everything `scale` times as large."""
        self._scale = scale
        self._lay_out()

    def step(self, by: int) -> None:
        """Choose the next tile, or the one before; past either end nothing is chosen."""
        numbers = [tile.scoop for tile in self._tiles]
        if not numbers:
            return
        place = numbers.index(self._chosen) + by if self._chosen in numbers else (0 if by > 0 else len(numbers) - 1)
        self._choose(numbers[place] if 0 <= place < len(numbers) else None)
        self._lay_out()

    def let_go(self) -> None:
        """Choose nothing."""
        self._choose(None)
        self._lay_out()

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._lay_out()

    def minimumSizeHint(self) -> QSize:
        return QSize(round(theme.unzoomed(TILE_WIDTH * 2)), round(theme.unzoomed(120)))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setPen(QColor(DARK.quiet))
        painter.setFont(theme.font(theme.SMALL * self._scale))
        title = f"The line, {len(self._tiles)} waiting" if self._tiles else "The line"
        hidden = len(self._tiles) - len([one for one in self._buttons if one.isVisibleTo(self)])
        if hidden > 0:
            title += f", {hidden} more beside these"
        painter.drawText(QRectF(0, 0, self.width(), self._top() - 4), Qt.AlignmentFlag.AlignVCenter, title)
        if not self._tiles:
            box = QRectF(0, self._top(), self.width(), self.height() - self._top())
            flags = Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft
            painter.drawText(box, int(flags) | int(Qt.TextFlag.TextWordWrap), self._empty)

    def _choose(self, scoop: int | None) -> None:
        if scoop != self._chosen:
            self._chosen = scoop
            self.chosen.emit(scoop)

    def _lay_out(self) -> None:
        width = round(TILE_WIDTH * self._scale)
        fits = max((self.width() + TILE_GAP) // (width + TILE_GAP), 1)
        numbers = [tile.scoop for tile in self._tiles]
        if self._chosen in numbers:
            place = numbers.index(self._chosen)
            self._first = min(max(self._first, place - fits + 1), place)
        self._first = max(min(self._first, len(numbers) - fits), 0)
        shown = self._tiles[self._first : self._first + fits]
        while len(self._buttons) < len(shown):
            button = TileButton(self)
            button.clicked.connect(lambda _=False, one=button: self._clicked(one))
            self._buttons.append(button)
        height = min(self.height() - self._top(), round(TILE_HEIGHT * self._scale))
        for index, button in enumerate(self._buttons):
            button.setVisible(index < len(shown))
            if index < len(shown):
                button.setGeometry(index * (width + TILE_GAP), self._top(), width, height)
                button.show_tile(shown[index], shown[index].scoop == self._chosen)
        self.update()

    def _top(self) -> int:
        return round(TITLE_HEIGHT * self._scale)

    def _clicked(self, button: TileButton) -> None:
        self._choose(None if button.tile.scoop == self._chosen else button.tile.scoop)
        self._lay_out()


def placed_words(start_s: float, end_s: float) -> str:
    """Return a window in words: its end, with its start when that is not at once."""
    from studiotimer.units import duration

    if not math.isfinite(end_s):
        return "over 3 h" if math.isfinite(start_s) else "never"
    return duration(end_s)
