"""The doubt about when a run began stands on the page until it is set right there."""

import pytest
from PySide6.QtCore import Qt

from studiotimer.session.clock import Anchor
from studiotimer.session.live import new_session, open_session
from tests.session.clocks import HandClock


@pytest.fixture
def reopened(window, plan, session_path, clock):
    """A shoot with three heroes on set, opened again after the machine was started anew, its clock an hour off."""
    session = new_session(session_path, plan, clock)
    for kind in ("shot", "hero_in"):
        assert session.call(kind).refused is None
    clock.advance(30)
    assert session.close()
    later = HandClock(clock.now())
    later.advance(3600 + 205)
    later.seconds, later.boot = 0.0, Anchor("another", 5.0)
    window._run(open_session(session_path, later))
    return window


def test_it_is_set_right_with_one_key_and_the_time(qtbot, reopened, press):
    page = reopened.page
    assert "closed for 1:03:25" in page.standing.text()
    assert page.elsewhere.accessibleName() == "F8  say how long it was closed"
    press(reopened, Qt.Key.Key_F8)
    assert page.calls.choosing
    line = page.calls.chooser._views[0][1].line
    line.setText("a while")
    press(reopened, Qt.Key.Key_Return)
    assert "“a while” is not a number with a unit" in page.quiet_line.text()
    line.setText("3:25")
    press(reopened, Qt.Key.Key_Return)
    assert not page.calls.choosing
    assert reopened.running.session.time() == pytest.approx(30 + 205, abs=1.0)
    assert "doubt" not in page.standing.text()
    assert not page.elsewhere.isVisible()
    press(reopened, Qt.Key.Key_Backspace)
    assert "closed for 1:03:25" in page.standing.text()


def test_the_wall_clocks_time_is_there_to_be_confirmed(qtbot, reopened, press):
    press(reopened, Qt.Key.Key_F8)
    press(reopened, Qt.Key.Key_Up)
    press(reopened, Qt.Key.Key_Return)
    assert reopened.running.session.time() == pytest.approx(30 + 3805, abs=1.0)
    assert not reopened.page.elsewhere.isVisible()
