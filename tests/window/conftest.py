"""The window, on a shoot of three flavours in one frame."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from studiotimer.prep.plan import parse_plan
from studiotimer.session.live import new_session
from studiotimer.window import faults
from studiotimer.window.main import MainWindow
from studiotimer.window.set import crew_place
from tests.session.clocks import HandClock
from tests.window.prep_fixtures import days_tried, hot, page  # noqa: F401

PLAN = {
    "title": "test coupe",
    "room": {"air": "23 °C", "humidity": "48 %"},
    "flavours": [
        {"name": "pistachio", "mix": "superpremium"},
        {"name": "hazelnut", "mix": "gelato"},
        {"name": "lemon", "mix": "sorbet"},
    ],
    "shots": [
        {"name": "coupe", "look": "crisp", "light": "LED 2000 lx", "takes": 2, "dressing": "0 s",
         "heroes": [{"flavour": "pistachio", "spot": "left"}, {"flavour": "hazelnut", "spot": "top"},
                    {"flavour": "lemon", "spot": "right"}]},
        {"name": "sundae", "look": "melt", "light": "tungsten 6000 lx", "takes": 1,
         "heroes": [{"flavour": "lemon", "spot": "centre"}]},
    ],
    "pull_to_set": "20 s",
    "dry_ice": {"form": "pellets"},
}  # fmt: skip


@pytest.fixture(scope="session", autouse=True)
def asleep(qapp):
    """Let the machine that runs the tests sleep, also when a window ends later than its test."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("studiotimer.window.awake.Awake.begin", lambda self: None)
        yield


@pytest.fixture
def plan():
    return parse_plan(PLAN)


@pytest.fixture
def window(qtbot, monkeypatch):
    monkeypatch.setattr(faults, "catch_all", lambda tell, last_entries: None)
    monkeypatch.setattr(MainWindow, "_load_sounds", lambda self: None)
    window = MainWindow()
    window.resize(1280, 800)
    with qtbot.waitActive(window):
        window.show()
        window.activateWindow()
    yield window
    window.close_session()
    window.page = None
    window.close()
    window.deleteLater()


@pytest.fixture
def session_path(tmp_path):
    return tmp_path / "test.setlog"


@pytest.fixture
def clock():
    """The session's clock, moved by the tests."""
    return HandClock()


@pytest.fixture
def shoot(qtbot, window, plan, session_path, clock):
    """The window with a session open on the three-flavour plan."""
    window._run(new_session(session_path, plan, clock))
    qtbot.waitUntil(lambda: window.services.socket is not None)
    return window


@pytest.fixture
def press(qtbot, clock):
    """Press a key in the window, `wait` seconds after what came before."""

    def press(window, key, shift=False, wait=2.0):
        clock.advance(wait)
        target = QApplication.focusWidget() or window
        qtbot.keyClick(target, key, Qt.KeyboardModifier.ShiftModifier if shift else Qt.KeyboardModifier.NoModifier)

    return press


@pytest.fixture
def write(qtbot, shoot):
    """Press the keys of a text one after another, wherever the keys are."""

    def written(text):
        for letter in text:
            qtbot.keyClicks(QApplication.focusWidget() or shoot, letter)

    return written


@pytest.fixture
def second(monkeypatch):
    """Stand for a second monitor: the one there is."""
    monkeypatch.setattr(crew_place, "monitor_for", lambda window, wanted="": QApplication.primaryScreen())
