"""The log as one line, newest first; an entry not on disk yet says so."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QItemSelection, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen
from PySide6.QtWidgets import QSizePolicy, QStyleOptionViewItem, QWidget

from studiotimer.window import theme
from studiotimer.window.set.row_model import Index, Rows
from studiotimer.window.set.row_strip import RowPainter, RowStrip, Stands
from studiotimer.window.theme import DARK

ROW_HEIGHT = 22
GAP = 18
FEW, MOST = 8, 16
"""So many of the newest entries are held at first, and where there is room for more; beyond that only while somebody
looks further back."""
FARTHEST = 240
"""So far back the log goes: what is held is put into words anew with each call."""
DONE = "✓"
"""An entry is on disk."""


@dataclass(frozen=True)
class LogRow:
    """One entry in words: its number, the wall clock's time, and marks for how it stands."""

    number: int
    time: str
    words: str
    mark: str = ""
    undone: bool = False

    @property
    def said(self) -> str:
        """What a reader says of it."""
        return " ".join(part for part in (self.time, self.words, "taken back" if self.undone else self.mark) if part)


class LogModel(Rows[LogRow]):
    """The newest entries; `newest` gives at most so many of them, newest first."""

    def __init__(self, newest: Callable[[int], list[LogRow]]) -> None:
        super().__init__()
        self._newest = newest
        self._most = FEW
        self._more = False
        """Whether older ones can be held too; never while what is held changes, when a view may ask."""

    def renew(self) -> None:
        """Hold the entries as they are now; with a new one no more of the older ones than usual."""
        rows = self._newest(self._most)
        if [row.number for row in rows[:1]] != [row.number for row in self.rows[:1]]:
            self._most = min(self._most, MOST)
        self._hold(rows[: self._most])

    def canFetchMore(self, parent: Index) -> bool:
        return self._more and not parent.isValid()

    def fetchMore(self, parent: Index) -> None:
        if self.canFetchMore(parent):
            self._most = min(2 * self._most, FARTHEST)
            self._hold(self._newest(self._most))

    def _hold(self, rows: list[LogRow]) -> None:
        self._more = False
        self.show_rows(rows)
        self._more = len(rows) == self._most < FARTHEST


class _EntryPainter(RowPainter[LogRow]):
    """Draws an entry: its time, its words, struck out where it was taken back, and its mark."""

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        row = self.strip.rows[index.row()]
        words = f"{row.time} {row.words} {row.mark or DONE}"
        wanted = round(theme.wide(words, self._pixels()) + 12 * self.strip.scale)
        return QSize(min(wanted, self.strip.width()) + self.strip.gap, 1)

    def _pixels(self) -> float:
        return max(theme.SMALL * self.strip.scale, theme.unzoomed(13))

    def draw(self, painter: QPainter, box: QRectF, row: LogRow, stands: Stands) -> None:
        if stands.under_mouse or stands.has_keys:
            painter.setPen(QColor(DARK.accent) if stands.has_keys else Qt.PenStyle.NoPen)
            painter.setBrush(QColor(DARK.panel))
            painter.drawRoundedRect(box, 6, 6)
        pixels = self._pixels()
        painter.setFont(theme.font(pixels))
        gap = theme.wide(" ", pixels)
        painter.setPen(QColor(DARK.quiet))
        painter.drawText(box, Qt.AlignmentFlag.AlignVCenter, row.time)
        left = theme.wide(row.time, pixels) + gap
        mark = "" if row.undone else row.mark or DONE
        room = box.width() - left - (theme.wide(mark, pixels) + gap if mark else 0.0)
        words, width = row.words, theme.wide(row.words, pixels)
        if width > room:
            words = QFontMetricsF(painter.font()).elidedText(words, Qt.TextElideMode.ElideRight, room)
            width = theme.wide(words, pixels)
        painter.setPen(QColor(DARK.quiet if row.undone else DARK.text))
        painter.drawText(box.adjusted(left, 0, 0, 0), Qt.AlignmentFlag.AlignVCenter, words)
        if row.undone:
            painter.setPen(QPen(QColor(DARK.quiet), 1.5))
            at = box.left() + left
            painter.drawLine(QPointF(at, box.center().y()), QPointF(at + width, box.center().y()))
        if mark:
            painter.setPen(QColor(DARK.warning if row.mark else DARK.accent))
            painter.drawText(box.adjusted(left + width + gap, 0, 0, 0), Qt.AlignmentFlag.AlignVCenter, mark)


class LogView(RowStrip[LogRow]):
    """The newest entries; a press of one tells its number. A new call brings back who looks further back."""

    picked = Signal(int)

    def __init__(self, newest: Callable[[int], list[LogRow]], parent: QWidget | None = None) -> None:
        log = LogModel(newest)
        super().__init__(log, parent)
        self._log = log
        self.setItemDelegate(_EntryPainter(self))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("log, newest first")
        self.selectionModel().selectionChanged.connect(self._selected)

    def renew(self) -> None:
        """Show the entries as they are now."""
        self._log.renew()

    def rowsInserted(self, parent: Index, first: int, last: int) -> None:
        super().rowsInserted(parent, first, last)
        if first == 0:
            self.go_back()

    def dataChanged(self, first: Index, last: Index, roles: Sequence[int] = ()) -> None:
        self.lay_out()  # its mark is part of how wide an entry is

    def take(self, index: Index) -> None:
        self.picked.emit(self.rows[index.row()].number)

    def _selected(self, now: QItemSelection) -> None:
        """Take what a reader chooses: it can choose, and has no other press."""
        for index in now.indexes():
            self.clearSelection()
            self.take(index)

    def lay_out(self) -> None:
        self.gap = round(GAP * self.scale)
        super().lay_out()

    def sizeHint(self) -> QSize:
        return QSize(round(300 * self.scale), self._row_height())

    def minimumSizeHint(self) -> QSize:
        return QSize(round(theme.unzoomed(120)), self._row_height())

    def _row_height(self) -> int:
        return round(max(ROW_HEIGHT * self.scale, theme.unzoomed(18)))
