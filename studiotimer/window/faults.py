"""Our own mistakes: written to a log in the user's folder with the session's last entries, never in the crew's way."""

from __future__ import annotations

import contextlib
import itertools
import logging
import sys
import threading
import time
import traceback
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType

from studiotimer.files import PRIVATE_FOLDER, make_folder
from studiotimer.places import where_kept
from studiotimer.working import Worker

FILE = "faults.log"
AGAIN_S = 60.0
"""How long a fault that comes again and again is neither written nor said again."""
GOES_ON = "The clock goes on."
WRITTEN_S, AT_START_S = 0.25, 2.0
"""How long whoever tells of a fault waits for it to be written down; for a disk that does not answer only once."""
_log = logging.getLogger("studiotimer")
_writer = Worker("log of faults")
_count = itertools.count()


def _nobody(_words: str) -> None:
    return None


class _Crew:
    """Who is told of a fault, what their session logged last, and which faults they know."""

    def __init__(self) -> None:
        self.tell: Callable[[str], None] = _nobody
        self.last_entries: Callable[[], Sequence[str]] = lambda: ()
        self.waits_s = WRITTEN_S
        self._known: dict[str, float] = {}

    def forget(self) -> None:
        """Know of no fault."""
        self._known.clear()

    def knows(self, fault: str) -> bool:
        """Whether a fault was told a short while ago; from now on it was."""
        now = time.monotonic()
        before = self._known.get(fault)
        if before is not None and now - before < AGAIN_S:
            return True
        self._known[fault] = now
        return False


_crew = _Crew()


class _LogFile(logging.Handler):
    """The log's file, opened at the first fault; a disk that refuses it is no fault of its own."""

    def __init__(self, path: Path) -> None:
        super().__init__()
        self.path = path
        self._file: logging.Handler | None = None

    def emit(self, record: logging.LogRecord) -> None:
        """Write a fault, the oldest ones making room for it."""
        with contextlib.suppress(Exception):  # whatever happens here is one fault more that nobody could be told of
            if self._file is None:
                self._file = _opened(self.path)
            self._file.emit(record)

    def close(self) -> None:
        """Let the file go."""
        if self._file is not None:
            self._file.close()
        super().close()


def _opened(path: Path) -> logging.Handler:
    """Return the file, opened when it is first written to; slow to load, so that the window opens without it."""
    from logging.handlers import RotatingFileHandler

    class Rotating(RotatingFileHandler):
        def handleError(self, record: logging.LogRecord) -> None:
            """Say nothing: there is nowhere to say it."""

    make_folder(path.parent, PRIVATE_FOLDER)
    handler = Rotating(path, maxBytes=1_000_000, backupCount=1, encoding="utf-8", delay=True)
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(message)s"))
    return handler


def keep_log() -> None:
    """Write faults to a file in the user's state folder (a small one: old faults make room for new)."""
    if not _log.handlers:
        _log.propagate = False
        _log.addHandler(_LogFile(where_kept()[2] / FILE))


def catch_all(tell: Callable[[str], None], last_entries: Callable[[], Sequence[str]]) -> None:
    """Log what nothing else caught and tell the crew in one line; the window stays open.

    Both are called in whatever thread the fault happened.
    """
    _crew.tell, _crew.last_entries = tell, last_entries

    def hook(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        if issubclass(kind, KeyboardInterrupt):
            sys.__excepthook__(kind, error, trace)
            return
        report("something unexpected", error)

    def thread_hook(arguments: threading.ExceptHookArgs) -> None:
        if arguments.exc_value is not None:
            hook(arguments.exc_type, arguments.exc_value, arguments.exc_traceback)

    sys.excepthook = hook
    threading.excepthook = thread_hook


def tell_of_start(tell: Callable[[str], None]) -> None:
    """Tell of a fault before there is a window, and of one that was told already."""
    _crew.tell, _crew.waits_s = tell, AT_START_S
    _crew.forget()


def report(what: str, error: BaseException, then: str = GOES_ON) -> None:
    """Write a fault and tell the crew, with what is said `then`, unless the same one was told a short while ago."""
    if _crew.knows(_place(error)):
        return
    entries = "".join(f"\n  {line}" for line in _crew.last_entries())
    file = _written_down(what, f"; the last entries were{entries}" if entries else "", error)
    kept = f"; it was written to {file}" if file is not None else ""
    with contextlib.suppress(RuntimeError):  # a window that is just being taken apart hears nothing
        _crew.tell(f"Something went wrong inside the program{kept}. {then}")


def _written_down(what: str, after: str, error: BaseException) -> Path | None:
    """Write a fault down aside; return where, None where that is not done soon or cannot be."""
    done = threading.Event()
    files: list[Path] = []

    def write() -> None:
        _log.error("%s failed%s", what, after, exc_info=error)
        files.extend(one.path for one in _log.handlers if isinstance(one, _LogFile) and one.path.is_file())

    waits_s = 0.0 if _writer.under_way_s > WRITTEN_S else _crew.waits_s
    _writer.ask(f"fault {next(_count)}", write, lambda _: done.set(), lambda _: done.set())
    done.wait(waits_s)
    return files[0] if files else None


@contextmanager
def logged(what: str, then: str = GOES_ON) -> Iterator[None]:
    """Report an unexpected fault in `what`, with what is said `then`, and go on."""
    try:
        yield
    except Exception as error:
        report(what, error, then)


def _place(error: BaseException) -> str:
    """Return what a fault is known by: its kind and where it was raised."""
    frames = traceback.extract_tb(error.__traceback__)
    return f"{type(error).__name__} {frames[-1].filename}:{frames[-1].lineno}" if frames else repr(error)
