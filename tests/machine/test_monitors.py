"""The crew screen on a second monitor that is there, goes and comes back."""

import time

import pytest

from studiotimer.prep.plan import parse_plan
from studiotimer.session.live import new_session
from tests.machine.monitors import LAPTOP, SECOND, monitors, needs_monitors, place, wait_for
from tests.screens import program
from tests.window.conftest import PLAN
from tests.window.test_on_screen import wait_for as wait_for_entry

pytestmark = needs_monitors


@pytest.fixture
def begun(tmp_path):
    path = tmp_path / "shoot.setlog"
    new_session(path, parse_plan(PLAN)).close()
    return path


def test_it_is_on_the_second_monitor_away_while_that_is_and_back_with_it(begun):
    with monitors() as both:
        with program(both.display, begun) as running:
            running.window()
            wait_for_entry(begun, lambda entries: entries[-1].kind == "opened")
            running.press("c")
            wait_for(lambda: place(running) == SECOND)
            running.press("k")
            wait_for_entry(begun, lambda entries: entries[-1].kind == "shot")
            for _ in range(2):
                both.unplug()
                wait_for(lambda: place(running) is None)
                time.sleep(1.0)
                assert place(running) is None, "it is not moved over the window"
                both.plug()
                wait_for(lambda: place(running) == SECOND)
            assert running.end() == 0
        with program(both.display, begun) as running:
            running.window()
            wait_for(lambda: place(running) == SECOND)
            running.press("c")
            wait_for(lambda: place(running) is None)
            assert running.end() == 0


def test_the_window_dragged_onto_the_crew_s_monitor_sends_the_crew_screen_to_the_other(begun):
    with monitors() as both, program(both.display, begun) as running:
        window = running.window()
        wait_for_entry(begun, lambda entries: entries[-1].kind == "opened")
        running.press("c")
        wait_for(lambda: place(running) == SECOND)
        running.do("windowmove", window, 1500, 100)
        wait_for(lambda: place(running) == LAPTOP)
        assert running.end() == 0
