"""A forecast that does not come to an end: its figures are covered and that is said, calls go on, another takes over."""

import math
import threading

import pytest
from PySide6.QtCore import Qt

from studiotimer.session.forecast import Forecaster
from studiotimer.session.verifying import verify
from studiotimer.window import forecasts
from studiotimer.window.set import fresh
from tests.window.test_fresh import covered
from tests.window.test_set_page import forecast_after, make

pytestmark = pytest.mark.usefixtures("crew_patience")
FORECAST = Forecaster.forecast


class Hang:
    """Lets forecasts hang, waiting or at work, for as many as it is told, until it is let go."""

    def __init__(self):
        self.begun, self.most, self.busy = 0, 0, False
        self.back = threading.Event()

    def forecast(self, forecaster, state, at):
        if self.begun < self.most:
            self.begun += 1
            while self.busy and not self.back.is_set():
                sum(range(1000))
            self.back.wait(250)
        return FORECAST(forecaster, state, at)


@pytest.fixture
def hang(monkeypatch):
    hang = Hang()
    monkeypatch.setattr(Forecaster, "forecast", lambda *given: hang.forecast(*given))
    yield hang
    hang.back.set()


@pytest.fixture
def shown(qtbot, shoot, press, second):
    """A hero on set, its time on the page and on the crew screen."""
    make(shoot, "shot", "pull", "pull", "hero_in", "pull")
    forecast_after(qtbot, shoot)
    assert len(shoot.page.line.rows) == 1
    press(shoot, Qt.Key.Key_C)
    qtbot.waitExposed(shoot.crew)
    qtbot.waitUntil(lambda: not covered(shoot.page.clock))
    return shoot


@pytest.mark.fault("a forecast that never comes to an end, {how}")
@pytest.mark.parametrize("how", ["waiting", "at work"])
def test_its_figures_are_covered_and_another_takes_over(qtbot, shown, hang, monkeypatch, how):
    monkeypatch.setattr(forecasts, "GIVEN_UP_S", math.inf)
    page, session = shown.page, shown.running.session
    hang.most, hang.busy = 1, how == "at work"
    shown.running.call("look", {"scoop": 1, "stage": "sheen"})
    qtbot.waitUntil(lambda: fresh.SAID in page.standing.text(), timeout=8000)
    qtbot.waitUntil(lambda: covered(page.clock) and covered(shown.crew), timeout=2000)
    assert hang.begun == 1
    assert page.line.rows == []
    for _ in range(3):
        assert shown.running.call("note", {"text": "taken all the same"}).refused is None
    assert page.line.rows == []
    assert covered(page.clock)
    qtbot.waitUntil(lambda: session.waiting == 0)
    monkeypatch.setattr(forecasts, "GIVEN_UP_S", 5.0)
    qtbot.waitUntil(lambda: bool(shown.running._forecasts._left))
    monkeypatch.setattr(forecasts, "GIVEN_UP_S", math.inf)
    qtbot.waitUntil(lambda: fresh.SAID not in page.standing.text(), timeout=15_000)
    assert not hang.back.is_set()
    assert shown.running.forecast.at >= session.ledger.entries[-4].tick
    qtbot.waitUntil(lambda: not covered(page.clock) and len(page.line.rows) == 1)
    assert shown.close_session()
    assert verify(session.path).whole


@pytest.mark.fault("every forecast hangs")
def test_no_more_than_a_few_are_left_to_themselves(qtbot, shown, hang, monkeypatch):
    monkeypatch.setattr(forecasts, "HUNG_S", 0.2)
    monkeypatch.setattr(forecasts, "GIVEN_UP_S", 0.3)
    hang.most = 100
    shown.running.call("look", {"scoop": 1, "stage": "sheen"})
    most = 1 + forecasts.MOST_LEFT
    qtbot.waitUntil(lambda: hang.begun == most, timeout=10_000)
    shown.running.call("note", {"text": "taken all the same"})
    qtbot.wait(1500)
    assert hang.begun == most
    assert fresh.SAID in shown.page.standing.text()
    hang.most = 0
    monkeypatch.setattr(forecasts, "HUNG_S", math.inf)
    hang.back.set()
    qtbot.waitUntil(lambda: fresh.SAID not in shown.page.standing.text())
    qtbot.waitUntil(lambda: not covered(shown.page.clock))


def test_a_look_at_the_feet_that_hangs_is_left_to_itself_too(qtbot, shown, monkeypatch):
    back = threading.Event()
    monkeypatch.setattr(forecasts, "FEET_S", 0.2)
    monkeypatch.setattr(forecasts, "GIVEN_UP_S", 0.3)
    work = shown.running._forecasts
    before = work._at_work
    before.feet.ask("feet", lambda: back.wait(250))
    qtbot.waitUntil(lambda: work._at_work is not before)
    monkeypatch.setattr(forecasts, "FEET_S", math.inf)
    qtbot.waitUntil(lambda: not shown.running.hung, timeout=15_000)
    back.set()
    qtbot.waitUntil(lambda: not work._left or not work._left[0].busy)
