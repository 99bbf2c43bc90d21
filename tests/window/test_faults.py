"""Our own mistakes: the window stays, one quiet line is shown, the log has the last entries, and the clock goes on."""

import json
import subprocess
import sys
import threading
import time

import pytest
from PySide6.QtCore import QTimer

from studiotimer.places import state_folder
from studiotimer.prep.plan import parse_plan
from studiotimer.session.live import new_session
from studiotimer.session.reading import read
from studiotimer.window import faults
from studiotimer.window.running import TOLD_WITH_A_FAULT
from tests.screens import PATIENCE_S
from tests.window.conftest import PLAN

CATCH_ALL = faults.catch_all
SAID = "Something went wrong inside the program; it was written to {}. The clock goes on."


@pytest.fixture
def hooks(monkeypatch, shoot):
    """The window of a shoot, with the real hooks in place."""
    monkeypatch.setattr(sys, "excepthook", sys.excepthook)
    monkeypatch.setattr(threading, "excepthook", threading.excepthook)
    monkeypatch.setattr(faults, "WRITTEN_S", PATIENCE_S)
    monkeypatch.setattr(faults, "_crew", faults._Crew())
    monkeypatch.setattr(faults._log, "handlers", [])
    monkeypatch.setattr(faults._log, "propagate", False)
    faults.keep_log()
    CATCH_ALL(shoot.fault.emit, shoot.running.last_entries)
    yield shoot
    for handler in faults._log.handlers:
        handler.close()


def log():
    path = state_folder() / faults.FILE
    return path.read_text(encoding="utf-8") if path.exists() else ""


def broken(*_):
    raise RuntimeError("made to fail")


@pytest.fixture
def clock_goes_on(qtbot, hooks, monkeypatch):
    """Wait until the clock was drawn anew several times."""

    def goes_on():
        with monkeypatch.context() as patch:
            shown = []
            patch.setattr(hooks.page.clock, "say", lambda *words, **how: shown.append(words))
            qtbot.waitUntil(lambda: len(shown) > 3)

    return goes_on


@pytest.mark.qt_no_exception_capture
class TestInTheWindow:
    @pytest.mark.fault("a fault of our own in a slot")
    def test_in_a_slot(self, qtbot, hooks, clock_goes_on):
        hooks.running.accepted.connect(broken)
        assert hooks.running.call("note", {"text": "logged all the same"}).entry is not None
        qtbot.waitUntil(lambda: hooks.page.quiet_line.text() == SAID.format(state_folder() / faults.FILE))
        assert "RuntimeError: made to fail" in log()
        assert '"text":"logged all the same"' in log()
        assert hooks.isVisible()
        clock_goes_on()

    def test_in_a_timer_again_and_again_it_is_written_once(self, qtbot, hooks, clock_goes_on):
        timer = QTimer(hooks)
        fired = []
        timer.timeout.connect(lambda: (fired.append(1), broken()))
        timer.start(5)
        qtbot.waitUntil(lambda: len(fired) > 20)
        timer.stop()
        assert log().count("RuntimeError: made to fail") == 1
        assert hooks.page.quiet_line.text().startswith("Something went wrong")
        clock_goes_on()

    @pytest.mark.fault("a fault of our own in a forecast")
    def test_in_the_forecast_and_the_next_forecast_comes(self, qtbot, hooks, clock_goes_on, monkeypatch):
        from studiotimer.session.forecast import Forecaster

        qtbot.waitUntil(lambda: hooks.running.forecast is not None, timeout=20_000)
        with monkeypatch.context() as patch:
            patch.setattr(Forecaster, "forecast", broken)
            hooks.running.ask_forecast()
            qtbot.waitUntil(lambda: hooks.page.quiet_line.text().startswith("Something went wrong"))
        assert "ERROR a forecast failed; the last entries were" in log()
        clock_goes_on()
        hooks.running.ask_forecast()
        qtbot.waitUntil(lambda: hooks.running.forecast.at == hooks.running.session.time(), timeout=20_000)

    def test_in_another_thread_it_is_said_in_the_windows_own(self, qtbot, hooks, monkeypatch):
        said_in = []
        monkeypatch.setattr(hooks.nav, "say", lambda words: said_in.append(threading.current_thread()))
        thread = threading.Thread(target=broken)
        thread.start()
        thread.join()
        qtbot.waitUntil(lambda: bool(said_in))
        assert said_in == [threading.main_thread()]

    @pytest.mark.fault("a fault of our own in the writer's callback")
    def test_in_the_writers_callback_everything_is_still_written(self, qtbot, hooks, session_path):
        hooks.running.session.listeners.on_disk = broken
        for number in range(3):
            hooks.running.call("note", {"text": f"note {number}"})
        qtbot.waitUntil(lambda: hooks.running.session.waiting == 0)
        qtbot.waitUntil(lambda: hooks.page.quiet_line.text().startswith("Something went wrong"))
        assert [one.text for one in read(session_path).entries if one.kind == "note"] == ["note 0", "note 1", "note 2"]

    def test_the_log_has_the_newest_entries_and_not_more(self, hooks):
        for number in range(2 * TOLD_WITH_A_FAULT):
            hooks.running.call("note", {"text": f"note {number}"})
        faults.report("a test", RuntimeError("x"))
        told = [json.loads(line) for line in log().splitlines() if line.startswith("  {")]
        assert [one["text"] for one in told] == [f"note {number}" for number in range(20, 40)]

    @pytest.mark.fault("a log of faults that cannot be written")
    def test_a_log_that_cannot_be_written_does_not_matter(self, hooks, capfd):
        for handler in faults._log.handlers:
            handler.close()
        (state_folder() / faults.FILE).unlink(missing_ok=True)
        (state_folder() / faults.FILE).mkdir()
        faults.report("a test", RuntimeError("x"))
        assert hooks.page.quiet_line.text().startswith("Something went wrong")
        assert capfd.readouterr().err == ""


@pytest.mark.fault("no folder for the log of faults")
def test_no_state_folder_at_all(monkeypatch, tmp_path):
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "file"))
    monkeypatch.setattr(faults, "WRITTEN_S", PATIENCE_S)
    monkeypatch.setattr(faults, "_crew", faults._Crew())
    monkeypatch.setattr(faults._log, "handlers", [])
    monkeypatch.setattr(faults._log, "propagate", False)
    said = []
    faults._crew.tell = said.append
    faults.keep_log()
    with faults.logged("a test"):
        broken()
    assert said == ["Something went wrong inside the program. The clock goes on."]


REAL = """
import sys, threading
from pathlib import Path
from PySide6.QtCore import QTimer
from studiotimer.window import app, main
from studiotimer.window.set.page import SetPage

def broken(*_):
    raise RuntimeError("made to fail")

def in_turn():
    windows = [one for one in app.application().topLevelWidgets() if isinstance(one, main.MainWindow)]
    if not windows or windows[0].page is None:
        return
    often.stop()
    window = windows[0]
    window.running.accepted.connect(broken)
    window.page.paintEvent = broken
    threading.Thread(target=broken).start()
    SetPage._show_log = broken
    broken()

app.application()
often = QTimer()
often.timeout.connect(in_turn)
often.start(100)
raise SystemExit(app.run(Path(sys.argv[1])))
"""


def test_the_real_program_stays_and_takes_calls(tmp_path):
    from studiotimer.errors import NoWindowError
    from studiotimer.session.peer import send_call

    path = tmp_path / "shoot.setlog"
    new_session(path, parse_plan(PLAN)).close()
    process = subprocess.Popen([sys.executable, "-c", REAL, str(path)], stderr=subprocess.PIPE, text=True)
    try:
        end = time.monotonic() + 90
        while "made to fail" not in log():
            assert time.monotonic() < end
            assert process.poll() is None, process.stderr.read()
            time.sleep(0.05)
        taken = []
        while len(taken) < 5 and time.monotonic() < end:
            try:
                taken.append(send_call("note", {"text": f"note {len(taken)}"})["n"])
            except NoWindowError:
                time.sleep(0.05)
        assert len(taken) == 5
        process.terminate()
        assert process.wait(90) == 0
        assert "Traceback" not in process.stderr.read()
    finally:
        process.kill()
        process.wait(10)
        process.stderr.close()
    notes = [one for one in read(path).entries if one.kind == "note"]
    assert [one.n for one in notes] == taken
    assert "the last entries were" in log()
    assert read(path).entries[-1].kind == "closed"
