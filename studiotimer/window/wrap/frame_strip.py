"""The frames as small pictures, each with its age and what it shows; one key marks a select."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache, partial
from pathlib import Path
from typing import Any

from PySide6.QtCore import QAbstractListModel, QModelIndex, QPersistentModelIndex, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFontMetrics,
    QKeyEvent,
    QPainter,
    QPainterPath,
    QPen,
    QPixmap,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QListView, QScrollArea, QStyle, QStyledItemDelegate, QStyleOptionViewItem

from studiotimer.errors import WorkError
from studiotimer.prep.looks import PACK_STAGES, STAGES
from studiotimer.window import theme
from studiotimer.window.aside import Aside
from studiotimer.wrap.aged import Aged
from studiotimer.wrap.decoding import NoThumbnailError
from studiotimer.wrap.export import words_of
from studiotimer.wrap.thumbs import thumbnail

PICTURE = QSize(144, 96)
CELL_WIDTH, AGE_HEIGHT, APART = 160, 17, 6
MOST_WORDS = f"{max(STAGES + PACK_STAGES, key=len)}, window opens in 0:00:00, series of 00, select"
"""What a picture says at most under its age; a cell has room for these, and for more where a clip has more to say."""
WRAPPED = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop | Qt.TextFlag.TextWordWrap
MOST_KEPT = 600

Index = QModelIndex | QPersistentModelIndex


class Frames(QAbstractListModel):
    """The frames in order of time."""

    def __init__(self) -> None:
        super().__init__()
        self.frames: list[Aged] = []

    def show_frames(self, frames: Sequence[Aged]) -> None:
        """Hold other frames."""
        self.beginResetModel()
        self.frames = list(frames)
        self.endResetModel()

    def put(self, row: int, frame: Aged) -> None:
        """Hold a frame in the place of the one in `row`."""
        self.frames[row] = frame
        here = self.index(row)
        self.dataChanged.emit(here, here)

    def rowCount(self, parent: Index | None = None) -> int:
        return 0 if parent is not None and parent.isValid() else len(self.frames)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        frame = self.frames[index.row()]
        if role == Qt.ItemDataRole.UserRole:
            return frame
        if role in (Qt.ItemDataRole.AccessibleTextRole, Qt.ItemDataRole.ToolTipRole):
            age, words = words_of(frame)
            return f"{frame.name}: {age}, {words}"
        return None


class _Painter(QStyledItemDelegate):
    """Draws a frame: its picture, framed when it is a select, its age and what it shows."""

    def __init__(self, strip: FramesStrip) -> None:
        super().__init__(strip)
        self._strip = strip

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        return self._strip.cell

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        frame: Aged = index.data(Qt.ItemDataRole.UserRole)
        colours = self._strip.colours
        state: Any = option.state
        rect = QRectF(option.rect)
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box = QRectF(rect.left() + APART, rect.top() + APART, PICTURE.width(), PICTURE.height())
        shape = QPainterPath()
        shape.addRoundedRect(box, 8, 8)
        painter.fillPath(shape, colours.colour("raised"))
        picture = self._strip.picture(frame)
        if picture is not None:
            size = picture.size().scaled(PICTURE, Qt.AspectRatioMode.KeepAspectRatio)
            inner = QRectF(0, 0, size.width(), size.height())
            inner.moveCenter(box.center())
            painter.setClipPath(shape)
            painter.drawPixmap(inner, picture, QRectF(picture.rect()))
            painter.setClipping(False)
        if frame.select:
            painter.setPen(QPen(colours.colour("text"), 4))
            painter.drawRoundedRect(box.adjusted(-1, -1, 1, 1), 9, 9)
        if state & QStyle.StateFlag.State_Selected:
            painter.setPen(QPen(colours.colour("accent"), 2))
            painter.drawRoundedRect(box.adjusted(-5, -5, 5, 5), 12, 12)
        self._write(painter, rect, box, frame, colours)
        painter.restore()

    def _write(self, painter: QPainter, rect: QRectF, box: QRectF, frame: Aged, colours: theme.Theme) -> None:
        age, words = words_of(frame)
        painter.setFont(theme.font(theme.SMALL, "strong"))
        painter.setPen(colours.colour("text"))
        line = QRectF(box.left(), box.bottom() + APART, box.width(), AGE_HEIGHT)
        painter.drawText(line, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, age)
        painter.setFont(theme.font(theme.SMALL))
        painter.setPen(QColor(colours.quiet))
        painter.drawText(QRectF(box.left(), line.bottom(), box.width(), rect.bottom() - line.bottom()), WRAPPED, words)


class FramesStrip(QListView):
    """The frames, as high as they need or, with `one_row`, one row high: what holds it scrolls.

    `marked` tells the row whose select was turned, `chosen` the frame that has the keys."""

    marked = Signal(int)
    chosen = Signal(int)

    def __init__(self, one_row: bool = False, colours: theme.Theme = theme.LIGHT) -> None:
        super().__init__()
        self._one_row = one_row
        self.colours = colours
        self.cell = QSize(CELL_WIDTH, _cell_height([]))
        self.frames = Frames()
        self._pictures: dict[str, QPixmap | None] = {}
        self._aside = Aside("thumbnails", self)
        self.setModel(self.frames)
        self.setItemDelegate(_Painter(self))
        self.setViewMode(QListView.ViewMode.IconMode)
        self.setMovement(QListView.Movement.Static)
        self.setResizeMode(QListView.ResizeMode.Adjust)
        self.setUniformItemSizes(True)
        self.setLayoutMode(QListView.LayoutMode.Batched)
        self.setBatchSize(500)
        self.setSelectionMode(QListView.SelectionMode.SingleSelection)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFrameShape(QListView.Shape.NoFrame)
        self.setAccessibleName("frames")
        self.setToolTip("S or a double click marks a select")
        self.setAccessibleDescription("S marks the frame as a select, or takes the mark away")
        self.doubleClicked.connect(lambda index: self.marked.emit(index.row()))
        self.selectionModel().currentChanged.connect(self._came_to)

    def show_frames(self, frames: Sequence[Aged]) -> None:
        """Show these frames, each cell as high as the one with most to say needs."""
        self.cell = QSize(CELL_WIDTH, _cell_height(frames))
        self.frames.show_frames(frames)
        self._be_high()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._be_high()

    def _be_high(self) -> None:
        """Be as high as all frames need, or one row of them."""
        columns = max((self.width() - 2) // CELL_WIDTH, 1)
        rows = 1 if self._one_row else max(-(-self.frames.rowCount() // columns), 1)
        if self.height() != rows * self.cell.height():
            self.setFixedHeight(rows * self.cell.height())

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()  # the page scrolls

    def _came_to(self, now: Index) -> None:
        self.chosen.emit(now.row())
        self._into_view(now)

    def _into_view(self, index: Index) -> None:
        """Have the page scroll to a frame."""
        holder = self.parentWidget()
        while holder is not None and not isinstance(holder, QScrollArea):
            holder = holder.parentWidget()
        inside = holder.widget() if isinstance(holder, QScrollArea) else None
        if index.isValid() and isinstance(holder, QScrollArea) and inside is not None and self.isVisible():
            at = self.viewport().mapTo(inside, self.visualRect(index).center())
            holder.ensureVisible(at.x(), at.y(), 0, self.cell.height() // 2 + 4)

    def go_to(self, row: int) -> None:
        """Give a frame the keys and bring it into view."""
        if 0 <= row < self.frames.rowCount():
            self.setCurrentIndex(self.frames.index(row))
            self._into_view(self.frames.index(row))

    def picture(self, frame: Aged) -> QPixmap | None:
        """Return a frame's small picture, None until there is one; it is asked for when first wanted."""
        if frame.path is None:
            return None
        key = str(frame.path)
        if key not in self._pictures:
            if len(self._pictures) >= MOST_KEPT:
                for old in list(self._pictures)[: MOST_KEPT // 3]:
                    del self._pictures[old]
            self._pictures[key] = None
            path = frame.path
            self._aside.ask(key, partial(_small, path), partial(self._arrived, key))
        return self._pictures[key]

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_S and not event.isAutoRepeat() and self.currentIndex().isValid():
            self.marked.emit(self.currentIndex().row())
            return
        super().keyPressEvent(event)

    def end(self) -> None:
        """Stop what works aside."""
        self._aside.end()

    def _arrived(self, key: str, data: bytes) -> None:
        picture = QPixmap()
        if picture.loadFromData(data):
            self._pictures[key] = picture
            self.viewport().update()


def _cell_height(frames: Sequence[Aged]) -> int:
    """Return how high a cell is that has room for all words of each frame, also once it is a select."""
    clips = (f"{words_of(frame)[1]}, select" for frame in frames if frame.length_s is not None)
    words = max(_words_height(each) for each in (MOST_WORDS, *clips))
    return APART + PICTURE.height() + APART + AGE_HEIGHT + words + APART


@lru_cache(maxsize=2048)
def _words_height(words: str) -> int:
    """Return how high words are, wrapped under a picture."""
    room = QRect(0, 0, PICTURE.width(), 1000)
    return QFontMetrics(theme.font(theme.SMALL)).boundingRect(room, WRAPPED, words).height()


def _small(path: Path) -> bytes:
    try:
        return thumbnail(path)
    except NoThumbnailError as error:
        raise WorkError(str(error)) from None
