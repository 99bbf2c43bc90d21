"""Buttons of calls: what they write where there is little room."""

import re

import pytest
from PySide6.QtGui import QFontMetricsF, QPainter

from studiotimer.window import theme
from studiotimer.window.set import buttons
from studiotimer.window.set.buttons import CallButton, elided


@pytest.mark.parametrize("words", ["blood orange", "12 in for 11", "11, 12, 13", "Three flavours in coupes"])
def test_words_go_as_far_as_there_is_room_and_say_that_they_go_on(qtbot, words):
    """Every number that is shown is one of theirs, and not the beginning of one."""
    font = theme.font(13)
    metrics = QFontMetricsF(font)
    whole = metrics.horizontalAdvance(words)
    assert elided(words, font, whole + 1) == words
    lengths = []
    for room in range(20, int(whole)):
        shown = elided(words, font, room)
        assert shown.endswith("…")
        assert words.startswith(shown[:-1])
        assert metrics.horizontalAdvance(shown) < room + 1, "Qt rounds to whole pixels"
        assert set(re.findall(r"\d+", shown)) <= set(re.findall(r"\d+", words))
        lengths.append(len(shown))
    assert lengths == sorted(lengths)


@pytest.fixture
def written(monkeypatch):
    """The words that are drawn on buttons, in order."""
    words = []

    class Painter(QPainter):
        def drawText(self, *given):
            words.append(given[-1])
            super().drawText(*given)

    monkeypatch.setattr(buttons, "QPainter", Painter)
    return words


def test_a_name_of_two_words_is_not_cut_to_its_first(qtbot, written):
    button = CallButton("Pull")
    qtbot.addWidget(button)
    button.show_call("Pull", "blood orange", "P")
    button.resize(theme.TARGET, theme.TARGET)
    button.grab()
    assert written[:2] == ["P", "Pull"]
    assert re.fullmatch("blood o[rang]*…", written[2])


@pytest.mark.parametrize(
    ("title", "narrow"),
    [("Ice cleared", ["Ice", "cleared"]), ("Freezer door", ["Freezer", "door"]), ("Pull", ["Pull", "set"])],
)
def test_a_calls_name_that_is_too_long_for_its_line_takes_that_below_too(qtbot, written, title, narrow):
    button = CallButton(title)
    qtbot.addWidget(button)
    button.show_call(title, "set", "D")
    button.resize(theme.TARGET, theme.TARGET)
    button.grab()
    assert sorted(written[1:]) == sorted(narrow)
    written.clear()
    button.resize(3 * theme.TARGET, theme.TARGET)
    button.grab()
    assert written == ["D", title, "set"]
