"""The user's own small files: read within a bound, written aside in order; their disk may not answer.

The window opens all the same, and what did not answer once is not waited for again until it does.
"""

from __future__ import annotations

import itertools
import threading
from collections.abc import Callable
from contextlib import suppress
from typing import TypeVar

from studiotimer.errors import FaultError, SlowError, WorkError
from studiotimer.window.aside import answered
from studiotimer.working import Worker, nobody, raised

T = TypeVar("T")
START_S, FLUSH_S = 2.0, 2.0
"""How long the window waits for what it opens with, and at its end for what was changed last."""
_worker = Worker("the user's own files")
_reads = itertools.count()
_given_up = threading.Event()


def read(work: Callable[[], T], usual: T, late: Callable[[T], object] = nobody) -> T:
    """Return what `work` reads, `usual` where its disk does not answer in time; then `late` is told, in the worker.

    Raises what `work` raises.
    """
    done, lock = threading.Event(), threading.Lock()
    found: list[T] = []
    wrong: list[WorkError] = []
    given_up = False

    def there(one: T) -> None:
        with lock:
            if not given_up:
                found.append(one)
                done.set()
                return
        late(one)

    def failed(error: WorkError) -> None:
        wrong.append(error)
        done.set()

    patience_s = 0.0 if silent() else START_S
    _worker.ask(f"read {next(_reads)}", work, there, failed)
    done.wait(patience_s)
    with lock:
        given_up = True
    if not (found or wrong):
        _given_up.set()
    if wrong:
        raise (wrong[0].__cause__ if isinstance(wrong[0], FaultError) else None) or wrong[0]
    return found[0] if found else usual


def write(kind: str, work: Callable[[], T], then: Callable[[T], object] = nobody) -> None:
    """Write aside, in place of any of its kind that is not begun; `then` is told what it came to, in the worker."""
    _worker.ask(kind, work, then, raised)


def silent() -> bool:
    """Whether the disk has not answered for so long that it is not waited for."""
    return _given_up.is_set() and _worker.under_way_s > START_S / 2


def drained(patience_s: float = FLUSH_S) -> bool:
    """Wait until everything is written, and return whether it is."""
    return _worker.idle(patience_s)


def flush() -> bool:
    """Have what was changed last on disk, and return whether it is; the window goes on meanwhile, but hears no key."""
    if not _worker.busy:
        return True
    with suppress(SlowError):
        return answered("what was changed last", drained, FLUSH_S + 0.5)
    return False
