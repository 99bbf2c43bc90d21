"""The line: pulled scoops as tiles, in the order they will be used."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QBrush,
    QColor,
    QFontMetricsF,
    QKeyEvent,
    QPainter,
    QPainterPath,
    QPaintEvent,
    QPen,
    QResizeEvent,
)
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QWidget

from studiotimer.window import theme
from studiotimer.window.set.buttons import press_by_key
from studiotimer.window.set.lettering import least, paint_number
from studiotimer.window.theme import DARK

TILE_WIDTH, TILE_HEIGHT, TILE_GAP = 196, 122, 8
AT_ONCE = 6
"""So many tiles have room at least."""
MORE_WIDTH = 44


@dataclass(frozen=True)
class Tile:
    """What one tile shows of a scoop: where it is and since when, how long frames could be taken if it were placed now.

    `forms` are its flavour's names, the longest first; `window` is where its window would begin and end, as shares of
    the small ribbon; `cued` tells that the cue names it.
    """

    scoop: int
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

    @property
    def words(self) -> str:
        """What a reader says of it."""
        shoot = f"{self.shoot} to shoot if placed now" if self.shoot[:1].isdigit() else f"{self.shoot} if placed now"
        said = (self.flavour, self.where, self.note, shoot, self.ends, self.pulled, "cued" if self.cued else "")
        return f"scoop {self.scoop}, " + ", ".join(part for part in said if part)


class TileButton(QAbstractButton):
    """One scoop of the line; a click selects it."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.tile = Tile(0, "", "", "")
        self.cut: list[str] = []
        """The words that were shortened when it was drawn last."""
        self.setCheckable(True)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def show_tile(self, tile: Tile, chosen: bool) -> None:
        """Show a scoop, marked when it is the chosen one."""
        if tile != self.tile or chosen != self.isChecked():
            self.tile = tile
            self.setChecked(chosen)
            self.setAccessibleName(tile.words + (", chosen" if chosen else ""))
            self.update()

    def nextCheckState(self) -> None:
        """Leave the mark to the line, which knows what is chosen."""

    def keyPressEvent(self, event: QKeyEvent) -> None:
        press_by_key(self, event)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self.cut = []
        tile, one = self.tile, self.width() / TILE_WIDTH
        box = QRectF(self.rect()).adjusted(1.5, 1.5, -1.5, -1.5)
        painter.setBrush(QColor(DARK.raised if self.underMouse() or self.isChecked() else DARK.panel))
        line = DARK.accent if self.isChecked() or self.hasFocus() else theme.CREAM if tile.cued else ""
        width = 1.5 * one if self.hasFocus() and not self.isChecked() else 3 * one
        painter.setPen(QPen(QColor(line), width) if line else Qt.PenStyle.NoPen)
        painter.drawRoundedRect(box, theme.RADIUS * one, theme.RADIUS * one)
        inner = box.adjusted(11 * one, 0, -9 * one, 0)
        strong, quiet = DARK.quiet if tile.faint else DARK.text, DARK.quiet
        small = max(13 * one, least())
        height, top = box.height(), box.y() + box.height() * 0.045
        chip = QRectF(inner.x(), top + height * 0.03, min(44 * one, height * 0.37), height * 0.33)
        paint_number(painter, chip, str(tile.scoop), tile.colour)
        left = chip.right() + 8 * one
        name = QRectF(left, top, inner.right() - left, height * 0.205)
        self._name(painter, name, min(max(15 * one, least()), max(name.height() * 0.86, least())), strong)
        where = QRectF(left, name.bottom(), name.width(), height * 0.18)
        self._row(painter, where, tile.where + (f", {tile.note}" if tile.note else ""), small, quiet)
        shoot = QRectF(inner.x(), where.bottom(), inner.width(), height * 0.275)
        self._shoot(painter, shoot, strong, one, small)
        last = QRectF(inner.x(), shoot.bottom(), inner.width(), height * 0.18)
        self._row(painter, last, self._last(small, last.width()), small, quiet)
        self._ribbon(painter, QRectF(inner.x(), box.bottom() - height * 0.085, inner.width(), height * 0.045))

    def _last(self, pixels: float, room: float) -> str:
        """Return when the window would end, and since when the scoop was pulled as far as there is room for that."""
        ends, pulled = self.tile.ends, self.tile.pulled
        old = pulled.removeprefix("pulled ").replace(" ago", " old")
        ways = (f"{ends}, {pulled}", f"{ends}, {old}", ends) if ends else (pulled,)
        return next((words for words in ways if theme.wide(words, pixels) <= room), ways[-1])

    def _name(self, painter: QPainter, box: QRectF, size: float, colour: str) -> None:
        """Write the flavour, shortened to a name that still differs where it is too long."""
        forms = self.tile.forms or (self.tile.flavour,)
        form = next((one for one in forms if theme.wide(one, size, "strong") <= box.width()), forms[-1])
        self._row(painter, box, form, size, colour, "strong")

    def _shoot(self, painter: QPainter, box: QRectF, colour: str, one: float, small: float) -> None:
        """Write the time to shoot large, and what it is after it."""
        timed = self.tile.shoot[:1].isdigit()
        pixels = min(31 * one, box.height()) if timed else 0.6 * box.height()
        painter.setFont(theme.font(pixels, "strong"))
        painter.setPen(QColor(colour))
        base = box.bottom() - box.height() * 0.14
        painter.drawText(QPointF(box.x(), base), self.tile.shoot)
        if timed:
            left = theme.wide(self.tile.shoot, pixels, "strong") + 7 * one
            painter.setFont(theme.font(small))
            painter.setPen(QColor(DARK.quiet))
            painter.drawText(QPointF(box.x() + left, base), "to shoot")

    def _ribbon(self, painter: QPainter, box: QRectF) -> None:
        """Draw when the window would open and end, in the colours of the stages before, in and after it."""
        if self.tile.window is None:
            return
        opens, ends = (box.x() + share * box.width() for share in self.tile.window)
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

    def _row(
        self, painter: QPainter, box: QRectF, words: str, pixels: float, colour: str, weight: theme.Weight = "regular"
    ) -> None:  # fmt: skip
        font, shown = theme.font(pixels, weight), words
        painter.setFont(font)
        painter.setPen(QColor(colour))
        if theme.wide(words, pixels, weight) > box.width():
            shown = QFontMetricsF(font).elidedText(words, Qt.TextElideMode.ElideRight, box.width())
        if shown != words:
            self.cut.append(words)
        painter.drawText(box, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, shown)


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
        return QSize(round(theme.unzoomed(TILE_WIDTH)), round(theme.unzoomed(40)))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setPen(QColor(DARK.quiet))
        painter.setFont(theme.font(max(15 * self._scale, least())))
        hidden = self._hidden()
        if hidden > 0:
            box = QRectF(self.width() - MORE_WIDTH * self._scale, 0, MORE_WIDTH * self._scale, self.height())
            painter.drawText(box, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight, f"+{hidden}")
        if not self._tiles:
            box = QRectF(0, 0, self.width(), self.height())
            flags = Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft
            painter.drawText(box, int(flags) | int(Qt.TextFlag.TextWordWrap), self._empty)

    def _hidden(self) -> int:
        """Return how many scoops of the line have no room."""
        return len(self._tiles) - sum(1 for one in self._buttons if one.isVisibleTo(self))

    def _choose(self, scoop: int | None) -> None:
        if scoop != self._chosen:
            self._chosen = scoop
            self.chosen.emit(scoop)

    def _lay_out(self) -> None:
        fits = max(int((self.width() + TILE_GAP) // (TILE_WIDTH * self._scale + TILE_GAP)), AT_ONCE)
        room = self.width() - (MORE_WIDTH * self._scale if len(self._tiles) > fits else 0)
        width = (room + TILE_GAP) / fits - TILE_GAP
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
        height = min(self.height(), round(TILE_HEIGHT * self._scale))
        for index, button in enumerate(self._buttons):
            button.setVisible(index < len(shown))
            if index < len(shown):
                button.setGeometry(round(index * (width + TILE_GAP)), 0, round(width), height)
                button.show_tile(shown[index], shown[index].scoop == self._chosen)
        more = f", {hidden} more beside these" if (hidden := self._hidden()) else ""
        self.setAccessibleName(
            f"the line, {len(self._tiles)} waiting{more}" if self._tiles else f"the line: {self._empty}"
        )
        self.update()

    def _clicked(self, button: TileButton) -> None:
        self._choose(None if button.tile.scoop == self._chosen else button.tile.scoop)
        self._lay_out()
