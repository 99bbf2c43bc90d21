"""The Wrap page as a person uses it: a demo opened, its frames given, selects marked, files written."""

import os
import re
import shutil
import threading
import time
from dataclasses import replace

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QFontMetricsF, QImage, QPainter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractScrollArea, QLineEdit, QStyleOptionViewItem

from studiotimer import units
from studiotimer.places import demo_copies, demo_sessions
from studiotimer.prep.loading import load_plan
from studiotimer.window import preview, theme
from studiotimer.window.flow import Scrolled
from studiotimer.window.places_kept import remember
from studiotimer.window.printing import Printer
from studiotimer.window.wrap.given import ZONES, keep_zone, zone_kept
from studiotimer.window.wrap.nothing import WORKING
from studiotimer.window.wrap.page import NO_SESSION
from studiotimer.window.wrap.timeline_paint import air_words
from studiotimer.working import settled
from studiotimer.wrap import work
from studiotimer.wrap.export import words_of
from studiotimer.wrap.findings import next_words
from studiotimer.wrap.frames import names_in
from studiotimer.wrap.marks import Marks, kept, list_of
from studiotimer.wrap.review import review_of
from studiotimer.wrap.zones import zone_named
from tests.wrap.shoots import COUPE, picture, story, write_session


@pytest.fixture(scope="module")
def reviews():
    """What happened in the sessions opened so far, by all that a review is made of; nothing changes one."""
    return {}


@pytest.fixture(autouse=True)
def reviewed_once(monkeypatch, reviews):
    """Many tests open one demo: what happened in it is worked out for the first of them."""

    def review(session, cues):
        made_of = (session.name, repr(session.plan), repr(session.ledger.told), session.doubts, session.zone)
        key = (*made_of, cues, units.shown_in())
        if key not in reviews:
            reviews[key] = review_of(session, cues)
        return replace(reviews[key], session=session)

    monkeypatch.setattr(work, "review_of", review)


@pytest.fixture
def demo(tmp_path):
    shutil.copytree(demo_sessions() / "calm_led", tmp_path / "calm_led")
    return tmp_path / "calm_led" / "calm_led.setlog"


@pytest.fixture
def page(window):
    window.nav.go("wrap")
    return window.nav.wrap


@pytest.fixture
def wrapped(qtbot, page, demo):
    """The page on the demo with its frames."""
    with qtbot.waitSignal(page.worked, timeout=30_000):
        assert page.open_session(demo) is None
    with qtbot.waitSignal(page.worked, timeout=30_000):
        assert page.frames_given(demo.parent / "frames") is None
    return page


def captions(page):
    return [line for each in page.head.figures for line in each]


def test_a_session_and_its_frames(wrapped, demo):
    count = len(list((demo.parent / "frames").glob("*.JPG")))
    assert wrapped.strip.frames.rowCount() == count
    assert f"{count} frames" in captions(wrapped)
    assert wrapped.head.title.text() == "Vanilla on slate"
    assert wrapped.message.isHidden()
    assert "Never sealed in" in wrapped.caution.text()
    assert wrapped.caution.isVisible()
    assert list(wrapped.best.look.parts) == ["crisp", "sheen"]


def test_a_key_marks_a_select_and_it_is_kept(qtbot, wrapped, demo):
    wrapped.strip.go_to(9)
    name = wrapped.strip.frames.frames[9].name
    with qtbot.waitSignal(wrapped.worked, timeout=30_000):
        QTest.keyClick(wrapped.strip, Qt.Key.Key_S)
    qtbot.waitUntil(lambda: kept(wrapped.path) == [name], timeout=10_000)
    assert names_in(demo.with_suffix(".selects.csv")) == [name]
    assert any(one.select for one in wrapped.wrapped.report.timeline.frames)
    assert "(1 select, 1 hero, " in wrapped.best.ages.words[0]
    with qtbot.waitSignal(wrapped.worked, timeout=30_000):
        QTest.keyClick(wrapped.strip, Qt.Key.Key_S)
    qtbot.waitUntil(lambda: kept(wrapped.path) == [], timeout=10_000)


def test_selects_kept_before_are_there_again(qtbot, page, demo):
    demo.with_suffix(".selects.csv").write_text("frame\r\nSLATE_0005.JPG\r\n")
    with qtbot.waitSignal(page.worked, timeout=30_000):
        page.open_session(demo)
    with qtbot.waitSignal(page.worked, timeout=30_000):
        page.frames_given(demo.parent / "frames")
    assert [frame.name for frame in page.strip.frames.frames if frame.select] == ["SLATE_0005.JPG"]


def test_while_a_first_session_is_worked_out_no_other_is_asked_for(qtbot, page, demo, tmp_path):
    page.nothing.open.setFocus()
    with qtbot.waitSignal(page.worked, timeout=30_000):
        page.open_session(demo)
        assert page.nothing.head.isVisible()
        assert page.nothing.head.text() == WORKING
        assert not page.nothing.open.isVisible()
    assert not page.nothing.isVisible()
    assert page.strip.frames.rowCount() == 0
    assert page.head.buttons["Add frames…"].hasFocus(), "the keys were in what went"
    broken = tmp_path / "broken"
    broken.mkdir()
    page.wrapped = None
    page.nothing.show()
    with qtbot.waitSignal(page.worked, timeout=30_000):
        page.frames_given(picture(broken / "a.jpg", "2026:06:16 09:30:00").parent)
    assert page.nothing.open.isVisible()


def test_frames_that_were_called_are_counted_before_pictures_come(qtbot, page, tmp_path):
    calls = ((0, "shot", COUPE), (20, "frame", {"name": "frame 1"}), (30, "frame", {"name": "frame 2"}))
    clips = ((40, "clip", {"name": "clip 1", "on": True}), (50, "clip", {"name": "clip 1", "on": False}))
    assert page.given.words.text() == "No frames yet"
    with qtbot.waitSignal(page.worked, timeout=30_000):
        page.open_session(write_session(tmp_path / "day.setlog", story(*calls, *clips)))
    assert page.given.words.text() == "2 frames called, no pictures yet"
    card = picture(tmp_path / "card" / "a.jpg", "2026:06:14 10:00:25", offset="+00:00").parent
    with qtbot.waitSignal(page.worked, timeout=30_000):
        page.frames_given(card)
    assert page.given.words.text() == "Frames of"
    with qtbot.waitSignal(page.worked, timeout=30_000):
        page.given.take_off(card)
    assert page.given.words.text() == "2 frames called, no pictures yet"


def test_what_is_said_is_in_view_wherever_the_page_was_scrolled_to(qtbot, window, wrapped, tmp_path):
    window.resize(1024, 640)
    wrapped.strip.setFocus()
    area = wrapped.findChild(Scrolled)
    area.verticalScrollBar().setValue(area.verticalScrollBar().maximum())
    qtbot.wait(30)
    assert area._place_of(wrapped.head).bottom() < 0
    wrapped.say("A sentence.")
    qtbot.waitUntil(lambda: area.viewport().rect().contains(area._place_of(wrapped.message)))


def test_a_demo_is_shown_from_its_findings_on(qtbot, window, page):
    window.resize(1280, 800)
    with qtbot.waitSignal(page.worked, timeout=30_000):
        page.nothing.demos["hot_tungsten"].click()
    qtbot.waitUntil(lambda: page.strip.frames.rowCount() > 100, timeout=30_000)
    qtbot.wait(50)
    bar = page.findChild(Scrolled).verticalScrollBar()
    assert bar.maximum() > 0
    assert bar.value() == 0


def test_small_pictures_come(qtbot, wrapped):
    frame = wrapped.strip.frames.frames[0]
    qtbot.waitUntil(lambda: wrapped.strip.picture(frame) is not None, timeout=20_000)
    assert wrapped.strip.picture(frame).width() > 100


def test_a_row_of_the_timeline_leads_to_its_frames(wrapped):
    wrapped.timeline.chosen.emit(4)
    row = wrapped.strip.currentIndex().row()
    assert [one.passage.stay.scoop for one in wrapped.strip.frames.frames[row].scoops] == [4]
    wrapped.timeline.chosen.emit(3)
    assert wrapped.message.text() == "No frame shows scoop 3."


def test_a_camera_without_a_zone_is_asked_and_then_matched(qtbot, page, demo, tmp_path):
    picture(tmp_path / "other" / "a.jpg", "2026:06:16 09:30:00")
    with qtbot.waitSignal(page.worked, timeout=30_000):
        page.open_session(demo)
    with qtbot.waitSignal(page.worked, timeout=30_000):
        page.frames_given(tmp_path / "other")
    assert page.message.text().startswith("A.jpg says 2026-06-16 09:30:00 without an offset from UTC")
    page.match_camera()
    page.camera.zone.setText("+02:00")
    with qtbot.waitSignal(page.worked, timeout=30_000):
        QTest.keyClick(page.camera.zone, Qt.Key.Key_Return)
    (frame,) = page.strip.frames.frames
    assert page.wrapped.review.session.ledger.wall_time(frame.at).isoformat() == "2026-06-16T07:30:00+00:00"
    assert page.camera.isHidden()


def test_what_the_cameras_line_takes_is_shown_whole(qtbot, wrapped):
    wrapped.match_camera()
    qtbot.wait(30)
    for way in range(wrapped.camera.way.count()):
        wrapped.camera.way.setCurrentIndex(way)
        for line in wrapped.camera.findChildren(QLineEdit):
            room = line.width() - 2 * 12
            assert QFontMetricsF(line.font()).horizontalAdvance(line.placeholderText()) <= room, line.placeholderText()


def test_the_zone_of_a_camera_is_asked_once_and_kept_with_its_session(qtbot, window, page, demo, tmp_path):
    picture(tmp_path / "other" / "a.jpg", "2026:06:16 09:30:00")
    keep_zone(demo, zone_named("+02:00"))
    with qtbot.waitSignal(page.worked, timeout=30_000):
        page.open_session(demo)
    with qtbot.waitSignal(page.worked, timeout=30_000):
        page.frames_given(tmp_path / "other")
    (frame,) = page.strip.frames.frames
    assert page.wrapped.review.session.ledger.wall_time(frame.at).isoformat() == "2026-06-16T07:30:00+00:00"
    page.match_camera()
    assert page.camera.zone.text() == "UTC+02:00"
    page.camera.zone.setText("Europe/Helsinki")
    with qtbot.waitSignal(page.worked, timeout=30_000):
        QTest.keyClick(page.camera.zone, Qt.Key.Key_Return)
    assert zone_kept(demo) == zone_named("Europe/Helsinki")
    other = shutil.copy(demo, tmp_path / "other.setlog")
    with qtbot.waitSignal(page.worked, timeout=30_000):
        page.open_session(other)
    page.frames_given(tmp_path / "other")
    qtbot.waitUntil(lambda: "without an offset from UTC" in page.message.text())
    page.match_camera()
    assert page.camera.zone.text() == "", "another session's camera is asked for anew"


@pytest.mark.parametrize("kept", ["nonsense", 3, ["x"], {"x": 3}, "U" * 90])
def test_a_zone_that_is_none_any_more_is_asked_for_again(page, tmp_path, kept):
    session = tmp_path / "a.setlog"
    remember(ZONES, {str(session): kept})
    assert zone_kept(session) is None
    remember(ZONES, kept)
    assert zone_kept(session) is None


def test_added_frames_are_taken_off_again(qtbot, wrapped, demo, tmp_path):
    picture(tmp_path / "card 2" / "b.jpg", "2026:06:16 09:30:00", offset="+02:00")
    shown = wrapped.strip.frames.rowCount()
    with qtbot.waitSignal(wrapped.worked, timeout=30_000):
        wrapped.frames_given(tmp_path / "card 2")
    assert [place.text() for place in wrapped.given.places] == ["frames  ✕", "card 2  ✕"]
    assert wrapped.given.isVisible()
    first, _ = wrapped.given.places
    with qtbot.waitSignal(wrapped.worked, timeout=30_000):
        QTest.keyClick(first, Qt.Key.Key_Return)
    assert wrapped.strip.frames.rowCount() < shown
    assert [place.text() for place in wrapped.given.places] == ["card 2  ✕"]
    with qtbot.waitSignal(wrapped.worked, timeout=30_000):
        wrapped.given.places[0].click()
    assert wrapped.given.words.text() == "No frames yet"
    assert wrapped.strip.frames.rowCount() == 0
    assert (tmp_path / "card 2" / "b.jpg").exists()


def test_a_pair_that_named_a_frame_goes_with_frames_that_are_taken_off(qtbot, wrapped, demo):
    name = wrapped.strip.frames.frames[0].name
    wrapped.strip.go_to(0)
    wrapped.match_camera()
    wrapped.camera.way.setCurrentIndex(1)
    wrapped.camera.value.setText(str(wrapped.wrapped.review.session.ledger.told[4].entry.n))
    with qtbot.waitSignal(wrapped.worked, timeout=30_000):
        QTest.keyClick(wrapped.camera.value, Qt.Key.Key_Return)
    assert wrapped.given.asked.pair[0] == name
    with qtbot.waitSignal(wrapped.worked, timeout=30_000):
        wrapped.given.places[0].click()
    assert wrapped.message.isHidden()


def test_the_report_is_shown_as_it_is_printed_and_comes_back(qtbot, wrapped, tmp_path, monkeypatch):
    monkeypatch.setattr(preview, "printers", lambda: [Printer("Studio laser", "Studio laser is paused.")])
    taken = []
    monkeypatch.setattr(preview, "print_on", lambda name, paper: taken.append(paper) or f"Sent to {name}.")
    units.show_in("US")
    try:
        with qtbot.waitSignal(wrapped.preview.shown, timeout=30_000):
            wrapped.head.buttons["Print…"].click()
    finally:
        units.show_in("metric")
    shown = wrapped.preview
    assert shown.isVisible()
    assert not wrapped.parts.isVisible()
    assert "of US Letter" in shown.about.text()
    assert len([page for page in shown.pages if page.isVisible()]) > 1
    qtbot.waitUntil(lambda: shown.trouble.text() == "Studio laser is paused.")
    shown.print_it.click()
    qtbot.waitUntil(lambda: wrapped.message.text() == "Sent to Studio laser.")
    assert wrapped.message.property("role") == "quiet", "what went well is no warning"
    assert (taken[0].noun, taken[0].title, taken[0].letter) == ("report", "Vanilla on slate", True)
    assert taken[0].content.shown[0].picture is not None, "the frames are printed too"
    shown.pdf.click()
    wrapped.bar.line.setText(str(tmp_path / "printed.pdf"))
    wrapped.bar.do.click()
    qtbot.waitUntil(lambda: wrapped.message.text() == f"The report is in {tmp_path / 'printed.pdf'}.", timeout=20_000)
    assert (tmp_path / "printed.pdf").read_bytes().startswith(b"%PDF")
    shown.pdf.click()
    wrapped.bar.line.setText(str(tmp_path / "printed.pdf" / "below.pdf"))
    wrapped.bar.do.click()
    qtbot.waitUntil(lambda: "cannot be written" in wrapped.message.text(), timeout=20_000)
    QTest.keyClick(shown.back, Qt.Key.Key_Escape)
    assert wrapped.parts.isVisible()
    assert not shown.isVisible()


def test_a_span_that_is_none_is_one_sentence(wrapped):
    wrapped.match_camera()
    wrapped.camera.value.setText("soon")
    QTest.keyClick(wrapped.camera.value, Qt.Key.Key_Return)
    assert wrapped.message.text().startswith("camera's clock: “soon”")
    assert not wrapped.camera.isHidden()


def test_stopping_keeps_what_was_shown(qtbot, wrapped, demo):
    count = wrapped.strip.frames.rowCount()
    wrapped.given.asked = wrapped.given.asked.__class__(frames=(demo.parent / "frames",))
    wrapped._aside.progressed.connect(lambda done, total: wrapped._aside.stop())
    with qtbot.waitSignal(wrapped.worked, timeout=30_000):
        wrapped._work()
        wrapped._aside.stop()
    assert wrapped.message.text() == "Stopped; what was shown before stays."
    assert wrapped.strip.frames.rowCount() == count


def test_the_report_and_the_next_plan(qtbot, wrapped, demo, tmp_path):
    with qtbot.waitSignal(wrapped.worked, timeout=30_000):
        wrapped.report_into(tmp_path / "out")
        assert not wrapped.progress.isHidden()
    assert wrapped.progress.isHidden()
    assert wrapped.message.text() == f"Written to {tmp_path / 'out'}."
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == [
        "frames.csv", "next_plan.json", "report.html", "report.pdf", "scoops.csv",
    ]  # fmt: skip
    with qtbot.waitSignal(wrapped.plan_wanted) as wanted:
        assert wrapped.plan_into(tmp_path / "next.json") is None
    assert wanted.args == [tmp_path / "next.json"]
    assert load_plan(tmp_path / "next.json").learned["premium"].sd < 0.2


def test_a_report_that_cannot_be_written_is_asked_for_again(qtbot, wrapped, demo):
    with qtbot.waitSignal(wrapped.worked, timeout=30_000):
        wrapped.report_into(demo / "inside a file")
    assert "cannot be written" in wrapped.message.text()
    assert not wrapped.bar.isHidden()
    assert wrapped.bar.line.text() == str(demo / "inside a file")


def test_a_report_that_is_stopped_leaves_nothing(qtbot, wrapped, tmp_path):
    asked = wrapped._aside.go_on

    def stopped(done, total):
        wrapped._aside.stop()
        return asked(done, total)

    wrapped._aside.go_on = stopped
    with qtbot.waitSignal(wrapped.worked, timeout=30_000):
        wrapped.report_into(tmp_path / "out")
    assert wrapped.message.text() == "Stopped; nothing was written."
    assert not (tmp_path / "out").exists()


def test_the_paper_is_letter_where_units_are_those_of_the_us(qtbot, wrapped, tmp_path):
    sizes = {}
    for style in ("metric", "US"):
        units.show_in(style)
        with qtbot.waitSignal(wrapped.worked, timeout=30_000):
            wrapped.report_into(tmp_path / style)
        sizes[style] = set(re.findall(rb"/MediaBox \[0 0 (\d+)", (tmp_path / style / "report.pdf").read_bytes()))
    assert sizes == {"metric": {b"842"}, "US": {b"792"}}


def test_the_clock_goes_on_while_the_report_is_written(qtbot, wrapped, tmp_path, monkeypatch):
    """Nothing of the report is made in the window's own thread."""
    threads = set()
    monkeypatch.setattr(
        "studiotimer.window.wrap.report_drawn.drawn_files",
        lambda _, letter: threads.add(threading.current_thread()) or {},
    )
    with qtbot.waitSignal(wrapped.worked, timeout=30_000):
        wrapped.report_into(tmp_path / "out")
    assert threads
    assert threading.main_thread() not in threads


def test_tables_and_side_by_side(qtbot, wrapped, demo):
    QTest.mouseClick(wrapped.tables_button, Qt.MouseButton.LeftButton)
    assert wrapped.tables.isVisible()
    assert not wrapped.strip.isVisible()
    assert "Forecast against seen" in wrapped.tables.toPlainText()
    assert "burns bare skin" in wrapped.tables.toPlainText()
    with qtbot.waitSignal(wrapped.worked, timeout=30_000):
        assert wrapped.compare_in(demo.parent) is None
    assert "Sessions compared: working time by mix and set" in wrapped.tables.toPlainText()
    assert wrapped.compare_in(demo) == f"{demo} is not a folder"


def test_nothing_open(page):
    for deed in (page.give_frames, page.match_camera, page.write_report, page.write_plan):
        page.say("")
        deed()
        assert page.message.text() in (
            "Open a session first.",
            "Give the frames first: a folder of pictures, or a list with a name and a time in each row.",
        )
    assert "there is no such file" in page.open_session(demo_sessions() / "none.setlog")


def test_findings_stand_first_and_what_comes_next_is_in_sight(wrapped):
    findings = wrapped.head.findings
    said = [line.text() for line in findings.lines if line.isVisible()]
    assert said[:1] == [wrapped.wrapped.report.findings[0]]
    assert all(each.endswith(".") for each in said)
    assert findings.next.text().endswith("the rest as it was")
    for part in (findings, *findings.lines, findings.next):
        assert part.mapTo(wrapped, part.rect().bottomLeft()).y() < wrapped.height()
    assert findings.mapTo(wrapped, findings.rect().topLeft()).y() < wrapped.timeline.mapTo(wrapped, QPoint()).y()


def test_what_comes_next_is_said_without_its_reasons():
    said = next_words(
        (
            "Coupe, three: time to lock 8:06, was 20:00: from its beginning to the last lock",
            "a watt of dry ice cools the set by 0.10 K, was 0.15 K: read beside the scoop",
            "gelato lasted 20 % shorter than forecast (−7 % from the mix, the rest from the set; 1 change seen)",
            "unchanged, superpremium: no change was called",
        )
    )
    assert said.split(" · ") == [
        "Coupe, three: time to lock 8:06, was 20:00",
        "a watt of dry ice cools the set by 0.10 K, was 0.15 K",
        "gelato lasted 20 % shorter than forecast",
        "the rest as it was",
    ]


def test_the_frames_at_the_best_age_are_marked_as_those_below(qtbot, wrapped):
    best = wrapped.best.strip
    found = next(one for one in wrapped.wrapped.report.ages if one.look == wrapped.best.look.key)
    first, last = found.start_s or 0.0, found.end_s or 1e9
    assert 1 <= best.frames.rowCount() <= best.width() // 100
    assert all(first <= frame.oldest.on_set_s <= last for frame in best.frames.frames)
    frame = best.frames.frames[0]
    best.setCurrentIndex(best.frames.index(0))
    with qtbot.waitSignal(wrapped.worked, timeout=30_000):
        QTest.keyClick(best, Qt.Key.Key_S)
    assert next(one for one in wrapped.strip.frames.frames if one.name == frame.name).select != frame.select
    wrapped.best.look.parts["sheen"].click()
    assert {frame.shot.look for frame in best.frames.frames} == {"sheen"}


@pytest.mark.parametrize("more", [{}, {"length_s": 5000.0}, {"length_s": 84.0, "of_series": 12}])
def test_all_that_a_frame_shows_is_read_under_its_picture(wrapped, more):
    """Drawn into its cell, and into one with room for anything: the words end where they end."""
    strip = wrapped.strip
    frames = strip.frames.frames
    longest = replace(max(frames, key=lambda frame: len(words_of(frame)[1])), select=False, **more)
    strip.show_frames([*frames, longest])
    row = len(frames)
    strip.frames.put(row, replace(longest, select=True))
    ends = []
    for height in (strip.cell.height(), 400):
        image = QImage(strip.cell.width(), height, QImage.Format.Format_RGB32)
        image.fill(Qt.GlobalColor.white)
        option = QStyleOptionViewItem()
        option.rect = image.rect()
        painter = QPainter(image)
        strip.itemDelegate().paint(painter, option, strip.frames.index(row))
        painter.end()
        white = image.pixel(0, 0)
        ends.append(max(y for y in range(height) if any(image.pixel(x, y) != white for x in range(image.width()))))
    assert ends[0] == ends[1] < strip.cell.height() - 2


def test_the_page_has_one_scroll_and_a_frame_far_below_comes_into_view(qtbot, wrapped):
    areas = [each for each in wrapped.findChildren(QAbstractScrollArea) if each.isVisible()]
    moving = [each for each in areas if each.verticalScrollBar().maximum() or each.horizontalScrollBar().maximum()]
    assert len(moving) == 1
    assert moving[0].isAncestorOf(wrapped.strip)
    assert moving[0].horizontalScrollBar().maximum() == 0
    last = wrapped.strip.frames.rowCount() - 1
    wrapped.strip.go_to(last)
    assert (
        not wrapped.strip.visibleRegion()
        .intersected(wrapped.strip.visualRect(wrapped.strip.frames.index(last)))
        .isEmpty()
    )
    wrapped.window().resize(1024, 640)
    qtbot.waitUntil(lambda: moving[0].horizontalScrollBar().maximum() == 0, timeout=30_000)
    write = wrapped.head.buttons["Write report…"]
    assert write.mapTo(wrapped, write.rect().topRight()).x() < wrapped.width()


def test_dark_while_a_session_runs(wrapped):
    wrapped.darken(True)
    wrapped.grab()
    assert wrapped.strip.colours is theme.DARK
    wrapped.darken(False)
    assert wrapped.strip.colours is theme.LIGHT


def test_from_the_window(qtbot, shoot, press):
    """F4 shows the open session's wrap, and F3 the set again; keys pressed meanwhile make no call."""
    press(shoot, Qt.Key.Key_K)
    press(shoot, Qt.Key.Key_P)
    entries = len(shoot.running.session.ledger.entries)
    shoot.nav.go("wrap")
    page = shoot.nav.wrap
    qtbot.waitUntil(lambda: page.wrapped is not None, timeout=30_000)
    assert shoot.nav.view == "wrap"
    assert "1 pull" in captions(page)
    press(shoot, Qt.Key.Key_P)
    assert len(shoot.running.session.ledger.entries) == entries
    shoot.nav.go("set")
    assert shoot.nav.view == "set"


def test_before_a_session_is_open_a_demo_shows_what_the_page_is_for(qtbot, page):
    shipped = {path: path.stat().st_mtime_ns for path in demo_sessions().rglob("*") if path.is_file()}
    assert page.nothing.isVisible()
    assert [name for name, each in page.head.buttons.items() if each.isVisible()] == ["Compare sessions…"]
    page.nothing.demos["calm_led"].setFocus()
    with qtbot.waitSignal(page.worked, timeout=30_000):
        page.nothing.demos["calm_led"].click()
    qtbot.waitUntil(lambda: page.strip.frames.rowCount() > 0, timeout=30_000)
    assert not page.nothing.isVisible()
    focus = page.window().focusWidget()
    assert focus.isVisible(), "the keys do not go with the button that had them"
    assert page.isAncestorOf(focus), "nor to another page's name in the strip"
    assert page.head.title.text() == "Vanilla on slate"
    assert all(each.isVisible() for each in page.head.buttons.values())
    assert demo_copies() in page.path.parents
    before = len(kept(page.path))
    assert before > 10
    with qtbot.waitSignal(page.selecting.stored, timeout=30_000):
        page.mark(3)
    page.nothing.demos["calm_led"].click()
    assert abs(len(kept(page.path)) - before) == 1
    assert {path: path.stat().st_mtime_ns for path in demo_sessions().rglob("*") if path.is_file()} == shipped


def test_a_demo_that_cannot_be_copied_is_said(qtbot, page):
    demo_copies().parent.mkdir(parents=True, exist_ok=True)
    demo_copies().write_text("a file stands where the folder should")
    page.nothing.demos["calm_led"].click()
    assert page.message.text().startswith("The demo cannot be copied to")
    assert page.nothing.isVisible()


def test_air_is_told_in_the_units_that_are_shown(qtbot, wrapped):
    try:
        units.show_in("US")
        assert air_words(4.0, 24.0) == "39 to 75 °F"
    finally:
        units.show_in("metric")
    assert air_words(4.0, 24.0) == "4 to 24 °C"
    assert air_words(4.0, 4.2) == "4 °C"


def test_while_another_session_is_worked_out_nothing_of_the_first_is_written(qtbot, wrapped, tmp_path):
    shutil.copytree(demo_sessions() / "hot_tungsten", tmp_path / "hot")
    assert wrapped.open_session(tmp_path / "hot" / "hot_tungsten.setlog") is None
    wrapped.write_report()
    assert not wrapped.bar.isVisible()
    assert wrapped.message.text() == NO_SESSION
    wrapped.mark(0)
    assert not list_of(wrapped.path).exists()
    qtbot.waitUntil(lambda: wrapped.wrapped is not None, timeout=30_000)


def test_a_second_card_is_added_and_marking_there_keeps_the_marks_of_the_first(qtbot, wrapped, demo, tmp_path):
    first = wrapped.strip.frames.rowCount()
    wrapped.mark(0)
    name = wrapped.strip.frames.frames[0].name
    shutil.copytree(demo.parent / "frames", tmp_path / "card 2")
    with qtbot.waitSignal(wrapped.selecting.stored, timeout=30_000):
        pass
    qtbot.waitUntil(lambda: not wrapped._aside.busy, timeout=30_000)
    with qtbot.waitSignal(wrapped.worked, timeout=30_000):
        wrapped.frames_given(tmp_path / "card 2")
    qtbot.waitUntil(lambda: len(wrapped.strip.frames.frames) == 2 * first, timeout=30_000)
    frames = wrapped.strip.frames.frames
    assert [one.name for one in frames if one.select] == [name]
    row = next(row for row, one in enumerate(frames) if one.name == f"card 2/{name}")
    with qtbot.waitSignal(wrapped.selecting.stored, timeout=30_000):
        wrapped.mark(row)
    assert kept(demo) == [name, f"card 2/{name}"]


def test_a_frame_marked_during_a_match_stays_marked(qtbot, wrapped, demo, tmp_path, monkeypatch):
    """The match has read the list already; the mark is made before its frames are shown."""
    shutil.copytree(demo.parent / "frames", tmp_path / "card 2")
    read, go = threading.Event(), threading.Event()
    real = wrapped._aside.go_on

    def held(done, total):
        read.set()
        assert go.wait(90)
        return real(done, total)

    asked = Marks.names
    monkeypatch.setattr(Marks, "names", lambda self: (asked(self), held(0, 1))[0])
    wrapped.frames_given(tmp_path / "card 2")
    assert read.wait(90)
    with qtbot.waitSignal(wrapped.selecting.stored, timeout=30_000):
        wrapped.mark(4)
    name = wrapped.strip.frames.frames[4].name
    assert kept(demo) == [name]
    count = wrapped.strip.frames.rowCount()
    go.set()
    qtbot.waitUntil(lambda: wrapped.strip.frames.rowCount() == 2 * count, timeout=30_000)
    assert [one.name for one in wrapped.strip.frames.frames if one.select] == [name]
    qtbot.waitUntil(lambda: not wrapped._aside.busy, timeout=30_000)
    qtbot.waitUntil(lambda: any(one.select for one in wrapped.wrapped.report.timeline.frames), timeout=30_000)
    assert len(wrapped.wrapped.frames) == 2 * count


def test_marks_made_as_the_page_closes_are_on_the_disk(wrapped, demo, monkeypatch):
    back, fsync = threading.Event(), os.fsync
    monkeypatch.setattr("studiotimer.files.os.fsync", lambda handle: (back.wait(250), fsync(handle)))
    for row in range(12):
        wrapped.mark(row)
    began = time.monotonic()
    wrapped.end()
    assert time.monotonic() - began < 90.0, "it waits for the disk"
    back.set()
    assert settled(90.0)
    assert len(kept(demo)) == 12
