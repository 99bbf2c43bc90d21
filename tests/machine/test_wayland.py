"""The program on Wayland: it opens, takes keys, fills the second monitor with the crew screen, and says nothing."""

import json

import pytest

from studiotimer.prep.plan import parse_plan
from studiotimer.session.live import new_session
from tests.machine.monitors import wait_for
from tests.machine.wayland import BELOW, OnWayland, desk, needs_wayland
from tests.screens import PATIENCE_S
from tests.window.conftest import PLAN

pytestmark = needs_wayland


@pytest.fixture
def begun(tmp_path):
    path = tmp_path / "shoot.setlog"
    new_session(path, parse_plan(PLAN)).close()
    return path


def kinds(path):
    return [json.loads(line).get("kind") for line in path.read_text(encoding="utf-8").splitlines()[1:]]


def test_it_opens_takes_keys_fills_the_second_monitor_and_says_nothing(begun, tmp_path):
    with desk(tmp_path) as both:
        assert both.covered(BELOW) == [False, False]
        running = OnWayland(both, [begun])
        try:
            wait_for(lambda: kinds(begun)[-1:] == ["opened"])
            wait_for(lambda: any(both.covered(BELOW)))
            running.click()
            running.press("k")
            wait_for(lambda: kinds(begun)[-1] == "shot")
            assert both.covered() == [False, False], "the window leaves the desk its bar"
            running.press("c")
            wait_for(lambda: sum(both.covered()) == 1)
            running.press("c")
            wait_for(lambda: both.covered() == [False, False])
            running.process.terminate()
            assert running.process.wait(PATIENCE_S) == 0
            assert running.process.stdout.read() == "", "nothing in the terminal"
        finally:
            running.end()
