"""Work aside: what is under way or waits is known, and nobody waits for a piece that does not come to an end."""

import threading
import time

import pytest

from studiotimer.errors import FaultError, SlowError, WorkError
from studiotimer.window.aside import Aside, answered
from studiotimer.working import Worker


@pytest.fixture
def aside():
    aside = Aside("test")
    yield aside
    aside.end()


def test_it_is_busy_until_the_last_piece_is_done(qtbot, aside):
    go = threading.Semaphore(0)
    assert not aside.busy
    busy = []
    for kind in ("first", "second"):
        aside.ask(kind, go.acquire, lambda _, kind=kind: busy.append((kind, aside.busy)))
    assert aside.busy
    go.release()
    qtbot.waitUntil(lambda: len(busy) == 1)
    assert busy == [("first", True)]
    go.release()
    qtbot.waitUntil(lambda: len(busy) == 2)
    assert busy[1] == ("second", False)


def test_what_it_comes_to_is_told_in_the_windows_thread_and_why_not_as_an_error(qtbot, aside):
    told = []

    def refuse():
        raise WorkError("the folder is closed")

    aside.ask("sum", lambda: 1 + 1, lambda found: told.append((found, threading.current_thread())))
    aside.ask("refused", refuse, told.append, lambda error: told.append((str(error), threading.current_thread())))
    qtbot.waitUntil(lambda: len(told) == 2)
    assert told == [(2, threading.main_thread()), ("the folder is closed", threading.main_thread())]


def test_a_fault_is_reported_and_the_next_piece_done(qtbot, aside, monkeypatch):
    reported, told = [], []
    monkeypatch.setattr("studiotimer.window.faults.report", lambda what, error: reported.append((what, str(error))))
    aside.ask("broken", lambda: 1 / 0, told.append, told.append)
    aside.ask("whole", lambda: "well", told.append)
    qtbot.waitUntil(lambda: len(told) == 2)
    assert isinstance(told[0], FaultError)
    assert (reported, told[1]) == ([("broken", "division by zero")], "well")


def test_of_each_kind_the_newest_is_done_as_soon_as_any_was_due(qtbot, aside):
    told, go = [], threading.Event()
    aside.ask("hold", go.wait)
    for number in range(3):
        aside.ask("count", lambda number=number: number, told.append, after_s=0.0 if number == 1 else 60.0)
    go.set()
    qtbot.waitUntil(lambda: told == [2])


def test_what_is_due_later_does_not_hold_up_what_is_due_now(qtbot, aside):
    told = []
    aside.ask("later", lambda: "later", told.append, after_s=250.0)
    aside.ask("now", lambda: "now", told.append)
    qtbot.waitUntil(lambda: told == ["now"])
    aside.ask("soon", lambda: "soon", told.append, after_s=0.2)
    qtbot.waitUntil(lambda: told == ["now", "soon"])


@pytest.mark.fault("work aside that never ends")
def test_ended_it_tells_nobody_and_keeps_nobody_waiting(qtbot, aside):
    told, go, last = [], threading.Event(), threading.Event()
    aside.ask("hung", lambda: go.wait(250), told.append, told.append)
    aside.ask("waiting", lambda: 1, told.append)
    qtbot.wait(20)
    began = time.monotonic()
    aside.end(last.set)
    assert time.monotonic() - began < 60.0
    assert not last.is_set()
    go.set()
    assert last.wait(90)
    aside.ask("late", lambda: 1, told.append)
    qtbot.wait(50)
    assert told == []


def test_a_worker_that_was_asked_for_nothing_has_no_thread_but_does_what_is_last():
    done = threading.Event()
    Worker("idle").end()
    worker = Worker("last")
    assert worker.thread.ident is None
    worker.end(done.set)
    assert done.wait(90)


class TestAnswered:
    def test_the_window_goes_on_until_there_is_an_answer(self, qtbot):
        ticks = []
        from PySide6.QtCore import QTimer

        def look():
            while len(ticks) < 10:
                time.sleep(0.005)
            return "there"

        timer = QTimer()
        timer.timeout.connect(lambda: ticks.append(1))
        timer.start(5)
        assert answered("a look", look, 90.0) == "there"
        timer.stop()

    def test_what_the_work_raises_is_raised_here(self, qtbot):
        with pytest.raises(ZeroDivisionError):
            answered("a look", lambda: 1 / 0, 5.0)

    @pytest.mark.fault("a path that does not answer")
    def test_what_takes_too_long_is_said_and_what_it_comes_to_after_all_is_put_away(self, qtbot):
        go, late = threading.Event(), []
        came = threading.Event()
        with pytest.raises(SlowError, match=r"^a look takes more than 0.1 s: the disk does not answer$"):
            answered("a look", lambda: (go.wait(250), "late")[1], 0.1, lambda one: (late.append(one), came.set()))
        go.set()
        assert came.wait(90)
        assert late == ["late"]
