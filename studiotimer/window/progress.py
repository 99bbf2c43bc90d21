"""How far something is that takes a while, and the way to stop it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QHBoxLayout, QProgressBar, QWidget

from studiotimer.errors import WorkError
from studiotimer.window.aside import Aside
from studiotimer.window.style import button

T = TypeVar("T")


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


class Stoppable(Aside):
    """Work aside of which a bar shows how far it is, with a way to stop it; the bar goes with the last piece."""

    progressed = Signal(int, int)

    def __init__(self, name: str, shown: Progress, parent: QObject) -> None:
        super().__init__(name, parent)
        self._shown, self._stopped = shown, False
        shown.stopped.connect(self.stop)
        self.progressed.connect(shown.show_progress)

    def begin(
        self,
        kind: str,
        work: Callable[[Callable[[int, int], bool]], T],
        then: Callable[[T], object],
        failed: Callable[[WorkError], object],
    ) -> None:
        """Ask for work that is told by a function to tell how far it is, and by its answer whether to go on."""

        def done(found: T) -> None:
            self._rest()
            then(found)

        def not_done(error: WorkError) -> None:
            self._rest()
            failed(error)

        self._stopped = False
        self._shown.begin()
        self.ask(kind, lambda: work(self.go_on), done, not_done)

    def go_on(self, done: int, total: int) -> bool:
        """Show how far it is, and return whether to go on."""
        if done % 20 == 0 or done == total:
            self.progressed.emit(done, total)
        return not self._stopped

    def stop(self) -> None:
        """Stop what is under way; what was shown before stays."""
        self._stopped = True

    def end(self, last: Callable[[], object] | None = None) -> None:
        self.stop()
        super().end(last)

    def _rest(self) -> None:
        if not self.busy:
            self._shown.hide()
