"""Buttons of the Set page: calls with what they will do, and quiet words that can be pressed."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QColor, QContextMenuEvent, QFontMetricsF, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QWidget

from studiotimer.window import theme
from studiotimer.window.theme import DARK

LONG_PRESS_MS = 500


class CallButton(QAbstractButton):
    """A large target that names a call, what it would do now, and its key.

    A click makes the call; a long press or the other mouse button asks for its choices.
    """

    choices_wanted = Signal()

    def __init__(self, title: str, parent: QWidget | None = None, main: bool = False) -> None:
        super().__init__(parent)
        self._title, self._detail, self._key = title, "", ""
        self._main = main
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setMinimumSize(theme.TARGET, theme.TARGET)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self._held = QTimer(self)
        self._held.setSingleShot(True)
        self._held.setInterval(LONG_PRESS_MS)
        self._held.timeout.connect(self._long_pressed)
        self._name()

    def show_call(self, title: str, detail: str, key: str, enabled: bool = True) -> None:
        """Show a call's name, what it would do, and its key."""
        if (title, detail, key, enabled) != (self._title, self._detail, self._key, self.isEnabled()):
            self._title, self._detail, self._key = title, detail, key
            self.setEnabled(enabled)
            self._name()
            self.update()

    def sizeHint(self) -> QSize:
        return QSize(theme.TARGET * (3 if self._main else 1), theme.TARGET)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self._held.start()
        super().mousePressEvent(event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            if not self._held.isActive():
                self.setDown(False)
                event.accept()
                return
            self._held.stop()
        super().mouseReleaseEvent(event)

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        self.choices_wanted.emit()
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if not event.isAutoRepeat():
                self.click()
            return
        event.ignore()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        ground, text, quiet = self._colours()
        box = QRectF(self.rect()).adjusted(1, 1, -1, -1)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(ground)
        painter.drawRoundedRect(box, theme.RADIUS, theme.RADIUS)
        if self.hasFocus():
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(QColor(DARK.accent), 2))
            painter.drawRoundedRect(box, theme.RADIUS, theme.RADIUS)
        self._paint_words(painter, box.adjusted(6, 0, -6, 0), text, quiet)

    def _paint_words(self, painter: QPainter, box: QRectF, text: QColor, quiet: QColor) -> None:
        scale = self.height() / theme.TARGET
        rows = [(self._title, (theme.LARGE + 2 if self._main else theme.BODY - 1) * scale, "strong", text)]
        if self._detail and not self._main:
            rows.append((self._detail, theme.TINY * scale, "regular", quiet))
        rows.append((self._key, theme.TINY * scale, "regular", quiet))
        heights = [size * 1.35 for _, size, _, _ in rows]
        top = box.center().y() - sum(heights) / 2
        for (words, size, weight, colour), height in zip(rows, heights, strict=True):
            face = theme.font(size, "strong" if weight == "strong" else "regular")
            metrics = QFontMetricsF(face)
            if metrics.horizontalAdvance(words) > box.width() and size > theme.TINY:
                face = theme.font(max(theme.TINY, int(size * box.width() / metrics.horizontalAdvance(words))), "strong")
                metrics = QFontMetricsF(face)
            painter.setFont(face)
            painter.setPen(colour)
            shown = metrics.elidedText(words, Qt.TextElideMode.ElideRight, box.width())
            painter.drawText(QRectF(box.x(), top, box.width(), height), Qt.AlignmentFlag.AlignCenter, shown)
            top += height

    def _colours(self) -> tuple[QColor, QColor, QColor]:
        if self._main:
            ground = QColor(DARK.text).darker(108 if self.isDown() else 100)
            return ground, QColor(DARK.ground), QColor("#4A4F50")
        ground = QColor(DARK.line if self.isDown() or self.underMouse() else DARK.panel)
        text = QColor(DARK.text if self.isEnabled() else DARK.quiet)
        return ground, text, QColor(DARK.quiet)

    def _long_pressed(self) -> None:
        self.setDown(False)
        self.choices_wanted.emit()

    def _name(self) -> None:
        parts = [self._title, self._detail, f"key {self._key}" if self._key else ""]
        self.setAccessibleName(", ".join(part for part in parts if part))


class WordButton(QAbstractButton):
    """Quiet words that can be pressed: a lock, a reading, a shot. A strong part may stand out.

    A mark before the words tells on from off without colour.
    """

    def __init__(self, parent: QWidget | None = None, size: int = theme.BODY) -> None:
        super().__init__(parent)
        self._words, self._strong, self._mark = "", "", ""
        self._base = self._size = float(size)
        self._colour = DARK.text
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def say(self, words: str, strong: str = "", mark: str = "", colour: str = DARK.quiet, name: str = "") -> None:
        """Show `mark`, then `words`, then the `strong` part; `name` is what a screen reader says."""
        shown = (words, strong, mark, colour)
        if shown != (self._words, self._strong, self._mark, self._colour):
            self._words, self._strong, self._mark, self._colour = shown
            self.updateGeometry()
            self.update()
        self.setAccessibleName(name or " ".join(part for part in (words, strong) if part))

    def set_scale(self, scale: float) -> None:
        """Draw everything `scale` times as large."""
        self._size = self._base * scale
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        plain = QFontMetricsF(theme.font(self._size))
        bold = QFontMetricsF(theme.font(self._size, "strong"))
        width = plain.horizontalAdvance(self._lead()) + bold.horizontalAdvance(self._strong)
        return QSize(round(width) + 10, round(self._size * 1.7))

    def minimumSizeHint(self) -> QSize:
        return QSize(20, self.sizeHint().height())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and not event.isAutoRepeat():
            self.click()
            return
        event.ignore()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box = QRectF(self.rect())
        if self.hasFocus() or self.underMouse():
            painter.setPen(QPen(QColor(DARK.accent), 2) if self.hasFocus() else Qt.PenStyle.NoPen)
            painter.setBrush(QColor(DARK.panel))
            painter.drawRoundedRect(box.adjusted(1, 1, -1, -1), 6, 6)
        x = box.x() + 5
        for words, face, colour in (
            (self._lead(), theme.font(self._size), self._colour),
            (self._strong, theme.font(self._size, "strong"), DARK.text),
        ):
            metrics = QFontMetricsF(face)
            painter.setFont(face)
            painter.setPen(QColor(colour))
            shown = metrics.elidedText(words, Qt.TextElideMode.ElideRight, max(box.right() - x - 2, 0))
            painter.drawText(QRectF(x, box.y(), box.width(), box.height()), Qt.AlignmentFlag.AlignVCenter, shown)
            x += metrics.horizontalAdvance(words)

    def _lead(self) -> str:
        lead = f"{self._mark} {self._words}" if self._mark else self._words
        return f"{lead} " if self._strong and lead else lead
