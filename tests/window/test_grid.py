"""One grid: where main blocks stand on every page, at three sizes of the window."""

import ast
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint
from PySide6.QtWidgets import QCheckBox, QFrame

from studiotimer.places import demo_sessions
from studiotimer.session.live import new_session
from studiotimer.window import theme
from studiotimer.window.flow import Scrolled
from studiotimer.window.main import MainWindow

SIZES = [(1280, 800), (1024, 640), (1920, 1080)]
WINDOW = Path(theme.__file__).parent


@pytest.fixture
def window(qtbot):
    made = MainWindow()
    qtbot.addWidget(made)
    made.show()
    yield made
    made.close()


def sides(window, widget):
    """Return where a widget begins, and how far its end is from the window's right side."""
    left = widget.mapTo(window, QPoint(0, 0)).x()
    return left, window.width() - left - widget.width()


def start(window):
    page = window.nav.start
    return page.life, page._beside


def prep(window):
    window.nav.plan()
    page = window.nav.prep
    page.open_plan(demo_sessions() / "hot_tungsten" / "plan.json")
    return page.sides.plan, page.sides.results


def wrap(window):
    window.nav.go("wrap")
    window.nav.wrap.open_session(demo_sessions() / "hot_tungsten" / "hot_tungsten.setlog")
    return (window.nav.wrap.head,) * 2


def settings(window):
    window.settings_shown.ask("settings")
    sheet = window.pages.part._sheet
    rules = (one for one in sheet.area.widget().findChildren(QFrame) if one.property("role") == "rule")
    return next(rules), None


def keys(window):
    window.settings_shown.ask("key_list")
    return (window.pages.part.board,) * 2


def opened(window, plan, session_path):
    window._run(new_session(session_path, plan))
    return (window.page.cue_label,) * 2


@pytest.mark.parametrize("page", [start, prep, wrap, settings, keys, opened], ids=lambda page: page.__name__)
def test_what_a_page_is_made_of_stands_on_the_grid(qtbot, window, plan, session_path, page):
    first, last = page(window, plan, session_path) if page is opened else page(window)
    for size in SIZES:
        window.resize(*size)

        def stands():
            assert sides(window, first)[0] == theme.MARGIN
            if last is not None:
                assert sides(window, last)[1] == theme.MARGIN

        qtbot.waitUntil(lambda size=size: window.width() == size[0], timeout=30_000)
        qtbot.waitUntil(stands, timeout=30_000)


def test_columns_stand_a_gutter_apart_and_the_rail_is_one(qtbot, window):
    life, rail = start(window)
    for size in SIZES:
        window.resize(*size)
        qtbot.waitUntil(lambda: sides(window, rail)[1] == theme.MARGIN and rail.width() == theme.RAIL, timeout=30_000)
        assert sides(window, rail)[0] - sides(window, life)[0] - life.width() == theme.GUTTER
    plan, results = prep(window)
    for size in SIZES:
        window.resize(*size)
        qtbot.waitUntil(lambda: sides(window, results)[1] == theme.MARGIN, timeout=30_000)
        assert plan.width() == theme.RAIL
        assert sides(window, results)[0] - sides(window, plan)[0] - plan.width() == theme.GUTTER


def test_titles_stand_at_one_height(qtbot, window):
    heights = set()
    for page in (prep, wrap):
        page(window)
        head = (window.nav.prep if page is prep else window.nav.wrap).head
        qtbot.waitUntil(lambda head=head: head.isVisible() and head.height() > 0, timeout=30_000)
        heights.add(head.title.mapTo(window, QPoint(0, 0)).y())
    for ask in ("settings", "key_list"):
        window.settings_shown.ask(ask)
        title = next(
            one for one in window.pages.part.findChildren(type(head.title)) if one.text() in ("Settings", "Keys")
        )
        qtbot.waitUntil(lambda title=title: title.isVisible() and title.height() > 0, timeout=30_000)
        heights.add(title.mapTo(window, QPoint(0, 0)).y())
    assert max(heights) - min(heights) <= 2, heights


def test_nothing_moves_when_a_bar_comes(qtbot, window):
    """A page that needs to scroll has its words where one that need not has them."""
    wrap(window)
    area = window.nav.wrap.findChild(Scrolled)
    window.resize(1280, 800)
    qtbot.waitUntil(lambda: area.verticalScrollBar().maximum() > 0, timeout=30_000)
    with_bar = area.viewport().width()
    window.resize(1280, 3000)
    qtbot.waitUntil(lambda: area.verticalScrollBar().maximum() == 0, timeout=30_000)
    qtbot.waitUntil(lambda: area.viewport().width() == with_bar, timeout=30_000)


def test_no_page_has_margins_of_its_own():
    """What is over a few pixels is one of the theme's; parts inside a page may be a little apart by a number."""
    most = 16
    for name in ("start", "navigation", "settings_shown", "prep/page", "prep/sides", "wrap/page", "wrap/session_parts",
                 "settings/settings_sheet", "settings/keys_page", "set/arrangement", "sight"):  # fmt: skip
        tree = ast.parse((WINDOW / f"{name}.py").read_text(encoding="utf-8"))
        for node in ast.walk(tree):
            if isinstance(node, ast.Call) and getattr(node.func, "attr", "") in ("setContentsMargins", "setSpacing"):
                numbers = [one.value for one in ast.walk(node) if isinstance(one, ast.Constant)]
                assert all(number < most for number in numbers if isinstance(number, int)), (name, node.lineno)


def test_a_box_that_is_on_shows_its_tick(qtbot, window):
    """By a style sheet alone it would be a coloured square: our own boxes draw the tick."""
    from studiotimer.window.prep.written_fields import Tick

    prep(window)
    boxes = window.nav.prep.findChildren(QCheckBox)
    assert boxes
    assert all(isinstance(box, Tick) for box in boxes)
