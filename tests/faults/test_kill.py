"""A few kills of the real window under load; `python -m tests.faults.kill` makes many."""

import random

import pytest

from studiotimer.prep.plan import parse_plan
from studiotimer.session.live import new_session
from tests.faults.kill import kill_often
from tests.screens import needs_screen
from tests.window.conftest import PLAN


@pytest.mark.fault("the window killed three times under load")
@needs_screen
def test_every_call_said_to_be_on_disk_is_there_once_and_in_order(tmp_path):
    path = tmp_path / "kill.setlog"
    new_session(path, parse_plan(PLAN)).close()
    found = kill_often(path, 3, random.Random(11))
    assert sum(found.states.values()) == 3
    assert found.acknowledged > 10
    assert found.made >= found.acknowledged
