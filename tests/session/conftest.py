"""What tests of a session share."""

import pytest

from studiotimer.session.live import new_session
from tests.session.clocks import HandClock
from tests.session.shoots import plan


@pytest.fixture
def clock():
    return HandClock()


@pytest.fixture
def session(tmp_path, clock):
    """A new session on a clock moved by hand, left open for the test."""
    session = new_session(tmp_path / "shoot.setlog", plan(), clock)
    yield session
    session.leave()
