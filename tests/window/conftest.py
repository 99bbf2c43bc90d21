"""The window, on a shoot of three flavours in one frame."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from studiotimer import units
from studiotimer.prep.plan import parse_plan
from studiotimer.session.live import new_session
from studiotimer.window import app, aside, demos, faults, forecasts, main, navigation, printing, running, shelf, start
from studiotimer.window.main import MainWindow
from studiotimer.window.prep import page as prep_page
from studiotimer.window.prep import unsaved
from studiotimer.window.set import crew_place, fresh
from studiotimer.window.set import page as set_page
from studiotimer.window.settings import key_editor, panel
from tests.conftest import PATIENCE_MS
from tests.screens import PATIENCE_S
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


@pytest.fixture(autouse=True)
def units_shown():
    """Leave the units shown as they were for the test after."""
    before = units.shown_in()
    yield
    units.show_in(before)


@pytest.fixture
def plan():
    return parse_plan(PLAN)


LIMITS = [
    (fresh, "STALE_S"), (forecasts, "FIRST_S"), (forecasts, "HUNG_S"), (forecasts, "FEET_S"), (running, "SLOW_S"),
    (running, "CLOSING_S"), (running, "ELSEWHERE_S"), (main, "PATIENCE_S"), (demos, "PATIENCE_S"), (shelf, "START_S"),
    (app, "LOOK_S"), (aside, "LOOK_S"), (navigation, "LOOK_S"), (start, "LOOK_S"), (unsaved, "LOOK_S"),
    (set_page, "QUIET_LINE_MS"), (prep_page, "HUSH_MS"), (panel, "MESSAGE_MS"), (key_editor, "WAIT_MS"),
    (printing, "LOOK_S"), (printing, "PRINT_S"), (printing, "DRAW_S"),
]  # fmt: skip
"""What the program gives its clock, its physics and its disks before it says that they do not answer, and how long a
message stands and a key is waited for."""
USUAL = [getattr(*each) for each in LIMITS]


@pytest.fixture(autouse=True)
def patience(monkeypatch):
    """A busy machine is no disk that hangs and no clock that stopped; what is about those asks for `crew_patience`."""
    for module, name in LIMITS:
        monkeypatch.setattr(module, name, PATIENCE_MS if name.endswith("_MS") else PATIENCE_S)


@pytest.fixture
def crew_patience(patience, monkeypatch):
    """Give them as long as for a crew."""
    for (module, name), usual in zip(LIMITS, USUAL, strict=True):
        monkeypatch.setattr(module, name, usual)


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
