"""Work aside: one kind of worker for all that would hold somebody up, the disk as well as the physics."""

from __future__ import annotations

import atexit
import itertools
import queue
import sys
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar, cast
from weakref import WeakSet

from studiotimer.errors import FaultError, SlowError, WorkError

T = TypeVar("T")

LONGEST_REST_S = 1.0
LAST_WAIT_S, AT_EXIT_S = 2.0, 30.0
"""How long work may take to end once the program ends, and once Python does, which falls over what is at work then."""


@dataclass(frozen=True)
class _Piece:
    due: float
    turn: int
    work: Callable[[], Callable[[], None]]
    """Does the work, and returns what tells of it."""


_all: WeakSet[Worker] = WeakSet()
_turns = itertools.count()


class Worker:
    """A thread for one piece of work after another, begun with the first; nobody waits for it to end.

    Of each kind the piece asked for last is done, as soon as any of that kind was due; kinds are done in the order they
    are due. After each piece it rests `rests` times as long as that took, at most a second.
    """

    def __init__(self, name: str, rests: float = 0.0) -> None:
        self.thread = threading.Thread(target=self._run, name=name, daemon=True)
        self._rests = rests
        self._wanted: dict[str, _Piece] = {}
        self._news = threading.Condition()
        self._last: Callable[[], object] | None = None
        self._ending = self._working = self._telling = False
        self._began: float | None = None
        _all.add(self)

    def ask(
        self,
        kind: str,
        work: Callable[[], T],
        then: Callable[[T], object],
        failed: Callable[[WorkError], object],
        after_s: float = 0.0,
    ) -> None:
        """Ask for `work`, in `after_s` seconds; `then` is told what it came to, `failed` why it came to nothing.

        Both are told in the worker's thread. Work that was asked for once the worker is to end is dropped.
        """

        def piece() -> Callable[[], None]:
            return _outcome(work, then, failed)

        due, turn = time.monotonic() + after_s, next(_turns)
        with self._news:
            if self._ending:
                return
            before = self._wanted.get(kind)
            if before is not None:
                due, turn = min((due, turn), (before.due, before.turn))
            self._wanted[kind] = _Piece(due, turn, piece)
            self._start()
            self._news.notify_all()

    def repeat(self, kind: str, work: Callable[[], object], every_s: float) -> None:
        """Do `work` now and again `every_s` seconds after each end of it, until the end; a fault is reported."""

        def again() -> None:
            try:
                work()
            finally:
                self.ask(kind, again, nobody, raised, every_s)

        self.ask(kind, again, nobody, raised)

    @property
    def busy(self) -> bool:
        """Whether something is under way, or waits for its turn."""
        with self._news:
            return self._working or bool(self._wanted)

    def idle(self, patience_s: float) -> bool:
        """Wait until all is done and told, no longer than `patience_s`; return whether it is."""
        with self._news:
            return self._news.wait_for(lambda: not (self._working or self._telling or self._wanted), patience_s)

    @property
    def under_way_s(self) -> float:
        """Return for how many seconds the piece under way has been; 0 while there is none."""
        began = self._began
        return 0.0 if began is None else time.monotonic() - began

    @property
    def ending(self) -> bool:
        """Whether nothing more is begun."""
        return self._ending

    def end(self, last: Callable[[], object] | None = None) -> None:
        """Begin nothing more after the work under way but `last`, and then be done; nobody is kept waiting."""
        with self._news:
            if self._ending:
                return
            self._ending, self._last = True, last
            self._wanted.clear()
            if last is not None:
                self._start()
            self._news.notify_all()

    def _start(self) -> None:
        if self.thread.ident is None:
            self.thread.start()

    def _run(self) -> None:
        while (piece := self._next()) is not None:
            began = self._began = time.monotonic()
            told = piece.work()
            self._began = None
            with self._news:
                self._working, self._telling = False, True
            _guarded(told)
            with self._news:
                self._telling = False
                self._news.notify_all()
            self._rest(time.monotonic() - began)
        if self._last is not None:
            _guarded(self._last)

    def _next(self) -> _Piece | None:
        """Return the next piece once it is due, None when it is time to end."""
        with self._news:
            while not self._ending:
                kind = min(self._wanted, key=lambda one: (self._wanted[one].due, self._wanted[one].turn), default=None)
                if kind is None:
                    self._news.wait()
                elif (wait := self._wanted[kind].due - time.monotonic()) > 0:
                    self._news.wait(wait)
                else:
                    self._working = True
                    return self._wanted.pop(kind)
            return None

    def _rest(self, seconds: float) -> None:
        if self._rests:
            with self._news:
                self._news.wait_for(lambda: self._ending, min(self._rests * seconds, LONGEST_REST_S))


def within(patience_s: float, what: str, work: Callable[[], T]) -> T:
    """Return what `work` comes to, done aside; for callers that have no window.

    Raises what `work` raises, and SlowError when it takes longer than `patience_s`; it may still go on.
    """
    worker = Worker(what)
    ends: queue.SimpleQueue[tuple[T | None, WorkError | None]] = queue.SimpleQueue()
    worker.ask(what, work, lambda one: ends.put((one, None)), lambda error: ends.put((None, error)))
    try:
        found, wrong = ends.get(timeout=patience_s)
    except queue.Empty:
        raise SlowError(f"{what} takes more than {patience_s:g} s: the disk does not answer") from None
    finally:
        worker.end()
    if wrong is not None:
        raise wrong.__cause__ or wrong
    return cast(T, found)


def settled(patience_s: float = LAST_WAIT_S) -> bool:
    """Wait until every worker that is to end has ended, and return whether that is so; for the end of the program."""
    end = time.monotonic() + patience_s
    ending = [worker.thread for worker in list(_all) if worker.ending and worker.thread.ident is not None]
    for thread in ending:
        thread.join(max(end - time.monotonic(), 0.0))
    return not any(thread.is_alive() for thread in ending)


def end_all(patience_s: float = LAST_WAIT_S) -> bool:
    """Have every worker end, and return whether all have in that time; for the end of the program."""
    for worker in list(_all):
        worker.end()
    return settled(patience_s)


@atexit.register
def at_exit() -> None:
    """Let no worker be in the middle of something when Python takes itself apart, or what is imported later does.

    What is taken apart at exit, as Qt's objects are, goes in the reverse order of imports: whoever hands work to such
    things has this done again, and so earlier, after it imported them.
    """
    end_all(AT_EXIT_S)


def _outcome(
    work: Callable[[], T], then: Callable[[T], object], failed: Callable[[WorkError], object]
) -> Callable[[], None]:
    try:
        found = work()
    except WorkError as error:
        refused = error
    except Exception as error:  # whatever it was, the next piece is done
        refused = FaultError(str(error))
        refused.__cause__ = error
    else:
        return lambda: _called(then, found)
    return lambda: _called(failed, refused)


def nobody(_: object) -> None:
    """Who is told when nobody wants to know."""


def raised(error: WorkError) -> None:
    """Have what went wrong reported as in any thread."""
    raise error.__cause__ or error


def _called(deed: Callable[[T], object], what: T) -> None:
    deed(what)


def _guarded(deed: Callable[[], object]) -> None:
    """Do something that nobody waits for: what goes wrong is reported as in any thread, and the worker goes on."""
    try:
        deed()
    except Exception:
        threading.excepthook(threading.ExceptHookArgs((*sys.exc_info(), threading.current_thread())))
