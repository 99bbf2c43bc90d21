"""A stack of pages in which a part can be shown for a while, in the place of what stood there."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QSizePolicy, QStackedWidget, QWidget
from shiboken6 import isValid

LISTENING = "listening"
"""The property of a widget that waits for any key at all."""

_MOVING = (
    Qt.Key.Key_Tab, Qt.Key.Key_Backtab, Qt.Key.Key_Return, Qt.Key.Key_Enter,
    Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_Left, Qt.Key.Key_Right,
)  # fmt: skip


class Part(QWidget):
    """Something shown for a while."""

    def set_scale(self, scale: float) -> None:
        """Draw everything `scale` times as large."""

    def hasHeightForWidth(self) -> bool:
        return False

    def say(self, words: str) -> None:
        """Show a quiet line, where there is one."""

    def take_focus(self) -> None:
        """Take the keys, where there is something to press."""


class Stack(QStackedWidget):
    """Pages, one in view; a part takes the place of the page until it is asked for again.

    A part makes do with the room it is given: whatever it would like, what stands around it stays in view.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._part: Part | None = None
        self._name = ""
        self._under: QWidget | None = None
        self._focus: QWidget | None = None
        self._scale = 1.0

    @property
    def part(self) -> Part | None:
        """The part shown for a while, if there is one."""
        return self._part

    @property
    def name(self) -> str:
        """What the part that is shown is called; empty without one."""
        return self._name

    @property
    def page(self) -> QWidget | None:
        """The page in view, or under the part that is shown."""
        return self._under or self.currentWidget()

    def turn(self, name: str, make: Callable[[], Part]) -> Part | None:
        """Show the part called `name`, or put the page back where it is shown already; return what is shown."""
        again = name == self._name
        self.back()
        if again:
            return None
        self._name, self._part, self._under = name, make(), self.currentWidget()
        self._focus = QApplication.focusWidget()
        self._part.set_scale(self._scale)
        self._part.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        self.addWidget(self._part)
        self.setCurrentWidget(self._part)
        self._part.take_focus()
        return self._part

    def back(self) -> None:
        """Put the page back, and the keys where they were."""
        part, under, focus = self._part, self._under, self._focus
        self._name, self._part, self._under, self._focus = "", None, None, None
        if part is None:
            return
        holder = QApplication.focusWidget()
        had_focus = holder is not None and part.isAncestorOf(holder)
        if under is not None:
            self.setCurrentWidget(under)
        if had_focus and focus is not None and isValid(focus):
            focus.setFocus()
        self.removeWidget(part)
        part.deleteLater()

    def set_scale(self, scale: float) -> None:
        """Draw the part `scale` times as large."""
        self._scale = scale
        if self._part is not None:
            self._part.set_scale(scale)

    def wants(self, event: QKeyEvent) -> bool:
        """Whether a key press is for the part: it has the focus, and the key moves or presses in it."""
        focus = QApplication.focusWidget()
        if self._part is None or focus is None or not self._part.isAncestorOf(focus):
            return False
        return bool(focus.property(LISTENING)) or event.key() in _MOVING
