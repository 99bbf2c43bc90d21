"""How far something is that takes a while, and the way to stop it."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QProgressBar, QWidget

from studiotimer.window.style import button


class Progress(QWidget):
    """A bar and a button; `stopped` tells that it was pressed."""

    stopped = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.bar, self.stop = QProgressBar(), button("Stop", self.stopped.emit)
        self.bar.setAccessibleName("progress")
        self.bar.setTextVisible(True)
        line = QHBoxLayout(self)
        line.setContentsMargins(0, 0, 0, 0)
        line.addWidget(self.bar, 1)
        line.addWidget(self.stop)
        self.hide()

    def begin(self) -> None:
        """Show that something is under way; how far is not known yet."""
        self.bar.setRange(0, 0)
        self.show()

    def show_progress(self, done: int, total: int) -> None:
        """Show how far it is."""
        self.bar.setRange(0, total)
        self.bar.setValue(done)
        self.bar.setFormat(f"{done} of {total}")
