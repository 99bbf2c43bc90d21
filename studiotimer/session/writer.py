"""The thread that puts entries on disk in order, and keeps them while the disk refuses."""

from __future__ import annotations

import sys
import threading
from collections import deque
from collections.abc import Callable
from typing import TypeVar

from studiotimer.session.entries import Entry
from studiotimer.session.journal import Journal

RETRY_S = 1.0

Told = TypeVar("Told")


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
        self._ending = False
        self._left = False
        self._refusals = 0
        self._thread = threading.Thread(target=self._run, name="session writer", daemon=True)
        self._thread.start()

    def submit(self, entry: Entry) -> None:
        """Queue `entry` behind those already waiting."""
        with self._news:
            self._waiting.append(entry)
            self._news.notify_all()

    def waiting(self) -> int:
        """Return how many entries are not on disk yet."""
        with self._news:
            return len(self._waiting)

    def flush(self, timeout_s: float = 5.0) -> bool:
        """Wait until everything is on disk, the disk refuses or the time is up; return whether it is on disk."""
        with self._news:
            before = self._refusals
            self._news.notify_all()
            self._news.wait_for(lambda: not self._waiting or self._refusals > before, timeout_s)
            return not self._waiting

    def close(self, timeout_s: float = 5.0) -> bool:
        """Let the journal go once everything is on disk, and return whether it is; if not, writing goes on."""
        if not self.flush(timeout_s):
            return False
        with self._news:
            self._ending = True
            self._news.notify_all()
        self._thread.join(timeout_s)
        return not self._thread.is_alive()

    def leave(self) -> None:
        """Let the journal go as soon as the disk allows, whatever still waits; nobody is told any more."""
        with self._news:
            self._left = self._ending = True
            self._news.notify_all()

    def _run(self) -> None:
        trouble: str | None = None
        while batch := self._next_batch(retrying=trouble is not None):
            try:
                self._journal.append(batch)
            except Exception as error:  # the thread must outlive whatever a disk does
                why = getattr(error, "strerror", None) or str(error) or type(error).__name__
                with self._news:
                    self._refusals += 1
                    self._news.notify_all()
                if why != trouble:
                    trouble = why
                    self._tell(self._on_trouble, why)
                continue
            with self._news:
                for _ in batch:
                    self._waiting.popleft()
                self._news.notify_all()
            if trouble is not None:
                trouble = None
                self._tell(self._on_trouble, None)
            self._tell(self._on_disk, batch[-1].n)
        self._journal.close()

    def _next_batch(self, retrying: bool) -> list[Entry]:
        """Return what waits, as soon as anything does; nothing when it is time to end."""
        with self._news:
            if retrying:
                self._news.wait(self._retry_s)
            self._news.wait_for(lambda: self._waiting or self._ending)
            return [] if self._left else list(self._waiting)

    def _tell(self, callback: Callable[[Told], None], what: Told) -> None:
        """Call back; what goes wrong there is reported and does not stop the writing."""
        if self._left:
            return
        try:
            callback(what)
        except Exception:
            threading.excepthook(threading.ExceptHookArgs((*sys.exc_info(), threading.current_thread())))
