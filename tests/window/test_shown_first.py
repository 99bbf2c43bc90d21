"""A forecast begins once what changed it is shown and on disk; neither a slow disk nor a burst of calls keeps it off."""

import pytest
from PySide6.QtCore import QObject

from studiotimer.window import shown_first
from studiotimer.window.shown_first import DISK_FIRST_S, LONGEST_S, SHOWN_FIRST_MS, ShownFirst


class Hand:
    """A steady clock moved by hand, and timers that fire when it is told to look."""

    def __init__(self, monkeypatch, waits):
        self.now, self.due, self.unwritten = 1000.0, [], waits
        monkeypatch.setattr(shown_first.time, "monotonic", lambda: self.now)
        self.parent = QObject()
        self.first = ShownFirst(lambda: self.unwritten, self.parent)
        self.first.due.connect(lambda: self.due.append(self.now))

    def look(self, after_s):
        """Let so much time go by, and the timer fire, if it runs."""
        self.now += after_s
        if self.first._timer.isActive():
            self.first._timer.stop()
            self.first._look()


@pytest.fixture
def hand(qapp, monkeypatch):
    return lambda waits: Hand(monkeypatch, waits)


def test_it_is_due_once_the_call_is_on_disk(hand):
    one = hand(True)
    one.first.start()
    one.look(SHOWN_FIRST_MS / 1000)
    assert one.due == []
    one.unwritten = False
    one.look(SHOWN_FIRST_MS / 1000)
    assert one.due == [pytest.approx(1000.0 + 2 * SHOWN_FIRST_MS / 1000)]


def test_what_is_shown_has_it_wait_anew_but_begins_nothing(hand):
    one = hand(False)
    one.first.again()
    one.look(1.0)
    assert one.due == []
    one.first.start()
    one.now += 0.012
    one.first.again()
    assert one.first._timer.isActive()
    assert one.first._last == 1001.012


def test_a_disk_that_is_slow_is_not_waited_for_longer(hand):
    one = hand(True)
    one.first.start()
    while not one.due:
        one.look(SHOWN_FIRST_MS / 1000)
    assert one.due[0] - 1000.0 == pytest.approx(DISK_FIRST_S, abs=SHOWN_FIRST_MS / 1000)


@pytest.mark.parametrize("apart_s", [0.005, 0.012])
def test_calls_without_a_pause_put_it_off_no_longer_than_they_may(hand, apart_s):
    one = hand(True)
    while not one.due:
        one.first.start()
        one.look(apart_s) if one.now - 1000.0 > LONGEST_S else setattr(one, "now", one.now + apart_s)
    assert LONGEST_S <= one.due[0] - 1000.0 <= LONGEST_S + 2 * apart_s


def test_it_comes_by_itself_and_not_once_it_is_stopped(qtbot):
    parent, due = QObject(), []
    one = ShownFirst(lambda: False, parent)
    one.due.connect(lambda: due.append("one"))
    one.start()
    qtbot.waitUntil(lambda: due == ["one"], timeout=30_000)
    one.start()
    one.stop()
    assert not one._timer.isActive()
