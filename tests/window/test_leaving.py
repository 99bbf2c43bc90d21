"""Leaving a session for the start page, and finding it again there."""

from datetime import date

from PySide6.QtCore import Qt

from studiotimer.prep.plan import quick_plan
from studiotimer.session.live import new_session
from studiotimer.session.reading import read
from studiotimer.window.recent import recent_sessions
from studiotimer.window.set.guide import STEPS

K = Qt.Key


def test_start_pressed_twice_closes_the_session(qtbot, shoot, press, session_path):
    press(shoot, K.Key_K)
    button = shoot.nav.buttons["start"]
    assert button.isVisible()
    button.click()
    assert shoot.pages.currentWidget() is shoot.page
    assert "press Start once more to close it" in shoot.page.quiet_line.text()
    button.click()
    assert shoot.pages.currentWidget() is shoot.start
    assert (shoot.running, shoot.page) == (None, None)
    assert read(session_path).entries[-1].kind == "closed"
    assert not shoot.nav.buttons["set"].isVisible()
    press(shoot, K.Key_X)
    assert "x" in shoot.start.flavour.text()


def test_the_first_try_is_left_with_esc_once_it_is_done(window, press):
    window.practise()
    window._guide._place = len(STEPS)
    window._stand()
    assert "Esc leaves" in window.page.standing.text()
    press(window, K.Key_Escape)
    assert window.pages.currentWidget() is window.start


def test_a_shoot_that_was_begun_is_offered_again(qtbot, window):
    window.start.begin.click()
    path = window.running.session.path
    window.nav.go("start")
    window.nav.go("start")
    assert window.pages.currentWidget() is window.start
    qtbot.waitUntil(lambda: recent_sessions()[:1] == [path] and bool(window.start.recent))
    assert window.start.recent[0].text().startswith(f"vanilla, {date.today().day} ")
    window.start.recent[0].click()
    assert window.running.session.path == path


def test_a_light_that_is_none_is_refused_where_it_is_written(qtbot, window):
    window.start.light.setText("candle")
    window.start.begin.click()
    assert window.running is None
    assert "light" in window.start.message.text()


def test_a_session_whose_plan_has_no_light_opens_and_says_why_it_cannot_begin(window, session_path, clock):
    plan = quick_plan("vanilla", "premium", "crisp", 22.0, "candle")
    new_session(session_path, plan, clock).close()
    window.open_file(session_path)
    assert window.page is not None
    outcome = window.running.call("shot")
    assert "candle" in str(outcome.refused)


def test_the_same_key_again_at_once_is_said_to_count_once(shoot, press):
    press(shoot, K.Key_P)
    press(shoot, K.Key_P, wait=0.3)
    assert [entry.kind for entry in shoot.running.session.ledger.entries].count("pull") == 1
    assert "Counted once" in shoot.page.quiet_line.text()
