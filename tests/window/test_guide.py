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


def standing(window):
    return window.page.standing.text()


def cue_pressed(qtbot, practice, press, words):
    qtbot.waitUntil(lambda: practice.page.cue_label.text() == words, timeout=10_000)
    qtbot.wait(750)  # a second press of the cue key within SAME_CALL_S counts once
    press(practice, K.Key_Space)


def test_every_step_goes_on_with_the_key_it_names(qtbot, practice, press):
    assert "1 of 6" in standing(practice)
    for words in ("Lock light", "Lock set", "Lock camera"):
        cue_pressed(qtbot, practice, press, words)
    for words, keys in [
        ("2 of 6", [K.Key_P]), ("3 of 6", [K.Key_H]), ("4 of 6", [K.Key_L]), ("5 of 6", [K.Key_Backspace]),
        ("6 of 6", [K.Key_A, K.Key_Escape]),
    ]:  # fmt: skip
        assert words in standing(practice)
        for key in keys:
            qtbot.wait(30)
            press(practice, key)
    assert guide.DONE in standing(practice)


def test_what_was_done_out_of_turn_is_not_asked_for(qtbot, practice, press):
    for key in (K.Key_P, K.Key_H, K.Key_2, K.Key_3, K.Key_1):
        qtbot.wait(30)
        press(practice, key)
    assert "4 of 6" in standing(practice)


def test_esc_leaves_what_is_open_first_and_then_the_try(qtbot, practice, press):
    press(practice, K.Key_F1)
    press(practice, K.Key_Escape)
    assert practice.running is not None
    assert practice.page.below.part is None
    press(practice, K.Key_Escape)
    assert practice.running is None
    assert practice.nav.view == "start"


def test_the_first_try_is_kept_away_from_real_shoots(practice, home):
    assert "demos" in str(practice.running.session.path)


def test_the_help_page_is_one_key_away_and_covers_no_clock(qtbot, shoot, press):
    press(shoot, K.Key_F5)
    part = shoot.page.below.currentWidget()
    assert isinstance(part, HelpPart)
    text = part.browser.toPlainText()
    assert "own rule" in text
    assert "How" in text
    assert shoot.page.cue_label.isVisible()
    press(shoot, K.Key_F5)
    assert not isinstance(shoot.page.below.currentWidget(), HelpPart)
