"""Rows drawn beside one another: which of them are in view, are pressed and have the keys."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import takewhile
from typing import Generic, NamedTuple, TypeVar

from PySide6.QtCore import QEvent, QItemSelectionModel, QModelIndex, QPoint, QRect, QRectF, Qt
from PySide6.QtGui import QAccessible, QFocusEvent, QHideEvent, QKeyEvent, QMouseEvent, QPainter, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QFrame,
    QListView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QWidget,
)

from studiotimer.window.set.row_model import ROW, Index, Row, Rows

R = TypeVar("R", bound=Row)


class Stands(NamedTuple):
    """How a row stands: whether the mouse is over it, it has the keys, and it is chosen."""

    under_mouse: bool
    has_keys: bool
    chosen: bool


_FLAGS = QStyle.StateFlag
_STANDS = [flag.value for flag in (_FLAGS.State_MouseOver, _FLAGS.State_HasFocus, _FLAGS.State_Selected)]


class RowPainter(QStyledItemDelegate, Generic[R]):
    """Draws the rows of a strip that have room whole; what they are is in each row alone."""

    def __init__(self, strip: RowStrip[R]) -> None:
        super().__init__(strip)
        self.strip = strip

    def draw(self, painter: QPainter, box: QRectF, row: R, stands: Stands) -> None:
        """Draw a row into its box."""
        raise NotImplementedError

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        if not self.strip.whole(option.rect):
            return
        state = option.state.value
        painter.save()
        try:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            box = QRectF(option.rect).adjusted(0, 0, -self.strip.gap, 0)
            self.draw(painter, box, index.data(ROW), Stands(*[bool(state & flag) for flag in _STANDS]))
        finally:
            painter.restore()


class RowStrip(QListView, Generic[R]):
    """Rows beside one another, those that have room whole; the wheel goes to the others, and so do the arrow keys.

    Tab goes from one in view to the next, and then on; Return and a click press one. Space is the cue's, and so every
    key that says nothing here is left to the page.
    """

    gap = 0
    """How far rows are from one another; the last one's is over the side."""
    kept = 0
    """How much of the right side is not for rows."""
    under = 0
    """How much of the height is not for rows, below them."""

    def __init__(self, rows: Rows[R], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.scale = 1.0
        self._rows = rows
        viewport = QWidget()
        self.setViewport(viewport)  # to name one of its own, Qt for Python makes every kind of widget there is
        rows.setParent(self)
        self.setModel(rows)
        self.setFlow(QListView.Flow.LeftToRight)
        self.setHorizontalScrollMode(QListView.ScrollMode.ScrollPerItem)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setSelectionMode(QListView.SelectionMode.SingleSelection)
        self.setEditTriggers(QListView.EditTrigger.NoEditTriggers)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setMouseTracking(True)
        viewport.setAutoFillBackground(False)
        viewport.setAttribute(Qt.WidgetAttribute.WA_Hover)
        self.clicked.connect(self.take)

    @property
    def rows(self) -> list[R]:
        """What is shown, in order."""
        return self._rows.rows

    def take(self, index: Index) -> None:
        """Do what a press of a row is for."""
        raise NotImplementedError

    def set_scale(self, scale: float) -> None:
        """Draw everything `scale` times as large."""
        self.scale = scale
        self.updateGeometry()
        self.lay_out()

    def lay_out(self) -> None:
        """Place the rows anew before they are drawn again."""
        self.setViewportMargins(0, 0, -self.gap, self.under)
        self.scheduleDelayedItemsLayout()

    def go_back(self) -> None:
        """Show the first rows."""
        self.horizontalScrollBar().setValue(0)

    def whole(self, place: QRect) -> bool:
        """Whether a row that stands there is in view whole."""
        return place.left() >= 0 and place.right() + 1 - self.gap <= self.width() - self.kept

    def in_view(self) -> list[int]:
        """Return which rows are in view."""
        self.executeDelayedItemsLayout()
        rows = range(self.horizontalScrollBar().value(), len(self.rows))
        return list(takewhile(lambda at: self.whole(self.visualRect(self.model().index(at, 0))), rows))

    def indexAt(self, point: QPoint) -> QModelIndex:
        index = super().indexAt(point)
        return index if self.whole(self.visualRect(index)) else QModelIndex()

    def dataChanged(self, first: Index, last: Index, roles: Sequence[int] = ()) -> None:
        """Have only what changed drawn anew; a list's own would measure and place every row."""
        if QAccessible.isActive():
            QAbstractItemView.dataChanged(self, first, last, roles)
        elif last.row() - first.row() + 1 == len(self.rows):
            self.viewport().update()
        else:
            for at in self.in_view():
                if first.row() <= at <= last.row():
                    self.update(self.model().index(at, 0))

    def selectionCommand(self, index: Index, event: QEvent | None = None) -> QItemSelectionModel.SelectionFlag:
        return QItemSelectionModel.SelectionFlag.NoUpdate  # what is chosen changes where a row is taken

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        super().mouseMoveEvent(event)
        over = self.indexAt(event.position().toPoint()).isValid()
        self.viewport().setCursor(Qt.CursorShape.PointingHandCursor if over else Qt.CursorShape.ArrowCursor)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.lay_out()

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        ends = {Qt.FocusReason.TabFocusReason: 0, Qt.FocusReason.BacktabFocusReason: -1}
        if event.reason() in ends and (seen := self.in_view()):
            self.setCurrentIndex(QModelIndex())  # else a reader would not be told of the same one again
            self._go_to(seen[ends[event.reason()]])

    def hideEvent(self, event: QHideEvent) -> None:
        super().hideEvent(event)
        self.setCurrentIndex(QModelIndex())  # else, shown again, a list goes to where the keys once were

    def focusNextPrevChild(self, forward: bool) -> bool:
        row = self.currentIndex().row() + (1 if forward else -1)
        if self.hasFocus() and row in self.in_view():
            self._go_to(row)
            return True
        return super().focusNextPrevChild(forward)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        row = self.currentIndex().row()
        match event.key():
            case Qt.Key.Key_Return | Qt.Key.Key_Enter:
                if not event.isAutoRepeat() and row in self.in_view():
                    self.take(self.currentIndex())
            case Qt.Key.Key_Up:
                self._go_to(max(row - 1, 0))
            case Qt.Key.Key_Down:
                self._go_to(min(row + 1, len(self.rows) - 1))
            case _:
                event.ignore()

    def _go_to(self, row: int) -> None:
        """Give a row the keys, and bring it into view."""
        self.setCurrentIndex(self.model().index(row, 0))
