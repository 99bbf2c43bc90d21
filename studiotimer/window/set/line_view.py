"""The line: pulled scoops as tiles, in the order they will be used."""

from __future__ import annotations

from PySide6.QtCore import QItemSelectionModel, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from studiotimer.window import theme
from studiotimer.window.set.lettering import least
from studiotimer.window.set.row_model import Index, Rows
from studiotimer.window.set.row_strip import RowStrip
from studiotimer.window.set.tiles import TILE_GAP, TILE_HEIGHT, TILE_WIDTH, Tile, TilePainter
from studiotimer.window.theme import DARK

AT_ONCE = 6
"""So many tiles have room at least."""
MORE_WIDTH = 44


class LineView(RowStrip[Tile]):
    """As many tiles as fit; the rest is counted, and the chosen one is always in view."""

    chosen = Signal(object)
    gap = TILE_GAP

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Rows[Tile](), parent)
        self._painter = TilePainter(self)
        self.setItemDelegate(self._painter)
        self._fits, self._empty = AT_ONCE, ""
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("the line")
        self.selectionModel().selectionChanged.connect(self._told)

    @property
    def choice(self) -> int | None:
        """The chosen scoop."""
        at = self._chosen_row()
        return None if at is None else self.rows[at].number

    @property
    def cut(self) -> list[str]:
        """The words that were shortened when the tiles in view were drawn last."""
        return [words for at in self.in_view() for words in self._painter.cut.get(self.rows[at].number, ())]

    def show_line(self, tiles: list[Tile], empty: str) -> None:
        """Show the waiting scoops, or words when there are none; a chosen scoop that left is let go.

        With none chosen, one that comes or leaves brings back who looks further along.
        """
        many = len(self.rows)
        self._rows.show_rows(tiles)
        if many != len(tiles) or empty != self._empty:
            self._empty = empty
            self.lay_out()
            if self.choice is None:
                self.go_back()

    def step(self, by: int) -> None:
        """Choose the next tile, or the one before; past either end nothing is chosen."""
        at = self._chosen_row()
        at = at + by if at is not None else (0 if by > 0 else len(self.rows) - 1)
        self._choose(at if 0 <= at < len(self.rows) else None)

    def let_go(self) -> None:
        """Choose nothing, and show the first scoops."""
        self._choose(None)
        self.go_back()

    def take(self, index: Index) -> None:
        self._choose(None if index.row() == self._chosen_row() else index.row())

    def _told(self) -> None:
        self.chosen.emit(self.choice)

    def _chosen_row(self) -> int | None:
        chosen = self.selectionModel().selectedIndexes()
        return chosen[0].row() if chosen else None

    def _choose(self, at: int | None) -> None:
        if at is None:
            self.clearSelection()
            return
        index = self.model().index(at, 0)
        self.selectionModel().select(index, QItemSelectionModel.SelectionFlag.ClearAndSelect)
        self.scrollTo(index)

    def lay_out(self) -> None:
        many, gap = len(self.rows), self.gap
        self._fits = max(int((self.width() + gap) // (TILE_WIDTH * self.scale + gap)), AT_ONCE)
        self.kept = round(MORE_WIDTH * self.scale) if many > self._fits else 0
        self._painter.step = (self.width() - self.kept + gap) / self._fits
        self.under = max(self.height() - round(TILE_HEIGHT * self.scale), 0) if many else 0
        hidden = max(many - self._fits, 0)
        more = f", {hidden} more beside these" if hidden else ""
        self.setAccessibleName(f"the line, {many} waiting{more}" if many else f"the line: {self._empty}")
        super().lay_out()

    def minimumSizeHint(self) -> QSize:
        return QSize(round(theme.unzoomed(TILE_WIDTH)), round(theme.unzoomed(40)))

    def sizeHint(self) -> QSize:
        return QSize()

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        if self.rows and not self.kept:
            return
        painter = QPainter(self.viewport())
        painter.setPen(QColor(DARK.quiet))
        painter.setFont(theme.font(max(15 * self.scale, least())))
        if self.rows:
            box = QRectF(self.width() - self.kept, 0, self.kept, self.viewport().height())
            right = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight
            painter.drawText(box, int(right), f"+{len(self.rows) - self._fits}")
        else:
            flags = Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft
            painter.drawText(QRectF(self.rect()), int(flags) | int(Qt.TextFlag.TextWordWrap), self._empty)
