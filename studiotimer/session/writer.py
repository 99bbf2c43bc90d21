"""The thread that puts entries on disk in order, and keeps them while the disk refuses."""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable

from studiotimer.session.entries import Entry
from studiotimer.session.journal import Journal

RETRY_S = 1.0


class Writer:
    """Appends entries to a journal from a thread of its own.

    `on_disk(n)` is called with the number of the last entry the disk has; `on_trouble(why)` when the disk
    refuses, and with None when it takes entries again. Both are called from the writer's thread.
    """

    def __init__(
        self,
        journal: Journal,
        on_disk: Callable[[int], None],
        on_trouble: Callable[[str | None], None],
        retry_s: float = RETRY_S,
    ) -> None:
        self._journal = journal
        self._on_disk = on_disk
        self._on_trouble = on_trouble
        self._retry_s = retry_s
        self._waiting: deque[Entry] = deque()
        self._news = threading.Condition()
        self._closing = False
        self._thread = threading.Thread(target=self._run, name="session writer", daemon=True)
        self._thread.start()

    def submit(self, entry: Entry) -> None:
        """Queue `entry` behind those already waiting."""
        with self._news:
            self._waiting.append(entry)
            self._news.notify()

    def waiting(self) -> int:
        """Return how many entries are not on disk yet."""
        with self._news:
            return len(self._waiting)

    def close(self, timeout_s: float = 5.0) -> bool:
        """Write what waits, let the journal go, and return whether everything is on disk."""
        with self._news:
            self._closing = True
            self._news.notify()
        self._thread.join(timeout_s)
        return not self._thread.is_alive() and not self._waiting

    def _run(self) -> None:
        troubled = False
        while batch := self._next_batch(retrying=troubled):
            try:
                self._journal.append(batch)
            except OSError as error:
                troubled = True
                self._on_trouble(error.strerror or "the disk refuses")
                if self._closing:
                    break
                continue
            with self._news:
                for _ in batch:
                    self._waiting.popleft()
            if troubled:
                troubled = False
                self._on_trouble(None)
            self._on_disk(batch[-1].n)
        self._journal.close()

    def _next_batch(self, retrying: bool) -> list[Entry]:
        """Return what waits, as soon as anything does; nothing once closing and all is written."""
        with self._news:
            if retrying and not self._closing:
                self._news.wait(self._retry_s)
            while not self._waiting and not self._closing:
                self._news.wait()
            return list(self._waiting)
