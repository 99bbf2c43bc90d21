"""Room that is not always there: widgets that go on in the next row, and areas that scroll to what has the keys."""

from __future__ import annotations

from PySide6.QtCore import QPoint, QRect, QSize, Qt, QTimer
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QApplication,
    QBoxLayout,
    QLayout,
    QLayoutItem,
    QScrollArea,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from studiotimer.window import theme

NARROW = 900
"""Below this width, in logical pixels, what stands side by side stands one after another."""

ROW_GAP = 2
SEEN = 6
"""How far from an area's edge what has the keys stays."""


class FlowLayout(QLayout):
    """Widgets in rows, as many in a row as fit."""

    def __init__(self, gap: int, row_gap: int = ROW_GAP) -> None:
        super().__init__()
        self._items: list[QLayoutItem] = []
        self._gap, self._row_gap = gap, row_gap
        self.setContentsMargins(0, 0, 0, 0)

    def addItem(self, item: QLayoutItem) -> None:
        self._items.append(item)

    def count(self) -> int:
        return len(self._items)

    def itemAt(self, index: int) -> QLayoutItem | None:
        return self._items[index] if 0 <= index < len(self._items) else None

    def takeAt(self, index: int) -> QLayoutItem | None:
        return self._items.pop(index) if 0 <= index < len(self._items) else None

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        return self._place(QRect(0, 0, width, 0), move=False)

    def sizeHint(self) -> QSize:
        return self.minimumSize()

    def minimumSize(self) -> QSize:
        height = max((item.sizeHint().height() for item in self._items), default=0)
        return QSize(max((item.minimumSize().width() for item in self._items), default=0), height)

    def setGeometry(self, area: QRect) -> None:
        super().setGeometry(area)
        self._place(area, move=True)

    def _place(self, area: QRect, move: bool) -> int:
        rows: list[list[tuple[QLayoutItem, QRect]]] = [[]]
        x = area.x()
        for item in self._items:
            if (widget := item.widget()) is not None and widget.isHidden():
                continue
            size = item.sizeHint()
            size.setWidth(min(size.width(), max(area.width(), item.minimumSize().width())))
            if item.hasHeightForWidth():
                size.setHeight(item.heightForWidth(size.width()))
            if rows[-1] and x + size.width() > area.right() + 1:
                rows.append([])
                x = area.x()
            rows[-1].append((item, QRect(QPoint(x, 0), size)))
            x += size.width() + self._gap
        y = area.y()
        for row in rows:
            height = max((box.height() for _, box in row), default=0)
            for item, box in row if move else ():
                item.setGeometry(box.translated(0, y + (height - box.height()) // 2))
            y += height + self._row_gap
        return max(y - self._row_gap - area.y(), 0)


def flowing(gap: int, *widgets: QWidget) -> QWidget:
    """Return widgets in rows, as many in a row as fit."""
    holder = QWidget()
    holder.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
    flow = FlowLayout(gap, max(gap // 2, ROW_GAP))
    for widget in widgets:
        flow.addWidget(widget)
    holder.setLayout(flow)
    return holder


def turned(row: QBoxLayout, width: int) -> bool:
    """Let what stands in a row stand in a column where `width` is too little for it; return whether it is."""
    narrow = width < NARROW
    row.setDirection(QBoxLayout.Direction.TopToBottom if narrow else QBoxLayout.Direction.LeftToRight)
    return narrow


class Deeds(QWidget):
    """Buttons in a row, beside the words they belong to; where there is little room, under them in several."""

    def __init__(self, gap: int) -> None:
        super().__init__()
        self._gap = gap
        self._buttons: list[QWidget] = []
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        self._flow = FlowLayout(gap, gap)
        self.setLayout(self._flow)

    def add(self, button: QWidget) -> None:
        """Put a button, or several that belong together, behind the others."""
        self._flow.addWidget(button)
        self._buttons.append(button)

    def spread(self, narrow: bool) -> None:
        """Keep all buttons in one row, or let them take several."""
        shown = [button.sizeHint().width() for button in self._buttons if not button.isHidden()]
        self.setMinimumWidth(0 if narrow else sum(shown) + self._gap * max(len(shown) - 1, 0))


def scrolling(page: QWidget, name: str, least_height: int = 0) -> QVBoxLayout:
    """Return the column that a page's parts stand in, which scrolls where it has too little room."""
    inside = QWidget()
    inside.setMinimumHeight(least_height)
    whole = QVBoxLayout(page)
    whole.setContentsMargins(0, 0, 0, 0)
    whole.addWidget(Scrolled(inside, name))
    return QVBoxLayout(inside)


def into_view(part: QWidget) -> None:
    """Scroll the page that a part stands in to it, once it is laid out."""
    above = part.parentWidget()
    while above is not None and not isinstance(above, Scrolled):
        above = above.parentWidget()
    if above is not None:
        above.show_next(part)


class Scrolled(QScrollArea):
    """Widgets that can be scrolled; whatever has the keys comes into view."""

    def __init__(self, inside: QWidget, name: str) -> None:
        super().__init__()
        self.setAccessibleName(name)
        self.setWidgetResizable(True)
        self.setFrameShape(QScrollArea.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setWidget(inside)
        self._making_room = False
        self._leave_room(0, 0)
        self._next: QWidget | None = None
        self._laid_out = QTimer(self, interval=0, singleShot=True)
        self._laid_out.timeout.connect(self._follow)
        self.verticalScrollBar().rangeChanged.connect(self._leave_room)
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        app.focusChanged.connect(self._laid_out.start)

    def _leave_room(self, low: int, high: int) -> None:
        """Leave the bar its room while there is none, so that nothing moves when it comes.

        What that changes of the range is left as it is: words that wrap anew could go to and fro with it for ever.
        """
        if not self._making_room:
            self._making_room = True
            self.setViewportMargins(0, 0, 0 if high > low else theme.BAR, 0)
            self._making_room = False

    def resizeEvent(self, event: QResizeEvent) -> None:
        focus = QApplication.focusWidget()
        before = QRect(QPoint(0, 0), event.oldSize())
        seen = focus is not None and self.isAncestorOf(focus) and before.intersects(self._place_of(focus))
        super().resizeEvent(event)
        if seen:
            self._follow()

    def focusNextPrevChild(self, onwards: bool) -> bool:
        """Pass the keys on without scrolling: what is hidden passes them on too, and may be made anew at once."""
        return QWidget.focusNextPrevChild(self, onwards)

    def _place_of(self, widget: QWidget) -> QRect:
        """Return where a widget inside stands in what is in view."""
        return QRect(widget.mapTo(self.viewport(), QPoint(0, 0)), widget.size())

    def show_next(self, part: QWidget) -> None:
        """Bring a part inside into view, before what gets the keys meanwhile."""
        self._next = part
        self._laid_out.start()

    def _follow(self) -> None:
        """Bring what has the keys into view: not before it was laid out, for what was just made has no place yet."""
        shown, self._next = self._next or QApplication.focusWidget(), None
        if shown is not None and self.isAncestorOf(shown):
            self.ensureWidgetVisible(shown, SEEN, SEEN)
