"""Entries put on disk in order by a worker, and kept while the disk refuses."""

from __future__ import annotations

import sys
import threading
import time
from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple, TypeVar

from studiotimer import hops
from studiotimer.errors import WorkError
from studiotimer.session.entries import Entry
from studiotimer.session.journal import ForeignError, Journal
from studiotimer.working import Worker

RETRY_S = 1.0

Told = TypeVar("Told")


class Beside(NamedTuple):
    """Where a session goes on whose own file another program changed, and what that did."""

    path: Path
    why: str


def _none(_: int) -> Sequence[Entry]:
    return ()


def _nobody(*_: object) -> None:
    return None


@dataclass
class Listeners:
    """Who is told, from the writer's thread, what the disk has and when it refuses."""

    on_disk: Callable[[int], None] = field(default=_nobody)
    on_trouble: Callable[[str | None], None] = field(default=_nobody)
    on_beside: Callable[[Beside], None] = field(default=_nobody)


class Writer:
    """Appends entries to a journal from a worker of its own.

    `on_disk(n)` is called with the number of the last entry the disk has; `on_trouble(why)` when the disk
    refuses, and with None when it takes entries again; `on_beside` when the file turned out to be changed by another
    program and the whole session, `everything(n)` up to entry n, goes on in one beside it. All are called from the
    writer's thread.
    """

    def __init__(
        self,
        journal: Journal,
        on_disk: Callable[[int], None],
        on_trouble: Callable[[str | None], None],
        retry_s: float = RETRY_S,
        *,
        everything: Callable[[int], Sequence[Entry]] = _none,
        on_beside: Callable[[Beside], None] = _nobody,
    ) -> None:
        self._journal = journal
        self._on_disk = on_disk
        self._on_trouble = on_trouble
        self._retry_s = retry_s
        self._everything, self._on_beside = everything, on_beside
        self._beside: Beside | None = None
        self._waiting: deque[Entry] = deque()
        self._asked_at: float | None = None
        """When the disk was given what it has not answered yet."""
        self._news = threading.Condition()
        self._trouble: str | None = None
        self._refusals = 0
        self._left = self._closed = False
        self.worker = Worker("session writer")

    def submit(self, entry: Entry) -> None:
        """Queue `entry` behind those already waiting."""
        with self._news:
            self._waiting.append(entry)
        self._try()

    def waiting(self) -> int:
        """Return how many entries are not on disk yet."""
        with self._news:
            return len(self._waiting)

    def held_up_s(self) -> float:
        """Return for how many seconds the disk has not answered; 0 while it has nothing to answer."""
        asked_at = self._asked_at
        return 0.0 if asked_at is None else time.monotonic() - asked_at

    def flush(self, timeout_s: float = 5.0) -> bool:
        """Wait until everything is on disk, the disk refuses or the time is up; return whether it is on disk."""
        with self._news:
            before = self._refusals
        self._try()
        with self._news:
            self._news.wait_for(lambda: not self._waiting or self._refusals > before, timeout_s)
            return not self._waiting

    def close(self, timeout_s: float = 5.0) -> bool:
        """Let the journal go once everything is on disk, and return whether it is; if not, writing goes on."""
        if not self.flush(timeout_s):
            return False
        self.worker.end(self._close)
        with self._news:
            self._news.wait_for(lambda: self._closed, timeout_s)
            return self._closed

    def leave(self) -> None:
        """Let the journal go as soon as the disk allows, whatever still waits; nobody is told any more."""
        with self._news:
            self._left = True
        self.worker.end(self._close)

    def _try(self, after_s: float = 0.0) -> None:
        self.worker.ask("append", self._append, self._appended, self._refused, after_s)

    def _append(self) -> list[Entry]:
        """Put all that waits on disk, and return it."""
        with self._news:
            batch = list(self._waiting)
        if batch and not self._left:
            self._asked_at = time.monotonic()
            try:
                self._put(batch)
            except Exception as error:  # the thread must outlive whatever a disk does
                raise WorkError(getattr(error, "strerror", None) or str(error) or type(error).__name__) from None
            finally:
                self._asked_at = None
            with self._news:
                for _ in batch:
                    self._waiting.popleft()
                self._news.notify_all()
        return batch

    def _put(self, batch: list[Entry]) -> None:
        """Append to the file; where that is not ours any more, go on with the whole session in one beside it."""
        try:
            self._journal.append(batch)
        except ForeignError as error:
            everything = self._everything(batch[-1].n)
            if not everything:
                raise
            self._journal = self._journal.beside(everything)
            self._beside = Beside(self._journal.path, str(error.strerror))

    def _appended(self, batch: list[Entry]) -> None:
        if not batch:
            return
        if self._trouble is not None:
            self._trouble = None
            self._tell(self._on_trouble, None)
        if self._beside is not None:
            beside, self._beside = self._beside, None
            self._tell(self._on_beside, beside)
        self._tell(self._on_disk, batch[-1].n)

    def _refused(self, error: WorkError) -> None:
        """Try again in a while; the crew is told when it is another reason than before."""
        with self._news:
            self._refusals += 1
            self._news.notify_all()
        hops.note("disk", "refused: %s; tried again in %g s, %d waiting", error, self._retry_s, self.waiting())
        self._try(self._retry_s)
        if str(error) != self._trouble:
            self._trouble = str(error)
            self._tell(self._on_trouble, self._trouble)

    def _close(self) -> None:
        self._journal.close()
        with self._news:
            self._closed = True
            self._news.notify_all()

    def _tell(self, callback: Callable[[Told], None], what: Told) -> None:
        """Call back; what goes wrong there is reported and does not stop the writing."""
        if self._left:
            return
        try:
            callback(what)
        except Exception:
            threading.excepthook(threading.ExceptHookArgs((*sys.exc_info(), threading.current_thread())))
