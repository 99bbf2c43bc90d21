"""The keys as a page: the keyboard drawn with what each key means, changed by a click, searched by a word."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QScrollArea

from studiotimer.window.keys import DEFAULT_KEYS, action_words
from studiotimer.window.settings.keyboard import GROUPS, group_of
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
