"""The start page: what a scoop of the new shoot would go through, its colours, and what it offers."""

import os
from datetime import date, datetime, timedelta

import pytest
from PySide6.QtCore import QPoint, Qt, QTimer
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QLineEdit, QPushButton, QScrollArea, QVBoxLayout, QWidget

from studiotimer.mix_table import names
from studiotimer.places import demo_copies, sessions_folder
from studiotimer.prep.loading import load_plan
from studiotimer.prep.plan import quick_plan
from studiotimer.prep.windows import window_of
from studiotimer.session.live import new_session
from studiotimer.session.rehearsal import Rehearsal
from studiotimer.units import duration
from studiotimer.window import app, demo_rows, faults, theme
from studiotimer.window.demo_rows import DemoRows
from studiotimer.window.demos import demos
from studiotimer.window.hearing import Hearing
from studiotimer.window.life_preview import FAILED, FIGURE, NEVER, OVER, PAUSE_MS, LifePreview, foretold
from studiotimer.window.main import MainWindow
from studiotimer.window.navigation import ROOMY_SET
from studiotimer.window.prep.written_fields import first_editor
from studiotimer.window.recent import called
from studiotimer.window.ribbon import RibbonView, stage_colour
from tests.conftest import PATIENCE_MS
from tests.window.prep_helpers import field


def said(qtbot, start, words):
    qtbot.waitUntil(lambda: words in f"{start.life.words.text()}: {start.life.plain.text()}", timeout=20_000)


def test_the_ribbon_shows_what_was_answered_as_prep_would(qtbot, window):
    start = window.start
    plan = quick_plan("vanilla", "premium", "crisp", 22.0, "LED 2000 lx")
    said(qtbot, start, f"in the crisp look: {window_of(plan, plan.shots[0], iced=True).text} after hero in")
    assert "vanilla" in start.life.ribbon.accessibleName()
    assert "window ends" in start.life.ribbon.accessibleName()
    assert "now" not in start.life.ribbon.accessibleName()


def test_the_ribbon_follows_the_answers(qtbot, window):
    start = window.start
    said(qtbot, start, "crisp")
    start.look.button(2).click()
    start.room.setText("30 °C")
    hot = quick_plan("vanilla", "premium", "melt", 30.0, "LED 2000 lx")
    said(qtbot, start, f"in the melt look: {window_of(hot, hot.shots[0], iced=True).text}")


@pytest.mark.parametrize("size", [(1280, 800), (1920, 1080)])
def test_the_page_has_one_figure_one_ribbon_one_strong_button_and_no_scroll(qtbot, window, size):
    start = window.start
    window.resize(*size)
    said(qtbot, start, "crisp")
    plan = quick_plan("vanilla", "premium", "crisp", 22.0, "LED 2000 lx")
    begins, ends = (getattr(window_of(plan, plan.shots[0], iced=True), one) for one in ("start_s", "end_s"))
    assert start.life.figure.text() == duration(ends - begins)
    strong = [one for one in start.findChildren(QPushButton) if one.isVisible() and one.property("role") == "main"]
    assert strong == [start.begin]
    assert len([one for one in start.findChildren(RibbonView) if one.isVisible()]) == 1
    for area in start.findChildren(QScrollArea):
        assert area.verticalScrollBar().maximum() == 0
        assert area.horizontalScrollBar().maximum() == 0


def test_the_figure_and_its_ribbon_grow_with_the_page_and_shrink_with_it(qtbot, window):
    """What is on the page ends in its last two fifths at every size, with the one button in sight."""
    start = window.start

    def size():
        return start.life.figure.font().pixelSize(), start.life.ribbon.height()

    def ends():
        return start.begin.mapTo(window, QPoint(0, start.begin.height())).y() / window.height()

    def seen():
        return 0.6 < ends() < 1.0 and not start.begin.visibleRegion().isEmpty()

    window.resize(1024, 640)
    said(qtbot, start, "crisp")
    qtbot.waitUntil(lambda: size()[0] == FIGURE and seen(), timeout=90_000)
    small = size()
    window.resize(1280, 800)
    qtbot.waitUntil(lambda: size()[0] > small[0] and seen(), timeout=90_000)
    usual = size()
    window.resize(1920, 1080)
    qtbot.waitUntil(lambda: size()[0] > usual[0] and size()[1] > usual[1] and seen(), timeout=90_000)
    window.resize(1024, 640)
    qtbot.waitUntil(lambda: size() == small and seen(), timeout=90_000)


def test_every_mix_of_the_table_is_offered(qtbot, window):
    mix = window.start.mix
    assert tuple(mix.itemData(number) for number in range(mix.count())) == names()


def test_a_light_is_offered_by_name(qtbot, window):
    start = window.start
    assert start.light.words[:4] == ("LED", "daylight", "HMI", "tungsten")
    start.light.take("HMI")
    assert start.light.text() == "HMI"
    qtbot.waitUntil(lambda: "HMI 6,000 lx as usual" in start.life.plain.text(), timeout=20_000)


def test_an_answer_that_cannot_be_is_named_in_the_ribbons_place(qtbot, window):
    start = window.start
    said(qtbot, start, "crisp")
    start.room.setText("warm")
    qtbot.waitUntil(lambda: "room" in start.life.ribbon.accessibleName(), timeout=20_000)
    assert start.life.words.text().strip() == ""
    assert window.running is None
    start.room.setText("22 °C")
    said(qtbot, start, "crisp")


def test_the_physics_waits_until_the_page_is_there(qtbot):
    life = LifePreview()
    qtbot.addWidget(life)
    life.show_plan(lambda: quick_plan("vanilla", "premium", "crisp", 22.0, "LED 2000 lx"))
    assert life._aside is None
    assert life._pause.isActive()
    assert life._pause.interval() == PAUSE_MS >= 200


def ground(page):
    return page.grab().toImage().pixelColor(3, page.height() - 3).name()


def test_light_by_day_and_dark_by_choice(qtbot, window):
    assert ground(window.start) == theme.LIGHT.ground.lower()
    window.kept.change("dark pages", colours="dark")
    assert ground(window.start) == theme.DARK.ground.lower()
    window.settings_shown.ask("settings")
    assert ground(window.pages.part) == theme.DARK.ground.lower()
    window.kept.undo()
    assert ground(window.pages.part) == theme.LIGHT.ground.lower()
    window.settings_shown.ask("settings")
    assert ground(window.start) == theme.LIGHT.ground.lower()


def test_a_new_shoot_is_kept_in_the_folder_that_was_chosen(qtbot, window, tmp_path):
    folder = tmp_path / "shoots"
    window.kept.change("sessions", sessions=str(folder))
    assert sessions_folder() == folder
    window.start.begin.click()
    assert window.running.session.path.parent == folder


def test_an_answer_is_asked_about_once_however_often_the_window_was_resized(qtbot, window, monkeypatch):
    for width in (1300, 1250, 1200, 1150):
        window.resize(width, 800)
    asked = []
    monkeypatch.setattr(window.start.life, "show_plan", asked.append)
    window.start.room.setText("25 °C")
    assert len(asked) == 1


def test_a_look_that_does_not_come_is_told_from_one_that_is_over():
    def told(room_c, light, look):
        plan = quick_plan("V", "premium", look, room_c, light).model_copy(update={"carry_s": 75.0})
        return foretold(lambda: plan).words

    assert told(60.0, "tungsten 100000 lx", "crisp") == OVER.format(look="crisp")
    assert told(-30.0, "none", "melt") == NEVER.format(look="melt")


def test_a_fault_in_the_physics_takes_the_old_words_away(qtbot, window, monkeypatch):
    said(qtbot, window.start, "crisp")

    def broken(plan):
        raise KeyError("made to fail")

    monkeypatch.setattr("studiotimer.prep.windows.life_of", broken)
    monkeypatch.setattr(faults, "_crew", faults._Crew())
    window.start.room.setText("26 °C")
    qtbot.waitUntil(lambda: FAILED in window.start.life.ribbon.accessibleName(), timeout=20_000)
    assert window.start.life.words.text().strip() == ""


class Counting(Hearing):
    """Says what it was asked about."""

    def __init__(self, *given):
        self.asked = []
        super().__init__(*given)

    def eventFilter(self, watched, event):
        self.asked.append(watched)
        return super().eventFilter(watched, event)


@pytest.mark.qt_log_ignore("propagateSizeHints")  # what the screenless platform says of a small window
def test_keys_are_heard_where_the_focus_is_and_nowhere_it_was(qtbot):
    """What once had the focus costs nothing more."""
    window, first, second = QWidget(), QLineEdit(), QLineEdit()
    qtbot.addWidget(window)
    column = QVBoxLayout(window)
    column.addWidget(first)
    column.addWidget(second)
    pressed = []
    hearing = Counting(window, lambda watched, event: pressed.append(watched) or True)
    with qtbot.waitActive(window):
        window.show()
        window.activateWindow()
    first.setFocus()
    qtbot.keyClick(first, Qt.Key.Key_P)
    second.setFocus()
    qtbot.keyClick(second, Qt.Key.Key_P)
    assert pressed == [first, second]
    hearing.asked.clear()
    first.setText("again")
    first.resize(300, 40)
    qtbot.wait(10)
    assert first not in hearing.asked
    window.setFocus()
    second.clearFocus()
    qtbot.keyClick(window, Qt.Key.Key_P)
    assert pressed[-1] is window
    assert hearing.parent() is window


@pytest.mark.parametrize("number", [0, 1])
def test_a_demo_is_planned_in_a_copy_for_a_day_to_come(qtbot, window, number):
    shipped = demos()[number].with_name("plan.json")
    before = shipped.read_bytes()
    button = window.start.demos.links[3 * number]
    assert button.text() == "Plan"
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    prep = window.nav.prep
    qtbot.waitUntil(lambda: prep.results is not None, timeout=20_000)
    plan = load_plan(shipped)
    assert prep.results.plan == plan.model_copy(update={"date": date.today() + timedelta(days=7)})
    assert field(prep, "date").message.text() == ""
    qtbot.keyClick(prep, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    qtbot.waitUntil(lambda: "Saved as" in prep.message.text(), timeout=20_000)
    assert demo_copies() in prep.path.parents
    assert shipped.read_bytes() == before


@pytest.mark.parametrize(
    ("name", "text", "words"),
    [
        ("plan.json", '{"title": "Pear cup"}', "Pear cup, a plan, 3 Mar, 04:05"),
        ("plan.json", '{"title": "A very long title of a very long day"}', "A very long title …, a plan, 3 Mar, 04:05"),
        ("plan.json", "[]", "plan"),
        ("torn.setlog", "no session", "torn, 3 Mar, 04:05"),
        ("gone.setlog", None, "gone"),
    ],
)
def test_what_was_opened_before_is_called_by_its_title_and_time(tmp_path, name, text, words):
    path = tmp_path / name
    if text is not None:
        path.write_text(text)
        at = datetime(2031, 3, 3, 4, 5).timestamp()
        os.utime(path, (at, at))
    assert called(path, 19) == words


def test_a_window_opened_on_a_session_makes_no_start_page(qtbot, monkeypatch, session_path, plan, clock):
    monkeypatch.setattr(MainWindow, "_load_sounds", lambda self: None)
    new_session(session_path, plan, clock).close()
    window = app.opened(session_path)
    qtbot.addWidget(window)
    assert window.isVisible()
    assert window.nav._start is None
    button = window.nav.buttons["set"]
    assert button.text() == ("Set  F3" if window.width() >= ROOMY_SET * theme.unzoomed(1.0) else "Set")
    drawn = button.grab().toImage()
    brightest = max(drawn.pixelColor(x, y).lightness() for x in range(drawn.width()) for y in range(drawn.height()))
    assert brightest > 200, "the page in view is named in light words on the dark strip"
    window.close()


def test_a_demo_is_watched_as_its_day_went_20_times_as_fast(qtbot, monkeypatch):
    monkeypatch.setattr(MainWindow, "_load_sounds", lambda self: None)
    window = app.opened()
    qtbot.addWidget(window)
    next(link for link in window.start.demos.links if link.text() == "Watch").click()
    qtbot.waitUntil(lambda: window.play is not None, timeout=30_000)
    assert isinstance(window.running.session, Rehearsal)
    assert window.running.session.speed == 20.0
    before = len(window.running.session.ledger.entries)
    window.play.to_next()
    qtbot.waitUntil(lambda: len(window.running.session.ledger.entries) > before, timeout=30_000)
    window.close()


def test_a_window_opened_on_a_plan_has_the_keys_in_it(qtbot, monkeypatch):
    monkeypatch.setattr(MainWindow, "_load_sounds", lambda self: None)
    window = app.opened(demos()[0].with_name("plan.json"))
    qtbot.addWidget(window)
    qtbot.waitActive(window)
    assert window.focusWidget() is first_editor(window.nav.prep.inputs)
    window.close()


def test_each_demo_says_what_it_is_like_and_shows_its_first_heros_life(qtbot, window):
    for demo, row in window.start.demos.rows.items():
        plan = load_plan(demo.with_name("plan.json"))
        qtbot.waitUntil(lambda row=row: bool(row.about.text().strip()), timeout=30_000)
        many = f"{len(plan.flavours)} flavour{'s' if len(plan.flavours) > 1 else ''}"
        assert row.about.text() == f"{plan.shots[0].light}, {plan.room.air_c:.0f} °C, {many}"
        life = foretold(lambda plan=plan: plan).ribbon
        assert row.life.accessibleName().startswith(f"life of {plan.flavours[0].name}: frosted, matte, sheen")
        picture = row.life.grab().toImage()
        starts = [*life.bands[0].starts, life.span]
        for stage, begins, ends in zip(life.bands[0].stages[1:3], starts[1:], starts[2:], strict=False):
            middle = round((begins + ends) / 2 / life.span * row.life.width())
            assert picture.pixelColor(middle, row.life.height() // 2) == QColor(stage_colour(stage)), stage


@pytest.mark.qt_log_ignore("propagateSizeHints")  # what the screenless platform says of a small window
def test_what_demos_are_like_is_not_worked_out_behind_another_page(qtbot, monkeypatch):
    asked, known = [], demo_rows.told(demos()[0])
    monkeypatch.setattr(demo_rows, "AFTER_MS", 0)
    monkeypatch.setattr(demo_rows, "told", lambda demo: asked.append(demo) or known)
    rows = DemoRows({})
    qtbot.addWidget(rows)

    def settled():
        told = []
        QTimer.singleShot(20, lambda: rows._aside.ask("last", lambda: None, told.append))
        qtbot.waitUntil(lambda: bool(told), timeout=PATIENCE_MS)

    rows.show()
    rows.hide()
    settled()
    assert asked == []
    first = rows.rows[demos()[0]]
    monkeypatch.setattr(first, "show_told", lambda _: rows.hide())
    rows.show()
    qtbot.waitUntil(rows.isHidden, timeout=PATIENCE_MS)
    settled()
    assert asked == demos()[:1]
    rows.show()
    qtbot.waitUntil(lambda: asked == demos(), timeout=PATIENCE_MS)
    rows.end()
