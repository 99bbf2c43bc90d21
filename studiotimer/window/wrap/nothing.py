"""The Wrap page before a session is open: what it is for, and a demo to see it on."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from studiotimer.errors import SlowError
from studiotimer.session.titles import title_of
from studiotimer.window import theme
from studiotimer.window.aside import answered
from studiotimer.window.demos import NoCopyError, demos, wrapped_copy
from studiotimer.window.flow import flowing
from studiotimer.window.style import button, label

HEAD = "What happened, frame by frame"
WORKING = "What happened is being worked out"
STEPS = (
    "Open a session: the life of every scoop on one timeline, and how long each one had.",
    "Give the frames: how old each scoop was in each of them. Pictures are only read.",
    "Mark the selects: which ages gave them, and what to do otherwise next time.",
)


class Nothing(QWidget):
    """Words and a few buttons; `opened` asks for a session, `demo` for a demo's copy and its frames."""

    opened = Signal()
    demo = Signal(object, object)
    refused = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2 * theme.GAP)
        column.addSpacing(theme.GUTTER)
        self.head = label(HEAD, "large")
        column.addWidget(self.head)
        self._steps: list[QLabel] = []
        for step in STEPS:
            words = label(step)
            words.setMaximumWidth(theme.WIDEST_READ)
            column.addWidget(words)
            self._steps.append(words)
        self.open = button("Open a session", self.opened.emit, "main")
        self.demos = {
            path.parent.name: button(f"Demo: {title_of(path)}", partial(self._copy, path)) for path in demos()
        }
        self._deeds = flowing(theme.GAP, self.open, *self.demos.values())
        column.addWidget(self._deeds)
        column.addStretch(1)
        column.setAlignment(Qt.AlignmentFlag.AlignLeft)

    def wait(self) -> None:
        """Say that a session is being worked out, in the place of what can be opened; keys that are here stay here."""
        focus = self.focusWidget()
        if focus is not None and focus.hasFocus():
            self.head.setFocus()
        self._show(WORKING, offered=False)

    def offer(self) -> None:
        """Offer again what can be opened."""
        self._show(HEAD, offered=True)

    def _show(self, words: str, offered: bool) -> None:
        self.head.setText(words)
        for part in (*self._steps, self._deeds):
            part.setVisible(offered)

    def _copy(self, demo: Path) -> None:
        """Ask for the copy of a demo, in which selects can be marked."""
        try:
            copy = answered("copying the demo", lambda: wrapped_copy(demo))
        except (NoCopyError, SlowError) as error:
            self.refused.emit(str(error))
        else:
            self.demo.emit(copy, copy.parent / "frames")
