"""The file that hops are written to when they are asked for; its disk may refuse or hang, and nobody waits for it."""

from __future__ import annotations

import logging
import queue
import sys
from collections.abc import Collection
from contextlib import suppress
from datetime import UTC, datetime
from logging.handlers import QueueHandler, RotatingFileHandler
from pathlib import Path

from studiotimer import hops
from studiotimer.errors import WorkError
from studiotimer.files import PRIVATE_FOLDER, make_folder
from studiotimer.places import where_kept
from studiotimer.plain import plain, reason
from studiotimer.working import Worker, nobody

FILE = "hops.log"
LARGEST_BYTES = 2_000_000
"""Of the file; the one before it is kept beside it."""
MOST_WAITING = 5_000
"""How many lines wait for a disk that does not take them; those after them are only counted."""
TOGETHER_S = 0.1
"""How long a line waits for others, so that a burst of calls is one write."""


class _Lines(QueueHandler):
    """Hands lines to a worker that writes them."""

    def __init__(self, path: Path) -> None:
        self._lines: queue.Queue[logging.LogRecord] = queue.Queue(MOST_WAITING)
        super().__init__(self._lines)
        self.path = path
        self.worker = Worker("log of hops")
        self._file: RotatingFileHandler | None = None
        self._lost = 0
        self._said = False

    def enqueue(self, record: logging.LogRecord) -> None:
        """Have a line written soon."""
        try:
            self._lines.put_nowait(record)
        except queue.Full:
            self._lost += 1
        self.worker.ask("write", self._write, nobody, self._refused, TOGETHER_S)

    def end(self) -> None:
        """Write what waits, and let the file go; returns at once."""
        self.worker.end(self._end)

    def _write(self) -> None:
        try:
            if self._file is None:
                make_folder(self.path.parent, PRIVATE_FOLDER)
                self._file = RotatingFileHandler(self.path, maxBytes=LARGEST_BYTES, backupCount=1, encoding="utf-8")
            while not self._lines.empty():
                _put(self._file, self._lines.get_nowait())
            if self._lost:
                lost, self._lost = self._lost, 0
                _put(self._file, logging.makeLogRecord({"msg": f"{lost} lines were lost: the disk did not take them"}))
        except OSError as error:
            raise WorkError(reason(error)) from None

    def _refused(self, error: WorkError) -> None:
        if not self._said:
            self._said = True
            words = f"{plain(str(self.path))} cannot be written ({error}); the window goes on without that log"
            print(f"studiotimer: {words}.", file=sys.stderr)

    def _end(self) -> None:
        try:
            self._write()
        except WorkError as error:
            self._refused(error)
        if self._file is not None:
            with suppress(OSError):
                self._file.close()


def _put(file: RotatingFileHandler, record: logging.LogRecord) -> None:
    """Write a line, the oldest ones making room for it; raises OSError, which the handler's own `emit` would print."""
    if file.shouldRollover(record):
        file.doRollover()
    assert file.stream is not None
    file.stream.write(f"{record.getMessage()}\n")
    file.stream.flush()


_kept: list[_Lines] = []


def keep(categories: Collection[hops.Category]) -> Path:
    """Write hops of these categories to a file in the user's state folder from now on, and return its path."""
    lines = _Lines(where_kept()[2] / FILE)
    _kept.append(lines)
    began = datetime.now(UTC).isoformat(timespec="milliseconds")
    for category in categories:
        log = hops.LOGS[category]
        log.setLevel(logging.INFO)
        log.addHandler(lines)
        log.disabled = False
        hops.note(category, "log begun at %s", began)
    return lines.path


def end() -> None:
    """Note nothing more; what was noted is written where the disk takes it soon."""
    for log in hops.LOGS.values():
        log.disabled = True
        for lines in _kept:
            log.removeHandler(lines)
    while _kept:
        _kept.pop().end()
