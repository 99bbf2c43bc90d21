"""Two windows on one session: one writes, the other reads or follows; a killed one leaves nothing in the way."""

import signal
import subprocess
import sys

import pytest
from PySide6.QtWidgets import QWidget

from studiotimer.prep.plan import parse_plan
from studiotimer.session.live import follow, new_session, open_session
from studiotimer.session.reading import read
from tests.screens import needs_screen
from tests.speed.following import WANTED_S, followed
from tests.window.conftest import PLAN

HOLDER = """
import sys, time
from pathlib import Path
from studiotimer.session.live import open_session
session = open_session(Path(sys.argv[1]))
session.call("note", {"text": "from the other"})
while session.waiting:
    time.sleep(0.01)
print("open", flush=True)
time.sleep(600)
"""


@pytest.fixture
def path(tmp_path):
    path = tmp_path / "two.setlog"
    new_session(path, parse_plan(PLAN)).close()
    return path


@pytest.fixture
def other(path):
    """Another program that has the session open for writing."""
    process = subprocess.Popen([sys.executable, "-c", HOLDER, str(path)], stdout=subprocess.PIPE, text=True)
    assert process.stdout.readline() == "open\n"
    yield process
    process.kill()
    process.wait(90)
    process.stdout.close()


@pytest.mark.fault("a second window on the same session")
def test_the_second_window_follows_and_is_told_who_writes(qtbot, window, path, other):
    before = path.read_bytes()
    window.open_file(path)
    assert window.running.session.read_only
    said = window.page.quiet_line.text()
    assert said.startswith("two.setlog is being written by process ")
    assert f"process {other.pid} on" in said
    assert window.running.session.following
    qtbot.waitUntil(lambda: "calls are made there" in window.page.standing.text())
    assert window.running.call("note", {"text": "x"}).refused is not None
    assert window.page.log.rows[0].words == "from the other"
    assert window.services.socket is None
    assert path.read_bytes() == before


def test_a_follower_in_the_window_shows_what_comes(qtbot, window, path):
    writer = open_session(path)
    window.open_file(path, follow=True)
    assert window.running.session.following
    for number in range(3):
        writer.call("note", {"text": f"note {number}"})
        newest = lambda text=f"note {number}": window.page.log.rows[0].words == text  # noqa: E731
        qtbot.waitUntil(newest, timeout=int(WANTED_S * 1000))
    machine = next(entry.machine for entry in writer.ledger.entries if entry.kind == "opened")
    said = f"Following {machine}, heard just now; calls are made there."
    qtbot.waitUntil(lambda: window.page.standing.text().startswith(said), timeout=5000)
    away = QWidget()
    qtbot.addWidget(away)
    away.show()
    away.activateWindow()
    qtbot.waitUntil(away.isActiveWindow, timeout=5000)
    qtbot.wait(400)
    assert "not heard" not in window.page.standing.text()
    assert writer.close()
    follow(path).close()


@pytest.mark.fault("a window that crashed")
def test_after_a_crash_the_next_window_takes_over_with_a_word(window, path, other):
    other.send_signal(signal.SIGKILL)
    other.wait(90)
    window.open_file(path)
    assert not window.running.session.read_only
    said = window.page.quiet_line.text()
    assert f"The last run (process {other.pid} on" in said
    assert "ended without closing; everything logged is here." in said
    assert window.page.log.rows[1].words == "from the other"
    assert window.close_session()
    assert [entry.kind for entry in read(path).entries][-2:] == ["opened", "closed"]


@needs_screen
def test_a_follower_of_its_own_shows_each_call_within_a_second(tmp_path):
    """A busy machine may show some later; that it looks only now and then would make all of them late."""
    delays = followed(5, tmp_path)
    assert len(delays) == 5
    assert min(delay for _, delay in delays) < WANTED_S
