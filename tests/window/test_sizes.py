"""Drawn larger than usual: every page can be read and reached with a quarter of the room."""

import pytest
from PySide6.QtCore import QPoint
from PySide6.QtWidgets import QAbstractButton, QApplication, QLabel, QPushButton, QScrollArea, QWidget

from studiotimer.places import demo_sessions
from studiotimer.session.live import new_session
from studiotimer.window import app, theme
from studiotimer.window.main import MainWindow
from studiotimer.window.settings.values import SIZES, Settings, load_settings, settings_file, size_kept
from tests.kept import save_settings
from tests.window.prep_helpers import worked

HOT = demo_sessions() / "hot_tungsten"
ROOM = {1.0: (1280, 800), 1.5: (853, 533), 2.0: (640, 400)}


@pytest.fixture(params=ROOM)
def drawn(request, monkeypatch, qtbot):
    """A window of 1280 x 800 on the screen, drawn so many times as large as usual."""
    monkeypatch.setattr(theme, "_zoom", request.param)
    monkeypatch.setattr(MainWindow, "_load_sounds", lambda self: None)
    window = MainWindow()
    qtbot.addWidget(window)
    window.resize(*ROOM[request.param])
    window.show()
    qtbot.waitActive(window)
    assert (window.width(), window.height()) == ROOM[request.param]
    yield window
    window.close_session()
    window.close()


def cut(page):
    """Return the words in view or to be scrolled to that do not fit where they stand."""
    QApplication.processEvents()
    found = []
    for widget in page.findChildren(QWidget):
        if not widget.isVisibleTo(page) or not isinstance(widget, QLabel | QPushButton) or not widget.text():
            continue
        if isinstance(widget, QLabel) and widget.wordWrap():
            fits = widget.heightForWidth(widget.width()) <= widget.height() + 1
        else:
            fits = widget.minimumSizeHint().width() <= widget.width() + 1 or widget.minimumWidth() == 1
            fits = fits and widget.fontMetrics().height() <= widget.height() + 1
        if not fits:
            found.append((widget.text(), widget.size().toTuple(), widget.minimumSizeHint().toTuple()))
    return found


def settled(qtbot, page):
    """Wait until nothing is cut: what is laid out anew takes a moment."""

    def nothing_is_cut():
        assert cut(page) == []

    qtbot.waitUntil(nothing_is_cut, timeout=5_000)


def unreachable(page):
    """Return what can be pressed and is neither in view nor in an area that scrolls to it."""
    found = []
    for button in page.findChildren(QAbstractButton):
        if not button.isVisibleTo(page):
            continue
        holder = button.parentWidget()
        while holder is not page.window() and not isinstance(holder, QScrollArea):
            holder = holder.parentWidget()
        room = holder.widget() if isinstance(holder, QScrollArea) else holder
        corner = button.mapTo(room, QPoint(0, 0))
        if not room.rect().adjusted(-2, -2, 2, 2).contains(button.rect().translated(corner)):
            found.append((button.accessibleName(), corner.toTuple(), button.size().toTuple(), room.size().toTuple()))
    return found


def test_start(qtbot, drawn):
    settled(qtbot, drawn.start)
    assert unreachable(drawn.start) == []
    settled(qtbot, drawn.nav)


def test_settings(qtbot, drawn):
    drawn.settings_shown.ask("settings")
    panel = drawn.pages.part
    for name in panel.sections:
        panel.show_section(name)
        settled(qtbot, panel)
        assert unreachable(panel) == [], name


def test_prep(qtbot, drawn):
    drawn.nav.plan()
    prep = drawn.nav.prep
    prep.open_plan(HOT / "plan.json")
    worked(qtbot, prep)
    for _ in range(2):
        settled(qtbot, prep)
        assert unreachable(prep) == []
        prep.other_side()


def test_prep_shows_one_side_where_only_one_has_room(qtbot, drawn):
    drawn.nav.plan()
    prep = drawn.nav.prep
    worked(qtbot, prep)
    narrow = theme.zoom() > 1
    assert prep.head.side.isVisible() == narrow
    assert prep.sides.plan.isVisible()
    assert prep.sides.results.isVisible() != narrow
    prep.head.side.click() if narrow else prep.other_side()
    assert prep.sides.results.isVisible()
    assert prep.sides.plan.isVisible() != narrow
    assert prep.view.isAncestorOf(QApplication.focusWidget())
    prep.other_side()
    assert prep.sides.plan.isVisible()
    assert prep.inputs.isAncestorOf(QApplication.focusWidget())


def test_wrap(qtbot, drawn):
    drawn.nav.go("wrap")
    wrap = drawn.nav.wrap
    settled(qtbot, wrap)
    assert unreachable(wrap) == []
    wrap.open_session(HOT / "hot_tungsten.setlog")
    qtbot.waitUntil(lambda: wrap.wrapped is not None, timeout=30_000)
    settled(qtbot, wrap.head)
    assert unreachable(wrap) == []


def test_the_set_page_fills_its_window_at_any_size(qtbot, drawn, plan, session_path, clock):
    drawn._run(new_session(session_path, plan, clock))
    for kind in ("shot", "pull", "pull", "pull", "hero_in"):
        clock.advance(20)
        drawn.running.call(kind)
    qtbot.waitUntil(lambda: drawn.running.forecast is not None, timeout=20_000)
    page = drawn.page
    page.refresh()
    QApplication.processEvents()
    zoom = theme.zoom()
    assert page.clock.figure_height * zoom >= 800 / 5
    assert page.cue_button.height() * zoom == pytest.approx(theme.TARGET, abs=2)
    assert page.cue_button.geometry().bottom() < page.height()
    for over, under in ((page.header, page.hero), (page.hero, page.cue_label), (page.cue_label, page.below)):
        assert over.geometry().bottom() <= under.geometry().top() + 2
    assert unreachable(page) == []


def test_the_size_holds_from_the_next_start(monkeypatch):
    monkeypatch.delenv(app.SCALE, raising=False)
    monkeypatch.setattr(theme, "_zoom", 1.0)
    save_settings(Settings(size=1.5))
    app.draw_larger(size_kept())
    assert (theme.zoom(), app.os.environ[app.SCALE]) == (1.5, "1.5")
    monkeypatch.setenv(app.SCALE, "1.25")
    app.draw_larger(2.0)
    assert app.os.environ[app.SCALE] == "2.5"
    assert SIZES[0] == 1.0
    assert theme.unzoomed(10.0) == 5.0


@pytest.mark.parametrize("asked", ["abc", "1,5", "0", "-2", "nan", "inf"])
def test_what_is_no_scale_factor_does_not_stop_the_start(monkeypatch, asked):
    monkeypatch.setattr(theme, "_zoom", 1.0)
    monkeypatch.setenv(app.SCALE, asked)
    app.draw_larger(1.5)
    assert app.os.environ[app.SCALE] == "1.5"


def test_damaged_settings_are_left_for_the_window_to_tell_of():
    settings_file().write_text('{"volume": 7}', encoding="utf-8")
    assert size_kept() == 1.0
    assert "volume cannot be 7" in load_settings()[1]


@pytest.mark.parametrize("drawn", [2.0], indirect=True)
def test_narrowing_keeps_the_side_that_is_worked_in(qtbot, drawn):
    drawn.resize(*ROOM[1.0])
    drawn.nav.plan()
    prep = drawn.nav.prep
    worked(qtbot, prep)
    prep.other_side()
    prep.focus_plan()
    field = QApplication.focusWidget()
    prep.sides.want(second=True)
    drawn.resize(850, 600)
    qtbot.waitUntil(lambda: prep.sides.narrow)
    assert prep.sides.plan.isVisible()
    assert QApplication.focusWidget() is field


@pytest.mark.parametrize("drawn", [1.0], indirect=True)
def test_the_strip_follows_the_windows_height(qtbot, drawn, plan, session_path, clock):
    drawn._run(new_session(session_path, plan, clock))
    drawn.resize(1920, 800)
    low = drawn.nav.height()
    drawn.resize(1920, 1200)
    qtbot.waitUntil(lambda: drawn.nav.height() > low)


@pytest.mark.parametrize("drawn", [2.0], indirect=True)
def test_what_has_the_keys_stays_in_view_when_the_window_shrinks(qtbot, drawn):
    drawn.resize(640, 900)
    drawn.start.light.setFocus()
    QApplication.processEvents()
    drawn.resize(640, 330)
    qtbot.waitUntil(lambda: not drawn.start.light.visibleRegion().isEmpty())


def test_prep_scrolls_as_one_page(qtbot, drawn):
    drawn.nav.plan()
    prep = drawn.nav.prep
    prep.open_plan(HOT / "plan.json")
    worked(qtbot, prep)
    areas = [each for each in prep.findChildren(QScrollArea) if each.isVisible()]
    assert areas == [prep.area]
    assert prep.area.isAncestorOf(prep.head) == (prep.height() < 560)
    qtbot.waitUntil(lambda: prep.area.verticalScrollBar().maximum() > 0)
    assert prep.area.horizontalScrollBar().maximum() == 0
