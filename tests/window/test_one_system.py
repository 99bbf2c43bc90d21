"""Every page by day: one type scale, one kind of button, one strong button, one scroll, nothing that moves by itself."""

import re
from pathlib import Path

import pytest
from PySide6.QtWidgets import QAbstractScrollArea, QLabel, QLineEdit, QPlainTextEdit, QPushButton

import studiotimer.window
from studiotimer.places import demo_sessions
from studiotimer.window import theme
from studiotimer.window.life_preview import FIGURE, LARGEST_FIGURE
from tests.window.prep_helpers import worked

HOT = demo_sessions() / "hot_tungsten"
SCALE = {theme.SMALL, theme.BODY, theme.LARGE, theme.TITLE}
FIGURES = range(FIGURE, LARGEST_FIGURE + 1)
"""How large the start page's working time is: it grows with the window."""
PAGES = ("start", "prep", "wrap", "settings", "key_list")


@pytest.fixture(params=PAGES)
def shown(request, qtbot, window):
    """A page of the window with something on it."""
    name = request.param
    if name == "start":
        qtbot.waitUntil(lambda: window.start.life.words.text().strip() != "", timeout=30_000)
        return window.start
    if name == "prep":
        window.nav.plan()
        window.nav.prep.open_plan(HOT / "plan.json")
        worked(qtbot, window.nav.prep)
        return window.nav.prep
    if name == "wrap":
        window.nav.go("wrap")
        page = window.nav.wrap
        with qtbot.waitSignal(page.worked, timeout=30_000):
            assert page.open_session(HOT / "hot_tungsten.setlog") is None
        return page
    window.settings_shown.ask(name)
    return window.pages.part


def seen(page, kind):
    return [one for one in page.findChildren(kind) if one.isVisible()]


def named(one):
    return one.text() or one.accessibleName()


def test_a_page_is_of_the_one_system(shown):
    """Each page is made and filled once: that takes most of the time."""
    its_type_is_of_the_scale(shown)
    its_buttons_are_of_one_kind_and_one_of_them_is_strong(shown)
    it_has_one_scroll(shown)


def its_type_is_of_the_scale(shown):
    wrong = {
        (named(one), one.fontInfo().pixelSize())
        for kind in (QLabel, QPushButton, QLineEdit)
        for one in seen(shown, kind)
        if one.fontInfo().pixelSize() not in (FIGURES if one.property("role") == "display" else SCALE)
    }
    assert wrong == set()


def its_buttons_are_of_one_kind_and_one_of_them_is_strong(shown):
    plain = [one for one in seen(shown, QPushButton) if not one.property("role") or one.property("role") == "main"]
    buttons = [one for one in plain if type(one) is QPushButton]
    assert buttons
    assert {(named(one), one.height()) for one in buttons if one.height() != theme.BUTTON} == set()
    assert len([one for one in buttons if one.property("role") == "main"]) <= 1


def it_has_one_scroll(shown):
    def moves(area):
        return area.verticalScrollBar().maximum() > 0 or area.horizontalScrollBar().maximum() > 0

    scrolls = [one for one in seen(shown, QAbstractScrollArea) if moves(one) and not isinstance(one, QPlainTextEdit)]
    assert len(scrolls) <= 1
    assert all(one.horizontalScrollBar().maximum() == 0 for one in scrolls)


def strong(page):
    return [named(one) for one in seen(page, QPushButton) if one.property("role") == "main"]


@pytest.mark.parametrize("shown", ["prep", "wrap"], indirect=True)
def test_before_printing_the_strong_button_is_that_of_the_paper(qtbot, shown):
    of_page = strong(shown)
    (shown.preview_sheet if shown.accessibleName() == "Prep page" else shown.preview_report)()
    qtbot.waitUntil(shown.preview.isVisible, timeout=30_000)
    qtbot.waitUntil(lambda: len(strong(shown)) == 1 and strong(shown) != of_page, timeout=30_000)
    shown.preview.left.emit()
    qtbot.waitUntil(lambda: strong(shown) == of_page, timeout=30_000)


def test_before_a_session_the_wrap_page_has_one_way_to_open_one(window):
    window.nav.go("wrap")
    assert strong(window.nav.wrap) == ["Open a session"]
    assert not [one for one in seen(window.nav.wrap, QPushButton) if one.text() == "Open…"]


def test_nothing_moves_by_itself():
    """No motion anywhere, so none is left when the system asks for less."""
    moving = re.compile(r"Q(Property|Variant|Abstract)Animation|QGraphicsOpacityEffect|setAnimated\(True")
    folder = Path(studiotimer.window.__file__).parent
    found = [path.name for path in folder.rglob("*.py") if moving.search(path.read_text(encoding="utf-8"))]
    assert found == []
