"""What nobody holds any more is let go of in the window's thread, however much workers leave behind."""

import ast
import gc
import os
import subprocess
import sys
import threading
import weakref

import pytest

from studiotimer.window.collecting import Collector

PROGRAM = """
import gc, threading
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication
from studiotimer.window import app

def leave_much():
    for _ in range(200_000):
        cycle = []
        cycle.append(cycle)

def begin():
    gc.callbacks.append(lambda phase, _: seen.append(threading.current_thread() is threading.main_thread()))
    worker = threading.Thread(target=leave_much)
    worker.start()
    look = QTimer(QApplication.instance())
    look.timeout.connect(lambda: worker.is_alive() or not seen or QApplication.instance().closeAllWindows())
    look.start(50)

seen = []
QTimer.singleShot(0, lambda: None)
application = app.application()
QTimer.singleShot(500, begin)
app.run()
print((len(seen) > 0, all(seen)))
"""


@pytest.fixture
def collector():
    was_on = gc.isenabled()
    yield Collector()
    gc.enable() if was_on else gc.disable()


def test_what_a_worker_leaves_is_let_go_of_by_who_collects(collector):
    class Left:
        pass

    def leave():
        for _ in range(5_000):
            one = Left()
            one.itself = one
            gone.append(weakref.ref(one, lambda _: by.add(threading.current_thread())))

    gone, by = [], set()
    worker = threading.Thread(target=leave)
    worker.start()
    worker.join()
    assert not by
    collector.collect()
    assert by == {threading.current_thread()}
    assert not any(one() for one in gone)


def test_where_little_was_made_nothing_is_gone_through(collector):
    gc.collect()
    seen = []
    gc.callbacks.append(watch := lambda *_: seen.append(1))
    collector.collect()
    gc.callbacks.remove(watch)
    assert not seen


def test_no_worker_of_the_program_collects():
    line = [sys.executable, "-c", PROGRAM]
    done = subprocess.run(line, capture_output=True, text=True, env={**os.environ, "QT_QPA_PLATFORM": "offscreen"})
    assert ast.literal_eval(done.stdout or "()") == (True, True), done.stderr
