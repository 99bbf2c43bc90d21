"""The keys of the Set page by what it is doing, and the moment a call has: its key press's, where that can be true."""

import time

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication

from studiotimer.session.rehearsal import RehearsalAsked
from studiotimer.window.hearing import age_s
from studiotimer.window.set.set_keys import Mode

K = Qt.Key


@pytest.fixture(autouse=True)
def still(monkeypatch):
    """No time goes by between a key's own moment and the one it is heard at."""
    now = time.monotonic_ns()
    monkeypatch.setattr(time, "monotonic_ns", lambda: now)


def screen_ms(ago_s=0.0):
    return (time.monotonic_ns() // 1_000_000 - round(ago_s * 1000)) % (1 << 32)


def press_at(key, stamp, text=""):
    event = QKeyEvent(QEvent.Type.KeyPress, key, Qt.KeyboardModifier.NoModifier, text)
    event.setTimestamp(stamp)
    return event


@pytest.mark.parametrize(
    ("stamp", "age"),
    [
        pytest.param(lambda: screen_ms(3.0), 3.0, id="three seconds ago"),
        pytest.param(lambda: screen_ms(9.9), 9.9, id="almost ten"),
        pytest.param(lambda: screen_ms(10.5), 0.0, id="over ten"),
        pytest.param(lambda: screen_ms(-2.0), 0.0, id="in the future"),
        pytest.param(lambda: 0, 0.0, id="none"),
        pytest.param(lambda: time.monotonic_ns() // 1_000_000 + (1 << 32) - 4000, 4.0, id="in more than 32 bits"),
    ],
)
def test_the_age_of_a_key_press(stamp, age):
    assert age_s(press_at(K.Key_H, stamp())) == pytest.approx(age, abs=0.05)


def test_the_age_across_the_end_of_32_bits(monkeypatch):
    monkeypatch.setattr(time, "monotonic_ns", lambda: ((1 << 32) + 1500) * 1_000_000)
    assert age_s(press_at(K.Key_H, (1 << 32) - 500)) == pytest.approx(2.0)


def test_a_call_happened_when_its_key_was_pressed(shoot, clock):
    clock.advance(60)
    QApplication.sendEvent(QApplication.focusWidget() or shoot, press_at(K.Key_P, screen_ms(3.0)))
    assert shoot.running.session.ledger.entries[-1].kind == "pull"
    assert shoot.running.session.ledger.entries[-1].tick == pytest.approx(57.0, abs=0.1)
    QApplication.sendEvent(QApplication.focusWidget() or shoot, press_at(K.Key_1, screen_ms(30.0)))
    assert shoot.running.session.ledger.entries[-1].tick == pytest.approx(60.0, abs=0.1)


def test_what_was_typed_happened_when_it_was_asked_for(shoot, clock):
    clock.advance(60)
    QApplication.sendEvent(QApplication.focusWidget() or shoot, press_at(K.Key_R, screen_ms(2.0)))
    assert shoot.page.calls.choosing
    clock.advance(9)
    QApplication.sendEvent(QApplication.focusWidget() or shoot, press_at(K.Key_Up, screen_ms()))
    QApplication.sendEvent(QApplication.focusWidget() or shoot, press_at(K.Key_Return, screen_ms()))
    assert shoot.running.session.ledger.entries[-1].kind == "reading"
    assert shoot.running.session.ledger.entries[-1].tick == pytest.approx(58.0, abs=0.1)


def test_a_key_pressed_before_the_session_was_there_happened_at_its_start(shoot, clock):
    QApplication.sendEvent(QApplication.focusWidget() or shoot, press_at(K.Key_P, screen_ms(8.0)))
    assert shoot.running.session.ledger.entries[-1].tick == 0.0


@pytest.mark.parametrize("stamp", [lambda: 0, screen_ms], ids=["no stamp", "a stamp"])
def test_where_the_screen_says_nothing_it_is_when_it_was_heard(shoot, clock, stamp):
    clock.advance(60)
    QApplication.sendEvent(QApplication.focusWidget() or shoot, press_at(K.Key_P, stamp()))
    assert shoot.running.session.ledger.entries[-1].tick == pytest.approx(60.0, abs=0.1)


def test_every_mode_has_its_keys(shoot):
    assert set(shoot.page.pressed._heard) == set(Mode.__args__)


def mode(window, key, text=""):
    event = press_at(key, 0, text)
    return window.page.pressed.mode(event, window.kept.keys.action(event)[0])


def test_the_mode_follows_what_the_page_does(qtbot, shoot, press):
    assert mode(shoot, K.Key_P) == "set"
    press(shoot, K.Key_P, Qt.KeyboardModifier.ShiftModifier)
    assert mode(shoot, K.Key_Up) == "choosing"
    press(shoot, K.Key_Escape)
    press(shoot, K.Key_R)
    assert (mode(shoot, K.Key_P, "p"), mode(shoot, K.Key_PageDown)) == ("typed", "typed")
    press(shoot, K.Key_Escape)
    press(shoot, K.Key_V)
    assert (mode(shoot, K.Key_P, "p"), mode(shoot, K.Key_Space, " ")) == ("elsewhere", "elsewhere")
    assert (mode(shoot, K.Key_Return, "\r"), mode(shoot, K.Key_PageDown)) == ("typing", "typing")
    press(shoot, K.Key_Escape)
    press(shoot, K.Key_F10)
    assert (mode(shoot, K.Key_Tab), mode(shoot, K.Key_P)) == ("elsewhere", "set")


def test_a_rehearsal_has_the_keys_of_its_bar(qtbot, window):
    from studiotimer.window.demos import demos

    window.rehearse(demos()[0], RehearsalAsked(20.0))
    assert mode(window, K.Key_Space, " ") == "playing"
    assert not window.running.session.paused
    qtbot.keyClick(QApplication.focusWidget() or window, K.Key_Space)
    assert window.running.session.paused
