"""Work done aside from the window: what it comes to is told in the window's own thread."""

from __future__ import annotations

import atexit
import threading
from collections.abc import Callable
from contextlib import suppress
from functools import cache, partial
from pathlib import Path
from typing import TypeVar

from PySide6.QtCore import QCoreApplication, QEventLoop, QObject, QTimer, Signal
from shiboken6 import isValid

from studiotimer.errors import FaultError, SlowError, WorkError
from studiotimer.window import faults
from studiotimer.working import Worker, at_exit

atexit.register(at_exit)  # before Qt takes its objects apart, which workers tell by

T = TypeVar("T")
PATIENCE_S, LOOK_S = 20.0, 2.0
"""How long a disk has to give or take a file, and to say what is there."""


def _nothing(_: object) -> None:
    return None


class _Teller(QObject):
    """Has things done in the window's thread; it stays as long as the program.

    A worker that tells by an object which its own thread is just taking apart ends the program.
    """

    told = Signal(object)

    def __init__(self) -> None:
        super().__init__()
        self.told.connect(self._do)
        app = QCoreApplication.instance()
        if app is not None:
            self.moveToThread(app.thread())

    def _do(self, deed: Callable[[], object]) -> None:
        deed()


@cache
def _teller() -> _Teller:
    return _Teller()


class Aside(QObject):
    """A worker for what would hold the window up; it is never waited for.

    What was asked for when it is ended is told to nobody.
    """

    def __init__(self, name: str, parent: QObject | None = None, rests: float = 0.0) -> None:
        super().__init__(parent)
        self._worker = Worker(name, rests)
        self._teller = _teller()

    def ask(
        self,
        kind: str,
        work: Callable[[], T],
        then: Callable[[T], object] = _nothing,
        failed: Callable[[WorkError], object] = _nothing,
        after_s: float = 0.0,
    ) -> None:
        """Ask for `work`, in place of any of its kind that is not begun; `then` or `failed` is told what became of it.

        A fault of the program's own is reported, and told to `failed` as a FaultError.
        """

        def done(found: T) -> None:
            self._hand(partial(then, found))

        self._worker.ask(kind, work, done, partial(self._failed, kind, failed), after_s)

    @property
    def busy(self) -> bool:
        """Whether something is under way, or waits for its turn."""
        return self._worker.busy

    @property
    def under_way_s(self) -> float:
        """For how many seconds the piece under way has been; 0 while there is none."""
        return self._worker.under_way_s

    def end(self, last: Callable[[], object] | None = None) -> None:
        """Begin nothing more after the work under way but `last`, and tell of nothing."""
        self._worker.end(last)

    def _failed(self, kind: str, failed: Callable[[WorkError], object], error: WorkError) -> None:
        if isinstance(error, FaultError) and error.__cause__ is not None:
            faults.report(kind, error.__cause__)
        self._hand(partial(failed, error))

    def _hand(self, deed: Callable[[], object]) -> None:
        if not self._worker.ending:
            self._teller.told.emit(partial(self._tell, deed))

    def _tell(self, deed: Callable[[], object]) -> None:
        if isValid(self) and not self._worker.ending:
            deed()


def answered(
    what: str, work: Callable[[], T], patience_s: float = PATIENCE_S, late: Callable[[T], object] = _nothing
) -> T:
    """Return what `work` comes to; the window goes on meanwhile, but hears no key or click.

    Raises what `work` raises, and SlowError when it takes longer than `patience_s`; what it comes to after all is given
    to `late`, in another thread.
    """
    loop, lock, aside = QEventLoop(), threading.Lock(), Aside(what)
    found: list[T] = []
    wrong: list[Exception] = []
    given_up = False

    def worked() -> None:
        try:
            one = work()
        except Exception as error:
            wrong.append(error)
            return
        with lock:
            if not given_up:
                found.append(one)
                return
        late(one)

    aside.ask(what, worked, lambda _: loop.quit())
    QTimer.singleShot(round(patience_s * 1000), loop, loop.quit)
    loop.exec(QEventLoop.ProcessEventsFlag.ExcludeUserInputEvents)
    with lock:
        given_up = True
    aside.end()
    if wrong:
        raise wrong[0]
    if not found:
        raise SlowError(f"{what} takes more than {patience_s:g} s: the disk does not answer")
    return found[0]


def is_there(path: Path) -> bool:
    """Whether there is something at `path`, as far as its disk says so soon."""
    with suppress(OSError):
        return answered("a look there", path.exists, LOOK_S)
    return False


def is_folder(path: Path) -> bool:
    """Whether there is a folder at `path`, as far as its disk says so soon."""
    with suppress(OSError):
        return answered("a look there", path.is_dir, LOOK_S)
    return False
