"""What a session brings, loaded behind the start page, so that the page is there sooner and a session no later.

What is no widget is loaded aside, then what has widgets a piece at a time in the window's own thread; keys are heard
between the pieces. Who is quicker than that loads what is still lacking.
"""

from __future__ import annotations

from functools import partial
from importlib import import_module

from PySide6.QtCore import QObject, QTimer, Signal

from studiotimer.window.aside import Aside

NO_WIDGETS = (
    "prep.plan", "session.together", "session.taking_over", "session.rehearsal", "session.supplies", "session.cues",
    "session.typed", "session.pictures",
)  # fmt: skip
WIDGETS = (
    "running", "session_services", "set.face", "set.cue_face", "set.log_view", "set.callbar", "set.header",
    "set.cold_view", "set.cue_view", "set.hero_ribbons", "set.calldesk", "set.page", "set.open_warnings",
)  # fmt: skip
"""Each piece loads what it needs itself; the longest takes some 8 ms of the processor.

`tests/window/test_loaded_ahead.py` names what is forgotten here.
"""


def load() -> None:
    """Load all of it now, for a window that is opened on a session."""
    for name in NO_WIDGETS:
        import_module(f"studiotimer.{name}")
    for name in WIDGETS:
        import_module(f"studiotimer.window.{name}")


class LoadedAhead(QObject):
    """Loads once, when it is told to begin; `done` says that all is there."""

    done = Signal()

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._aside: Aside | None = None
        self._left = list(WIDGETS)
        self._next = QTimer(self)
        self._next.setInterval(0)
        self._next.timeout.connect(self._piece)

    def begin(self) -> None:
        """Begin."""
        if self._aside is None:
            self._aside = Aside("loading ahead", self)
            for name in NO_WIDGETS:
                self._aside.ask(name, partial(import_module, f"studiotimer.{name}"))
            self._aside.ask("all", lambda: None, lambda _: self._next.start())

    def end(self) -> None:
        """Load nothing more."""
        self._next.stop()
        if self._aside is not None:
            self._aside.end()

    def _piece(self) -> None:
        import_module(f"studiotimer.window.{self._left.pop(0)}")
        if not self._left:
            self._next.stop()
            self.done.emit()
