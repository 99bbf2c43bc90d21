"""The call bar: the cue, and the calls as large targets, as many at once as fit."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from PySide6.QtCore import QSize, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from studiotimer.window import theme
from studiotimer.window.set.buttons import CallButton

GAP = 8


class BarCall(NamedTuple):
    """One call as the bar shows it: the action, its name, what it would do now where that is asked, its key."""

    action: str
    title: str
    detail: Callable[[], str]
    key: str
    icon: str = ""


class CallBar(QWidget):
    """The calls beside the cue; those that do not fit come when "more" is pressed."""

    called = Signal(str)
    choices_wanted = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._calls: list[BarCall] = []
        self._buttons: list[CallButton] = []
        self._deck = 0
        self._more_key = ""
        self._scale = 1.0
        self._more = CallButton("More", self)
        self._more.clicked.connect(self.turn)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def show_calls(self, calls: list[BarCall], more_key: str) -> None:
        """Show the calls, most needed first."""
        self._more_key = more_key
        same = [call.action for call in calls] == [call.action for call in self._calls]
        self._calls = calls
        if not same:
            self._deck = 0
        self._lay_out()

    def set_scale(self, scale: float) -> None:
        """Make the targets `scale` times as large, never smaller than a gloved hand wants."""
        self._scale = max(scale, theme.unzoomed(1.0))
        self._lay_out()

    def turn(self) -> None:
        """Show the next calls."""
        self._deck = (self._deck + 1) % self._decks()
        self._lay_out()

    def button(self, action: str) -> CallButton | None:
        """Return the button of an action if it is in view."""
        for button in self._buttons:
            if button.property("action") == action and button.isVisibleTo(self):
                return button
        return None

    def sizeHint(self) -> QSize:
        return QSize(theme.target() * 8, theme.target())

    def minimumSizeHint(self) -> QSize:
        return QSize(theme.target() * 4, theme.target())

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._deck = min(self._deck, self._decks() - 1)
        self._lay_out()

    def _slots(self) -> int:
        return max(int((self.width() + GAP) // (theme.TARGET * self._scale + GAP)), 2)

    def _decks(self) -> int:
        if len(self._calls) <= self._slots():
            return 1
        per_deck = self._slots() - 1
        return -(-len(self._calls) // per_deck)

    def _lay_out(self) -> None:
        decks = self._decks()
        per_deck = self._slots() - (decks > 1)
        shown = self._calls[self._deck * per_deck : (self._deck + 1) * per_deck]
        while len(self._buttons) < per_deck:
            button = CallButton("", self)
            button.clicked.connect(lambda _=False, one=button: self.called.emit(one.property("action")))
            button.choices_wanted.connect(lambda one=button: self.choices_wanted.emit(one.property("action")))
            self._buttons.append(button)
        columns = per_deck + (decks > 1)
        width = (self.width() + GAP) / columns - GAP
        for index, button in enumerate(self._buttons):
            button.setVisible(index < len(shown))
            if index < len(shown):
                call = shown[index]
                button.setProperty("action", call.action)
                button.show_call(call.title, call.detail(), call.key, call.icon)
                button.setGeometry(round(index * (width + GAP)), 0, round(width), self.height())
        self._more.setVisible(decks > 1)
        self._more.show_call("More", f"{self._deck + 1} of {decks}", self._more_key, "more")
        self._more.setGeometry(round(self.width() - width), 0, round(width), self.height())
