"""The keys as a page: the keyboard drawn with what each key means, changed by a click, searched by a word."""

import sys

import pytest
from PySide6.QtCore import QEvent, QLocale, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QScrollArea

from studiotimer.window.keys import DEFAULT_KEYS, KeyMap, action_words, digit_of
from studiotimer.window.settings.keyboard import GROUPS, group_of, usual_board
from studiotimer.window.settings.keys_page import KeysPage

K = Qt.Key


@pytest.fixture
def page(window):
    window.settings_shown.ask("key_list")
    assert isinstance(window.pages.part, KeysPage)
    return window.pages.part


def test_every_action_stands_in_one_group_and_every_grouped_one_exists():
    grouped = [action for group in GROUPS for action in group.actions]
    assert len(grouped) == len(set(grouped))
    assert set(grouped) <= set(DEFAULT_KEYS)


def test_each_key_says_what_it_means_in_the_tint_of_its_group(page):
    assert page.board.cap("P").accessibleName() == "key P: Pull"
    assert page.board.cap("D").accessibleName() == "key D: Top-up, with shift Ice cleared"
    assert page.board.cap("4").accessibleName() == "key 4: free"
    assert group_of("pull").name == "The line"
    shown = {action for cap in page.board.caps for action in cap.means}
    assert shown == set(DEFAULT_KEYS)


def test_the_keyboard_is_drawn_as_the_persons_letters_lie(qtbot, window, page):
    assert page.board.board == page.lying.currentData() == "QWERTY"
    for board, beside_tab, beside_shift in (("AZERTY", "A", "W"), ("QWERTZ", "Q", "Y"), ("QWERTY", "Q", "Z")):
        place = page.lying.findData(board)
        page.lying.setCurrentIndex(place)
        page.lying.activated.emit(place)
        assert window.kept.settings.keyboard == page.board.board == board
        rows = {cap.y(): [] for cap in page.board.caps}
        for cap in page.board.caps:
            rows[cap.y()].append((cap.x(), cap.name))
        upper, lower = (sorted(rows[y]) for y in (sorted(rows)[2], sorted(rows)[4]))
        assert upper[1][1] == beside_tab
        assert next(name for _, name in lower[1:] if name.isalpha()) == beside_shift
        assert {action for cap in page.board.caps for action in cap.means} == set(DEFAULT_KEYS)
        qtbot.mouseClick(page.board.cap("P"), Qt.MouseButton.LeftButton)
        assert list(page.rows) == ["pull"]


@pytest.mark.parametrize(
    ("language", "board"),
    [("en_US", "QWERTY"), ("de_DE", "QWERTZ"), ("fr_FR", "AZERTY"), ("fr_CH", "QWERTZ"), ("fr_CA", "QWERTY"),
     ("fr_BE", "AZERTY"), ("cs_CZ", "QWERTZ"), ("C", "QWERTY")],
)  # fmt: skip
def test_how_letters_lie_is_guessed_from_the_language(language, board):
    assert usual_board(QLocale(language)) == board


@pytest.mark.parametrize(
    ("system", "scan", "virtual", "digit"),
    [("linux", 10, 0, K.Key_1), ("linux", 19, 0, K.Key_0), ("linux", 24, 0, None), ("win32", 2, 0, K.Key_1),
     ("win32", 11, 0, K.Key_0), ("darwin", 1, 0x17, K.Key_5), ("darwin", 1, 0x00, None)],
)  # fmt: skip
def test_a_french_digit_means_its_digit_without_shift(monkeypatch, system, scan, virtual, digit):
    """The key writes "&" alone there; a key of that name that means something itself stays what it is."""
    monkeypatch.setattr(sys, "platform", system)
    typed = QKeyEvent(QEvent.Type.KeyPress, K.Key_Ampersand, Qt.KeyboardModifier.NoModifier, scan, virtual, 0, "&")
    assert digit_of(typed) == digit
    if digit == K.Key_1:
        assert KeyMap().action(typed) == ("lock:light", False)
        assert KeyMap().bound("pull", "&").action(typed) == ("pull", False)


def test_a_key_that_is_clicked_can_be_changed(qtbot, window, page):
    qtbot.mouseClick(page.board.cap("P"), Qt.MouseButton.LeftButton)
    row = page.rows["pull"]
    assert row.add.hasFocus()
    row.add.click()
    qtbot.keyClick(row.add, K.Key_F9)
    assert window.kept.keys.keys["pull"] == ("P", "F9")
    assert page.board.cap("F9").accessibleName() == "key F9: Pull"
    row.add.click()
    qtbot.keyClick(row.add, K.Key_S)
    assert page.message.text().startswith("The key S cannot mean both")
    page.undo.click()
    assert window.kept.keys.keys == DEFAULT_KEYS


def test_a_free_key_is_given_an_action(qtbot, window, page):
    qtbot.mouseClick(page.board.cap("4"), Qt.MouseButton.LeftButton)
    place = page.give.findText("Pull")
    page.give.setCurrentIndex(place)
    page.give.activated.emit(place)
    assert window.kept.keys.keys["pull"] == ("P", "4")
    assert list(page.rows) == ["pull"]


def test_what_is_searched_for_stands_out(qtbot, page):
    page.search.setText("lock")
    locks = {action for action in DEFAULT_KEYS if "lock" in action_words(action).casefold()}
    assert {action for action, (_, words) in page.lines.items() if words.isEnabled()} == locks
    assert page.board.cap("1").found
    assert not page.board.cap("P").found
    page.search.setText("")
    assert page.board.cap("P").found


def test_foot_switch_and_clicker_are_named_and_nothing_scrolls_sideways(window, page):
    assert "space, page down, Media Next" in page.rules.text()
    for size in ((1024, 640), (1280, 800), (1920, 1080)):
        window.resize(*size)
        for area in page.findChildren(QScrollArea):
            assert area.horizontalScrollBar().maximum() == 0, size


def test_back_shows_the_page_before(window, page):
    page.back.click()
    assert window.pages.part is None
