"""The walk from a key press to a changed clock, as DEVELOPERS.md lists it, is the one the program takes."""

import sys
from pathlib import Path

from PySide6.QtCore import Qt

from studiotimer.session.forecast import Forecaster
from tests.test_walks import walks
from tests.window.test_set_page import forecast_after, make

ROOT = Path(__file__).parents[2]


def test_a_key_press_goes_the_way_that_is_written_down(qtbot, shoot, press, monkeypatch):
    make(shoot, "shot", "pull")
    forecast_after(qtbot, shoot)
    shoot.running.session.clock.advance(60)
    went = []
    package = str(ROOT / "studiotimer") + "/"

    def note(frame, event, _):
        if event == "call" and frame.f_code.co_filename.startswith(package):
            went.append((frame.f_code.co_filename.removeprefix(package), frame.f_code.co_qualname))

    worked_out = Forecaster.forecast

    def noted(self, *args):
        went.append(("session/forecast.py", "Forecaster.forecast"))
        return worked_out(self, *args)

    monkeypatch.setattr(Forecaster, "forecast", noted)
    sys.setprofile(note)
    try:
        press(shoot, Qt.Key.Key_H)
        qtbot.waitUntil(lambda: bool(shoot.running.forecast and shoot.running.forecast.heroes))
        qtbot.waitUntil(lambda: shoot.page.clock._words != "–:––")
    finally:
        sys.setprofile(None)
    steps = [(path, named[0]) for path, named in walks()["A key, to the clock that it changes"]]
    assert 8 <= len(steps) <= 12
    at = 0
    for step in steps:
        assert step in went[at:], f"{step} does not come after {steps[: steps.index(step)]}"
        at = went.index(step, at) + 1
