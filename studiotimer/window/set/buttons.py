"""Buttons of the Set page: calls with what they will do, and quiet words that can be pressed."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache

from PySide6.QtCore import QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import (
    QColor,
    QContextMenuEvent,
    QFont,
    QFontMetricsF,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
)
from PySide6.QtWidgets import QAbstractButton, QWidget

from studiotimer.window import theme
from studiotimer.window.icons import paint_icon
from studiotimer.window.theme import DARK

LONG_PRESS_MS = 500


def press_by_key(button: QAbstractButton, event: QKeyEvent) -> None:
    """Press a button of the Set page with Return, once however long it is held; Space is the cue's."""
    if event.key() not in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
        event.ignore()
    elif not event.isAutoRepeat():
        button.click()


def whole_words(words: str, font: QFont, room: float) -> str:
    """Return as many words from the beginning as have room whole; a first one that has none is shortened."""
    metrics = QFontMetricsF(font)
    parts = words.split(" ")
    for count in range(len(parts), 0, -1):
        shown = " ".join(parts[:count]).rstrip(",:; ")
        if metrics.horizontalAdvance(shown) <= room:
            return shown
    return metrics.elidedText(parts[0], Qt.TextElideMode.ElideRight, room)


def in_lines(words: str, font: QFont, room: float) -> tuple[str, ...]:
    """Return words in one line where they have room, else in two, each as far as there is room."""
    first = whole_words(words, font, room)
    rest = words.removeprefix(first).strip(",:; ") if words.startswith(first) else ""
    return (first, whole_words(rest, font, room)) if rest else (first,)


def elided(words: str, font: QFont, room: float) -> str:
    """Return the words as far as there is room, with a sign that they go on; no number is cut to another one."""
    return re.sub(r"\d+…$", "…", QFontMetricsF(font).elidedText(words, Qt.TextElideMode.ElideRight, room))


def fitted(words: str, size: float, weight: theme.Weight, room: float) -> float:
    """Return the size, at most that given, at which words have room; the smallest that is read where they have none."""
    tiny = theme.unzoomed(13)
    while size > tiny and theme.wide(words, size, weight) > room:
        size = max(tiny, size - 0.5)
    return size


class CallButton(QAbstractButton):
    """A large target that names a call, what it would do now, and its key.

    A click makes the call; a long press or the other mouse button asks for its choices.
    """

    choices_wanted = Signal()

    def __init__(self, title: str, parent: QWidget | None = None, main: bool = False) -> None:
        super().__init__(parent)
        self._title, self._detail, self._key, self._icon, self._brief = title, "", "", "", ""
        self._main = main
        self._due = True
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setMinimumSize(theme.target(), theme.target())
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self._held = QTimer(self)
        self._held.setSingleShot(True)
        self._held.setInterval(LONG_PRESS_MS)
        self._held.timeout.connect(self._long_pressed)
        self._name()

    def show_call(
        self, title: str, detail: str, key: str, icon: str = "", enabled: bool = True, brief: str = ""
    ) -> None:
        """Show a call's name, what it would do, its key and its icon; `brief` stands for a name that is too long."""
        shown = (title, detail, key, icon, brief)
        if (*shown, enabled) != (self._title, self._detail, self._key, self._icon, self._brief, self.isEnabled()):
            self._title, self._detail, self._key, self._icon, self._brief = shown
            self.setEnabled(enabled)
            self._name()
            self.update()

    def set_due(self, due: bool) -> None:
        """Shine when the call is due, and only then."""
        if due != self._due:
            self._due = due
            self.update()

    def sizeHint(self) -> QSize:
        return QSize(theme.target() * (3 if self._main else 1), theme.target())

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
        press_by_key(self, event)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        ground, text, quiet = self._colours()
        box = QRectF(self.rect()).adjusted(1, 1, -1, -1)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(ground)
        radius = theme.RADIUS * self.height() / theme.TARGET
        painter.drawRoundedRect(box, radius, radius)
        if self.hasFocus():
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(QColor(DARK.accent), 2))
            painter.drawRoundedRect(box, radius, radius)
        if self._main:
            self._paint_cue(painter, box.adjusted(8, 0, -8, 0), text, quiet)
        else:
            self._paint_call(painter, box, text, quiet)

    def _paint_call(self, painter: QPainter, box: QRectF, text: QColor, quiet: QColor) -> None:
        """Draw icon and key above, the call and what it would do below; a name too long for its line takes both."""
        scale = self.height() / theme.TARGET
        inner = box.adjusted(9 * scale, 8 * scale, -6 * scale, -8 * scale)
        side = 20 * scale
        paint_icon(painter, self._icon, QRectF(inner.x(), inner.y(), side, side), text.name())
        painter.setFont(theme.font(max(13 * scale, theme.unzoomed(13))))
        painter.setPen(quiet)
        right = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        painter.drawText(QRectF(inner.x(), inner.y(), inner.width(), side), right, self._key)
        lines = in_lines(self._title, theme.font(theme.unzoomed(13), "strong"), inner.width())
        if len(lines) > 1:
            small = min(fitted(line, 13 * scale, "strong", inner.width()) for line in lines)
            for above, line in enumerate(reversed(lines), 1):
                box = QRectF(inner.x(), inner.bottom() - 17 * scale * above, inner.width(), 17 * scale)
                self._fit(painter, box, line, small, "strong", text, Qt.AlignmentFlag.AlignLeft)
            return
        detail = 17 * scale if self._detail else 6 * scale
        title = QRectF(inner.x(), inner.bottom() - detail - 21 * scale, inner.width(), 21 * scale)
        self._fit(painter, title, self._title, theme.BODY * scale, "strong", text, Qt.AlignmentFlag.AlignLeft)
        below = QRectF(inner.x(), inner.bottom() - 17 * scale, inner.width(), 17 * scale)
        if self._detail:
            self._fit(painter, below, self._detail, 13 * scale, "regular", quiet, Qt.AlignmentFlag.AlignLeft, elided)

    def _paint_cue(self, painter: QPainter, box: QRectF, text: QColor, quiet: QColor) -> None:
        """Draw the cue and its key in the middle."""
        scale = self.height() / theme.TARGET
        above, below = (0.0, 0.0) if not (self._key or self._detail) else (-10 * scale, 16 * scale)
        middle = box.center().y()
        words = QRectF(box.x(), middle + above - 16 * scale, box.width(), 32 * scale)
        wide = theme.wide(self._title, max(theme.BODY * scale, theme.unzoomed(13)), "strong")
        title = self._brief if self._brief and wide > words.width() else self._title
        self._fit(painter, words, title, (theme.LARGE + 2) * scale, "strong", text, Qt.AlignmentFlag.AlignHCenter)
        key = QRectF(box.x(), middle + below - 8 * scale, box.width(), 18 * scale)
        parts = [part for part in (self._detail, *self._key.split(", ")) if part]
        small = max(13 * scale, theme.unzoomed(13))
        while len(parts) > 1 and theme.wide(", ".join(parts), small) > key.width():
            parts.pop()
        below_it = ", ".join(parts)
        self._fit(painter, key, below_it, 13 * scale, "regular", quiet, Qt.AlignmentFlag.AlignHCenter)

    def _fit(
        self, painter: QPainter, box: QRectF, words: str, size: float, weight: theme.Weight, colour: QColor,
        side: Qt.AlignmentFlag, shortened: Callable[[str, QFont, float], str] = whole_words,
    ) -> None:  # fmt: skip
        """Write words into a box, smaller where they are too long, `shortened` where they still are."""
        painter.setFont(theme.font(fitted(words, size, weight, box.width()), weight))
        painter.setPen(colour)
        shown = shortened(words, painter.font(), box.width())
        painter.drawText(box, side | Qt.AlignmentFlag.AlignVCenter, shown)

    def _colours(self) -> tuple[QColor, QColor, QColor]:
        if self._main and not (self.isEnabled() and self._due):
            return QColor(DARK.panel), QColor(DARK.text), QColor(DARK.quiet)
        if self._main:
            ground = QColor(DARK.text).darker(108 if self.isDown() else 100)
            return ground, QColor(DARK.ground), QColor(theme.FADED_INK)
        ground = QColor(DARK.line if self.isDown() or self.underMouse() else DARK.panel)
        text = QColor(DARK.text if self.isEnabled() else DARK.quiet)
        return ground, text, QColor(DARK.quiet)

    def _long_pressed(self) -> None:
        self.setDown(False)
        self.choices_wanted.emit()

    def _name(self) -> None:
        parts = [self._title, "" if self._main else self._detail, f"key {self._key}" if self._key else ""]
        self.setAccessibleDescription(self._detail if self._main else "")
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
        width = theme.wide(self._lead(), self._size) + theme.wide(self._strong, self._size, "strong")
        return QSize(round(width) + 10, round(self._size * 1.7))

    def minimumSizeHint(self) -> QSize:
        return QSize(20, self.sizeHint().height())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        press_by_key(self, event)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        box = self._paint_ground(painter)
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

    def _paint_ground(self, painter: QPainter) -> QRectF:
        """Draw what lies under the words where the keys or the mouse are, and return the whole of the button."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box = QRectF(self.rect())
        if self.hasFocus() or self.underMouse():
            painter.setPen(QPen(QColor(DARK.accent), 2) if self.hasFocus() else Qt.PenStyle.NoPen)
            painter.setBrush(QColor(DARK.panel))
            painter.drawRoundedRect(box.adjusted(1, 1, -1, -1), 6, 6)
        return box

    def _lead(self) -> str:
        lead = f"{self._mark} {self._words}" if self._mark else self._words
        return f"{lead} " if self._strong and lead else lead


@cache
def _two_lines_high(small: float, strong: float) -> int:
    """Return how high a caption over its value is."""
    plain, bold = QFontMetricsF(theme.font(small)), QFontMetricsF(theme.font(strong, "strong"))
    return round(2.42 * plain.ascent() + bold.descent())


class FactButton(WordButton):
    """A fact that can be pressed: a quiet caption over its value. What has a mark stands out."""

    CAPTION, VALUE = 13, 15

    def sizeHint(self) -> QSize:
        small, strong = self._sizes()
        width = max(theme.wide(self._words, small), theme.wide(self._value(), strong, "strong"))
        return QSize(round(width) + 4, _two_lines_high(small, strong))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        box = self._paint_ground(painter)
        for words, face, colour, part in (
            (self._words, self._fonts()[0], DARK.quiet, Qt.AlignmentFlag.AlignTop),
            (self._value(), self._fonts()[1], self._colour if self._mark else DARK.text, Qt.AlignmentFlag.AlignBottom),
        ):
            painter.setFont(face)
            painter.setPen(QColor(colour))
            shown = QFontMetricsF(face).elidedText(words, Qt.TextElideMode.ElideRight, box.width() - 2)
            painter.drawText(box.adjusted(2, 0, 0, 0), part | Qt.AlignmentFlag.AlignLeft, shown)

    def _sizes(self) -> tuple[float, float]:
        """Return how large the type of caption and value is, in logical pixels."""
        least = theme.unzoomed(self.CAPTION)
        scale = self._size / self._base
        return max(self.CAPTION * scale, least), max(self.VALUE * scale, least)

    def _fonts(self) -> tuple[QFont, QFont]:
        small, strong = self._sizes()
        return theme.font(small), theme.font(strong, "strong")

    def _value(self) -> str:
        return f"{self._mark} {self._strong}" if self._mark else self._strong
