"""Work done aside from the window: one piece at a time, always the newest asked for of its kind."""

from __future__ import annotations

import threading
from collections.abc import Callable
from contextlib import suppress
from typing import Any

from PySide6.QtCore import QObject, Signal

from studiotimer.window.faults import logged

Work = Callable[[], Any]


class Aside(QObject):
    """A thread for work that would hold the window up; what it comes to arrives as a signal."""

    done = Signal(str, object)
    failed = Signal(str)

    def __init__(self, name: str, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._wanted: dict[str, Work] = {}
        self._news = threading.Condition()
        self._ending = self._working = False
        self._thread = threading.Thread(target=self._run, name=name, daemon=True)
        self._thread.start()

    def ask(self, kind: str, work: Work) -> None:
        """Ask for `work`; work of its kind that was asked for before and not begun is dropped."""
        with self._news:
            self._wanted.pop(kind, None)
            self._wanted[kind] = work
            self._news.notify()

    @property
    def busy(self) -> bool:
        """Whether something is under way, or waits for its turn."""
        with self._news:
            return self._working or bool(self._wanted)

    def end(self) -> None:
        """Stop after the work under way."""
        with self._news:
            self._ending = True
            self._news.notify()
        self._thread.join(10.0)

    def _run(self) -> None:
        while True:
            with self._news:
                while not self._wanted and not self._ending:
                    self._news.wait()
                if self._ending:
                    return
                kind = next(iter(self._wanted))
                work = self._wanted.pop(kind)
                self._working = True
            worked = False
            with logged(kind):
                found, worked = work(), True
            with self._news:
                self._working = False
            if self._ending:
                return
            with suppress(RuntimeError):  # the window went while this was worked out
                self.done.emit(kind, found) if worked else self.failed.emit(kind)
