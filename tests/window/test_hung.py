"""Shares that hang, a disk that is slow or does not answer: the window's thread is held by none of them.

A path hangs for real as far as the program can tell: whatever asks the system about it does not come back.
"""

import io
import os
import threading
import time

import pytest
from PySide6.QtCore import Qt, QTimer

from studiotimer.places import keep_sessions_in
from studiotimer.session import journal as files
from studiotimer.session import writer as writers
from studiotimer.session.live import new_session
from studiotimer.session.verifying import verify
from studiotimer.window import running
from studiotimer.window.aside import answered
from studiotimer.window.recent import remember
from studiotimer.window.running import SLOW
from tests.window.test_bad_disk import call, notes

pytestmark = pytest.mark.usefixtures("crew_patience")
K = Qt.Key
MEANT_S = 60.0
"""From this on the loop was held by what hangs, which does so for minutes, and not by a machine that is shared."""


@pytest.fixture
def hung(monkeypatch, tmp_path):
    """A folder on a share that hangs, once it is told to, until the test is over."""
    folder, back = tmp_path / "share", threading.Event()
    folder.mkdir()
    hangs = []

    def hanging(real):
        def asked(path, *given, **named):
            if hangs and isinstance(path, str | os.PathLike) and str(path).startswith(str(folder)):
                back.wait(250)
            return real(path, *given, **named)

        return asked

    for name in ("stat", "lstat", "open", "scandir", "mkdir", "listdir", "replace", "rename", "unlink"):
        monkeypatch.setattr(os, name, hanging(getattr(os, name)))
    monkeypatch.setattr(io, "open", hanging(io.open))
    yield Share(folder, hangs)
    back.set()


class Share:
    def __init__(self, folder, hangs):
        self.folder, self._hangs = folder, hangs

    def hang(self):
        self._hangs.append(True)


class Holds:
    """The longest time for which the event loop was held."""

    def __init__(self):
        self.longest = 0.0
        self._last = time.monotonic()
        self._timer = QTimer()
        self._timer.setInterval(2)
        self._timer.timeout.connect(self._tick)
        self._timer.start()

    def _tick(self):
        now = time.monotonic()
        self.longest, self._last = max(self.longest, now - self._last), now

    def start(self):
        self.longest, self._last = 0.0, time.monotonic()


@pytest.fixture
def holds(qtbot):
    holds = Holds()
    yield holds
    holds._timer.stop()
    print(f"longest hold of the event loop: {holds.longest * 1000:.0f} ms")
    assert holds.longest < MEANT_S


@pytest.mark.fault("a recent session on a share that hangs")
def test_recents_on_a_hung_share_hold_nobody_up(qtbot, window, hung, holds, plan, tmp_path):
    for folder in (hung.folder, tmp_path):
        new_session(folder / "day.setlog", plan).close()
        remember(folder / "day.setlog")
    hung.hang()
    window.nav.leave_session()
    holds.start()
    window.start._show_recent()
    qtbot.waitUntil(lambda: len(window.start.recent) == 1)
    assert str(tmp_path / "day.setlog") in window.start.recent[0].toolTip()
    qtbot.wait(50)


@pytest.mark.fault("a session opened from a share that hangs")
def test_opening_from_a_hung_share_is_given_up_and_said(qtbot, window, hung, holds, plan, monkeypatch):
    monkeypatch.setattr("studiotimer.window.main.PATIENCE_S", 0.3)
    new_session(hung.folder / "day.setlog", plan).close()
    hung.hang()
    holds.start()
    window.open_file(hung.folder / "day.setlog")
    assert window.running is None
    assert window.start.message.text() == "opening the session takes more than 0.3 s: the disk does not answer"


@pytest.mark.fault("a shoot begun on a share that hangs")
def test_a_shoot_on_a_hung_share_is_given_up_and_said(qtbot, window, hung, holds, plan, monkeypatch):
    monkeypatch.setattr("studiotimer.window.main.PATIENCE_S", 0.3)
    hung.hang()
    holds.start()
    window.begin(plan, hung.folder / "new.setlog")
    assert window.running is None
    assert "the disk does not answer" in window.start.message.text()


@pytest.mark.fault("a capture folder on a share that hangs")
def test_a_hung_capture_folder_holds_nobody_up(qtbot, shoot, hung, holds):
    hung.hang()
    holds.start()
    shoot.watch(str(hung.folder / "card"), 0.0)
    call(shoot, "goes on")
    qtbot.wait(150)
    shoot.watch("", 0.0)
    qtbot.wait(50)


@pytest.mark.fault("a session, a plan and frames asked for on a share that hangs")
def test_what_a_page_is_asked_for_on_a_hung_share_is_given_up_and_said(qtbot, window, hung, holds, monkeypatch):
    window.nav.go("wrap")
    window.nav.go("prep")
    qtbot.waitUntil(lambda: window.nav.prep.results is not None, timeout=20_000)
    monkeypatch.setattr("studiotimer.window.aside.answered.__defaults__", (0.3, lambda _: None))
    monkeypatch.setattr("studiotimer.window.aside.LOOK_S", 0.3)
    hung.hang()
    holds.start()
    assert "does not answer" in window.nav.wrap.open_session(hung.folder / "day.setlog")
    assert "is not a folder" in window.nav.wrap.compare_in(hung.folder)
    assert "does not answer" in window.nav.prep.open_plan(hung.folder / "plan.json")
    window.nav.prep.path = hung.folder / "plan.json"
    window.nav.prep._save(window.nav.prep.results)
    assert "cannot be written: the disk does not answer" in window.nav.prep.message.text()


@pytest.fixture
def slow_disk(monkeypatch):
    """A disk that does not come back from a flush by the session's writer, until the test is over."""
    back, fsync = threading.Event(), os.fsync
    hangs = []

    def flush(handle):
        if hangs and threading.current_thread() in hangs:
            back.wait(250)
        fsync(handle)

    monkeypatch.setattr(files.os, "fsync", flush)
    yield lambda session: hangs.append(session._writer.worker.thread)
    back.set()


@pytest.mark.fault("a disk that does not answer: said after two seconds, and F8 goes to another")
def test_a_disk_that_does_not_answer_is_said_and_left_for_another(qtbot, shoot, slow_disk, holds, press):
    session = shoot.running.session
    qtbot.waitUntil(lambda: session.waiting == 0)
    slow_disk(session)
    holds.start()
    began = time.monotonic()
    call(shoot, "kept")
    qtbot.waitUntil(lambda: SLOW in shoot.page.standing.text())
    assert 1.9 < time.monotonic() - began < MEANT_S
    assert shoot.page.elsewhere.isVisible()
    press(shoot, K.Key_F8)
    assert session.path.name == "test-moved-1.setlog"
    assert SLOW not in shoot.page.standing.text()
    call(shoot, "after")
    qtbot.waitUntil(lambda: session.waiting == 0)
    assert shoot.close_session()
    assert notes(session.path) == ["kept", "after"]
    assert verify(session.path).whole


@pytest.mark.fault("another disk that hangs too")
def test_where_the_other_disk_hangs_the_users_own_data_takes_it(
    qtbot, shoot, slow_disk, hung, holds, press, monkeypatch
):
    patience = iter([0.3])  # for the disk that hangs; whatever the other one takes is right
    monkeypatch.setattr(
        running, "_another_disk", lambda work, late: answered("writing there", work, next(patience, 90.0), late)
    )
    session = shoot.running.session
    qtbot.waitUntil(lambda: session.waiting == 0)
    keep_sessions_in(str(hung.folder))
    hung.hang()
    slow_disk(session)
    call(shoot, "kept")
    qtbot.waitUntil(lambda: SLOW in shoot.page.standing.text(), timeout=4000)
    holds.start()
    press(shoot, K.Key_F8)
    assert session.path.parent.name == "sessions"
    assert session.path.name == "test-moved-1.setlog"
    qtbot.waitUntil(lambda: session.waiting == 0)
    assert notes(session.path) == ["kept"]


@pytest.mark.fault("a disk that is slow for some seconds")
def test_a_disk_that_comes_back_is_said_to_be_back(qtbot, shoot, monkeypatch):
    session, fsync, back = shoot.running.session, os.fsync, threading.Event()
    qtbot.waitUntil(lambda: session.waiting == 0)
    monkeypatch.setattr(files.os, "fsync", lambda handle: (back.wait(250), fsync(handle)))
    call(shoot, "slow")
    qtbot.waitUntil(lambda: SLOW in shoot.page.standing.text())
    back.set()
    qtbot.waitUntil(lambda: "Not on disk" not in shoot.page.standing.text())
    assert (session.trouble, session.waiting) == (None, 0)


@pytest.mark.fault("the session closed on a disk that does not answer")
def test_closing_on_a_hung_disk_holds_nobody_up(qtbot, shoot, slow_disk, holds, monkeypatch):
    session = shoot.running.session
    qtbot.waitUntil(lambda: session.waiting == 0)
    slow_disk(session)
    call(shoot, "kept")
    holds.start()
    closed = []
    began = time.monotonic()
    QTimer.singleShot(0, lambda: shoot.running.call("note", {"text": "while it closes"}))
    QTimer.singleShot(0, lambda: closed.append(shoot.close()))
    assert not shoot.close_session()
    assert time.monotonic() - began < MEANT_S
    assert shoot.running is not None
    assert closed == [False]
    assert not any(getattr(entry, "text", "") == "while it closes" for entry in session.ledger.entries)
    shoot.running.leave()


@pytest.fixture(autouse=True)
def _quick_retries(monkeypatch):
    monkeypatch.setattr(writers.Writer.__init__, "__defaults__", (0.02,))
