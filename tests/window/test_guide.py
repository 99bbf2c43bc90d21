"""The first try: offered once, led one call after another, and the help page one key away."""

import pytest
from PySide6.QtCore import Qt

from studiotimer.window.help_part import HelpPart
from studiotimer.window.set import guide

K = Qt.Key


@pytest.fixture
def practice(qtbot, window, monkeypatch):
    monkeypatch.setattr("studiotimer.session.live.SAME_CALL_S", 0.0)
    window.start.first_time.findChildren(type(window.start.begin))[0].click()
    return window


def test_it_is_offered_once(window):
    assert window.start.first_time.isVisibleTo(window.start)
    window.start._not_now()
    assert not window.start.first_time.isVisibleTo(window.start)
    assert guide.was_offered()
    from studiotimer.window.start import StartPage

    again = StartPage()
    assert not again.first_time.isVisibleTo(again)
    assert again.practise.isVisibleTo(again), "it can still be asked for"
    again.deleteLater()


def test_every_step_goes_on_with_the_key_it_names(qtbot, practice, press):
    steps = [
        ("1 of 7", [K.Key_P]), ("2 of 7", [K.Key_1, K.Key_2, K.Key_3]), ("3 of 7", [K.Key_H]), ("4 of 7", [K.Key_L]),
        ("5 of 7", [K.Key_A, K.Key_A, K.Key_A, K.Key_A, K.Key_A, K.Key_Return]), ("6 of 7", [K.Key_Backspace]),
        ("7 of 7", [K.Key_Space]),
    ]  # fmt: skip
    for words, keys in steps:
        assert words in practice.page.standing.text()
        if words == "5 of 7":
            practice.running.call("note", {"text": "a call that can be moved back"})
        for key in keys:
            qtbot.wait(30)
            press(practice, key)
    assert guide.DONE in practice.page.standing.text()


def test_the_first_try_is_kept_away_from_real_shoots(practice, home):
    assert "demos" in str(practice.running.session.path)


def test_the_help_page_is_one_key_away_and_covers_no_clock(qtbot, shoot, press):
    press(shoot, K.Key_F5)
    part = shoot.page.below.currentWidget()
    assert isinstance(part, HelpPart)
    text = part.browser.toPlainText()
    assert "own rule" in text
    assert "How" in text
    assert shoot.page.clock.isVisible()
    press(shoot, K.Key_F5)
    assert not isinstance(shoot.page.below.currentWidget(), HelpPart)
