"""Every control on every page names itself to a screen reader, and none is called as another beside it."""

from collections import Counter

import pytest
from PySide6.QtGui import QAccessible, QTextDocumentFragment
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractSlider,
    QComboBox,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QScrollArea,
    QScrollBar,
    QTextBrowser,
    QWidget,
)

from studiotimer.places import demo_sessions
from studiotimer.window.set.row_strip import RowStrip
from tests.window.prep_helpers import worked
from tests.window.test_set_page import forecast_after

CONTROLS = QAbstractButton | QAbstractSlider | QComboBox | QLineEdit | QPlainTextEdit | QTextBrowser | QScrollArea
HOT = demo_sessions() / "hot_tungsten"


def controls(page):
    return [
        widget
        for widget in page.findChildren(QWidget)
        if isinstance(widget, CONTROLS)
        and not isinstance(widget, QScrollBar)
        and not isinstance(widget.parentWidget(), QComboBox)
        and widget.isVisibleTo(page)
    ]


def rows_of(page):
    """Return what a reader says of each row in view of the page's lists."""
    names = []
    for strip in page.findChildren(RowStrip):
        told = QAccessible.queryAccessibleInterface(strip)
        if strip.isVisibleTo(page):
            assert strip.accessibleName()
            names += [told.child(at).text(QAccessible.Text.Name) for at in strip.in_view()]
    return names


def check(page, least, repeats=()):
    """Hold every control in view to a name, and to one that nothing else in view has."""
    found, rows = controls(page), rows_of(page)
    assert len(found) + len(rows) >= least
    assert [repr(widget) for widget in found if not widget.accessibleName()] == []
    assert all(rows)
    names = Counter([*(widget.accessibleName() for widget in found), *rows])
    assert {name: count for name, count in names.items() if count > 1 and name not in repeats} == {}
    for widget in found:
        told = QAccessible.queryAccessibleInterface(widget)
        assert told is not None
        assert told.role() != QAccessible.Role.NoRole
        if isinstance(widget, QAbstractButton | QAbstractSlider | QComboBox | QLineEdit):
            assert told.role() != QAccessible.Role.Client, widget.accessibleName()


def check_words(page):
    """Hold every label in view that names itself to saying its words too: a reader gets the name instead of them."""
    found = [one for one in page.findChildren(QLabel) if one.isVisibleTo(page) and one.accessibleName()]
    assert found
    words = [(one.accessibleName(), QTextDocumentFragment.fromHtml(one.text()).toPlainText()) for one in found]
    told = [(" ".join(name.split()), " ".join(said.split())) for name, said in words]
    assert [(name, said) for name, said in told if said not in name] == []


def test_start(window):
    check(window.start, 15)
    check_words(window.start)
    check(window.nav, 5)


@pytest.mark.parametrize("name", ["Sound", "Keys", "Learned", "Display", "Folders"])
def test_settings(window, name):
    window.settings_shown.ask("settings")
    panel = window.pages.part
    assert set(panel.sections) == {"Sound", "Keys", "Learned", "Display", "Folders"}
    panel.show_section(name)
    check(panel, 8)


def test_keys_as_a_page(window):
    window.settings_shown.ask("key_list")
    page = window.pages.part
    check(page, 50, repeats=("key shift: held", "key alt: held", "key Shift: held", "key Alt: held"))
    page.change_key("P")
    check(page, 50, repeats=("key shift: held", "key alt: held", "key Shift: held", "key Alt: held"))


def test_list_of_keys_and_help(shoot):
    for action in ("key_list", "how"):
        shoot.page.act(action)
        part = shoot.page.below.part
        assert part.accessibleName()
        check(part, 0)
        shoot.page.act(action)


def test_prep(qtbot, window):
    window.nav.plan()
    prep = window.nav.prep
    prep.open_plan(HOT / "plan.json")
    worked(qtbot, prep)
    check(prep, 60)
    prep.save_pdf()
    check(prep.bar, 4)


def test_wrap(qtbot, window):
    window.nav.go("wrap")
    wrap = window.nav.wrap
    check(wrap, 6)
    wrap.open_session(HOT / "hot_tungsten.setlog")
    qtbot.waitUntil(lambda: wrap.wrapped is not None, timeout=30_000)
    check(wrap, 8)
    wrap.turn()
    check(wrap, 8)
    check_words(wrap)


@pytest.mark.parametrize("kind", ["pull", "reading", "note", "top_up", "out", "hero_in", "shot", "move", "judge"])
def test_set_and_its_choices(qtbot, shoot, kind):
    for call in ("shot", "pull", "pull", "pull", *(("hero_in",) if kind == "out" else ())):
        shoot.running.call(call)
    forecast_after(qtbot, shoot)
    check(shoot.page, 15)
    shoot.page.calls.choose(kind, {})
    assert shoot.page.calls.choosing
    check(shoot.page.calls, 3)
    shoot.page.show_cautions()
    check_words(shoot.page)
