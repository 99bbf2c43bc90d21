"""Our own mistakes: written to a log in the user's folder, never in the crew's way."""

from __future__ import annotations

import logging
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from logging.handlers import RotatingFileHandler
from types import TracebackType

from studiotimer.places import state_folder

FILE = "faults.log"
_log = logging.getLogger("studiotimer")


def keep_log() -> None:
    """Write faults to a file in the user's state folder (a small one: old faults make room for new)."""
    if _log.handlers:
        return
    handler = RotatingFileHandler(state_folder() / FILE, maxBytes=1_000_000, backupCount=1, encoding="utf-8")
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(message)s"))
    _log.addHandler(handler)
    _log.propagate = False


def catch_all(tell: Callable[[str], None]) -> None:
    """Log what nothing else caught and tell the crew in one line; the window stays open."""

    def hook(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        if issubclass(kind, KeyboardInterrupt):
            sys.__excepthook__(kind, error, trace)
            return
        _log.error("unexpected", exc_info=(kind, error, trace))
        tell(f"Something went wrong inside the program; it was written to {state_folder() / FILE}. The clock goes on.")

    def thread_hook(arguments: threading.ExceptHookArgs) -> None:
        if arguments.exc_value is not None:
            hook(arguments.exc_type, arguments.exc_value, arguments.exc_traceback)

    sys.excepthook = hook
    threading.excepthook = thread_hook


@contextmanager
def logged(what: str) -> Iterator[None]:
    """Log an unexpected fault in `what` and go on."""
    try:
        yield
    except Exception:
        _log.exception("%s failed", what)
