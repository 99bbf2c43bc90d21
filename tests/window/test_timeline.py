"""The timeline drawn: everything is in it, the same on screen, SVG and PDF; zoom, pan and hover tell the truth."""

import re
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import UTC, datetime
from itertools import pairwise

import pytest
from PySide6.QtCore import QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import QColor, QImage, QPainter
from PySide6.QtTest import QTest

from studiotimer.places import demo_sessions
from studiotimer.prep.looks import STAGES
from studiotimer.window import theme
from studiotimer.window.paper import paper_font
from studiotimer.window.ribbon import STAGE_COLOURS
from studiotimer.window.wrap.report_drawn import _body, _head, drawn_files, framed, report_pdf, timeline_svg
from studiotimer.window.wrap.timeline_marks import legend
from studiotimer.window.wrap.timeline_paint import (
    AXIS,
    CALLS,
    LABEL,
    LEGEND,
    SHOTS,
    TRACK,
    Frame,
    full_height,
    paint_timeline,
    ticks,
    tracks_of,
)
from studiotimer.window.wrap.timeline_view import TimelineView
from studiotimer.window.wrap.view import ROW, View
from studiotimer.wrap.export import Asked, export
from studiotimer.wrap.recorded import load
from studiotimer.wrap.review import review_of
from studiotimer.wrap.timeline import Span, Timeline, timeline_of
from tests.window.timelines import large


@pytest.fixture(scope="module")
def demo() -> Timeline:
    return timeline_of(review_of(load(demo_sessions() / "hot_tungsten" / "hot_tungsten.setlog")))


@pytest.fixture
def view(qtbot, demo):
    view = TimelineView()
    qtbot.addWidget(view)
    view.resize(1200, 620)
    view.show_timeline(demo)
    view.show()
    return view


def picture(timeline, view, width=1200, height=620):
    image = QImage(width, height, QImage.Format.Format_RGB32)
    image.fill(QColor(theme.LIGHT.ground))
    painter = QPainter(image)
    paint_timeline(painter, QRectF(0, 0, width, height), timeline, view, theme.LIGHT)
    painter.end()
    return image


def test_stages_have_one_name_everywhere():
    assert tuple(STAGE_COLOURS) == STAGES


def test_every_stage_is_drawn_where_it_was(qtbot, demo):
    whole = View.whole(demo)
    image = picture(demo, whole)
    frame = Frame(QRectF(0, 0, 1200, 620), demo, whole)
    seen = set()
    for index, row in enumerate(demo.rows):
        for span in row.stages:
            x = (frame.x(span.start) + frame.x(span.end)) / 2
            box = frame.row_box(index)
            if frame.x(span.end) - frame.x(span.start) < 6 or span.words in ("edges gone", "dripping", "slumped"):
                continue
            assert image.pixelColor(round(x), round(box.top() + 5)).name() == QColor(STAGE_COLOURS[span.words]).name()
            seen.add(span.words)
    assert {"frosted", "matte", "sheen"} <= seen


def test_stages_that_are_one_grey_in_print_are_parted(qtbot, demo):
    """Matte and sheen are as light as one another: where one begins there is a line of the page's own light."""
    whole = View.whole(demo)
    grey = picture(demo, whole).convertToFormat(QImage.Format.Format_Grayscale8)
    frame = Frame(QRectF(0, 0, 1200, 620), demo, whole)
    parted = 0
    for index, row in enumerate(demo.rows):
        y = round(frame.row_box(index).top() + 5)
        seen = [frame.x(mark.at) for mark in row.looks]
        for before, after in pairwise(row.stages):
            x = frame.x(after.start)
            widths = [frame.x(span.end) - frame.x(span.start) for span in (before, after)]
            if (
                (before.words, after.words) != ("matte", "sheen")
                or min(widths) < 6
                or any(abs(x - s) < 4 for s in seen)
            ):
                continue
            light = [QColor(grey.pixel(round(x) + off, y)).lightness() for off in range(-4, 5)]
            assert max(light[2:7]) > max(light[0], light[-1]) + 10
            parted += 1
    assert parted >= 2


def test_what_comes_next_stands_on_the_first_page(qtbot):
    """Said before the picture of the day, on paper and in the page; all of it, with its reasons, is in the lists."""
    found = export(demo_sessions() / "hot_tungsten" / "hot_tungsten.setlog", Asked())
    report = found.report
    assert report.next_time.startswith("good pulls 9 in 13")
    assert report.next_time in _head(report, QSizeF(760.0, 500.0)).toPlainText()
    made = drawn_files(report)["report.html"].decode()
    assert made.index(report.next_time.split(" · ")[1]) < made.index("<svg")
    nothing = replace(report, lists=())
    assert "Next time" not in _head(nothing, QSizeF(760.0, 500.0)).toPlainText()


def test_hover_tells_what_is_there(view, demo):
    frame = Frame(QRectF(view.rect()), demo, view.view)
    number = next(index for index, row in enumerate(demo.rows) if row.number == 9)
    row = demo.rows[number]
    sheen = next(span for span in row.stages if span.words == "sheen")
    at = (sheen.start + sheen.end) / 2
    told = view.told_at(QPointF(frame.x(at), frame.row_box(number).center().y()))
    assert told.startswith(f"{demo.time_of_day(at):%H:%M:%S}  9 blood orange: on set, sheen")
    assert "since pull" in told
    ice = demo.top_ups[1]
    assert view.told_at(QPointF(frame.x(ice.at) + 1, frame.track_top(CALLS) + TRACK / 2)).endswith(ice.words)
    assert view.told_at(QPointF(frame.x(ice.at) + 40, frame.track_top(CALLS) + TRACK / 2)) == ""
    assert " °C" in view.told_at(QPointF(600, frame.track_top("air at the set") + TRACK / 2))
    assert view.told_at(QPointF(5, frame.row_box(number).center().y())) == "9 blood orange: got it"


def test_a_sauce_has_a_track_where_there_was_one(qtbot, view, demo):
    plain = full_height(demo)
    assert "sauce" not in Frame(QRectF(view.rect()), demo, view.view).tracks
    start = demo.start + 0.5 * (demo.end - demo.start)
    poured = replace(demo, pours=(Span(start, start + 90.0, "caramel poured on 1, runs 1:30"),))
    assert full_height(poured) == plain + TRACK
    view.show_timeline(poured)
    frame = Frame(QRectF(view.rect()), poured, view.view)
    y = frame.track_top("sauce") + TRACK / 2
    told = view.told_at(QPointF(frame.x(start + 60.0), y))
    assert told == f"{poured.time_of_day(start):%H:%M:%S}  caramel poured on 1, runs 1:30"
    assert view.told_at(QPointF(frame.x(start) - 60, y)) == ""
    image = picture(poured, View.whole(poured))
    drawn = Frame(QRectF(0, 0, 1200, 620), poured, View.whole(poured))
    middle = image.pixelColor(round(drawn.x(start + 45.0)), round(drawn.track_top("sauce") + TRACK / 2))
    assert middle.name() == QColor(theme.LIGHT.text).name()


def test_zoom_keeps_the_moment_under_the_pointer(demo):
    whole = View.whole(demo)
    about = whole.start + 0.3 * (whole.end - whole.start)
    near = whole.zoomed(4.0, about)
    assert near.end - near.start == pytest.approx((whole.end - whole.start) / 4)
    assert (about - near.start) / (near.end - near.start) == pytest.approx(0.3)


def test_keys_zoom_and_move_and_never_leave_it(view, demo):
    whole = View.whole(demo)
    for key in (Qt.Key.Key_Plus, Qt.Key.Key_Plus, *[Qt.Key.Key_Right] * 200):
        QTest.keyClick(view, key)
    assert view.view.end == pytest.approx(whole.end)
    assert view.view.end - view.view.start == pytest.approx((whole.end - whole.start) / 1.25**2)
    for key in (Qt.Key.Key_Down, Qt.Key.Key_Down, *[Qt.Key.Key_Minus] * 9):
        QTest.keyClick(view, key)
    assert (view.view.start, view.view.end) == (pytest.approx(whole.start), pytest.approx(whole.end))
    QTest.keyClick(view, Qt.Key.Key_0)
    assert view.view.row == 28.0
    assert (view.view.top, view.view.end) == (0.0, pytest.approx(whole.end))


def test_a_click_chooses_a_scoop_and_a_drag_does_not(qtbot, view, demo):
    frame = Frame(QRectF(view.rect()), demo, view.view)
    point = frame.row_box(2).center().toPoint()
    with qtbot.waitSignal(view.chosen) as told:
        QTest.mouseClick(view, Qt.MouseButton.LeftButton, pos=point)
    assert told.args == [demo.rows[2].number]
    with qtbot.assertNotEmitted(view.chosen):
        QTest.mousePress(view, Qt.MouseButton.LeftButton, pos=point)
        QTest.mouseRelease(view, Qt.MouseButton.LeftButton, pos=point + QPointF(60, 0).toPoint())


def test_the_axis_names_round_times_of_day_far_enough_apart(demo):
    for view in (View.whole(demo), View.whole(demo).zoomed(30, 1200), View(0, 4 * 86400)):
        frame = Frame(QRectF(0, 0, 1200, 620), demo, view)
        named = list(ticks(frame))
        assert 3 <= len(named) <= 15
        assert all(b - a >= 76 / frame.per_second - 1e-6 for (a, _), (b, _) in pairwise(named))
        for at, words in named:
            assert f"{demo.time_of_day(at + 1e-3):%H:%M:%S}".startswith(words.split()[-1])


def test_the_svg_has_every_row_and_is_safe_in_a_page(qtbot, demo):
    text = timeline_svg(demo)
    assert text.startswith("<svg")
    for row in demo.rows:
        assert f"{row.number} {row.flavour}" in text
    assert ">notes<" in text
    assert "<script" not in text
    assert full_height(demo) == SHOTS + len(demo.rows) * ROW + len(tracks_of(demo)) * TRACK + AXIS + LEGEND
    for name in legend(demo):
        assert name in text


def test_a_shot_that_began_late_is_named_whole(qtbot):
    short = replace(large(4, 4, 10_000.0), shots=(Span(0.0, 9_600.0, "sandwich"), Span(9_600.0, 1e4, "slice on slate")))
    text = timeline_svg(short)
    assert ">slice on slate<" in text
    full = replace(short, shots=(Span(0.0, 9_600.0, "one long name " * 20), Span(9_600.0, 1e4, "slice on slate")))
    assert ">slice on slate<" not in timeline_svg(full), "it is written over the name before"


def test_the_shade_of_a_hold_is_explained_where_there_was_one(demo):
    held = large(4, 4)
    assert "on hold" in legend(held)
    assert "on hold" not in legend(replace(held, holds=()))


def test_the_drawings_of_a_page_share_no_id(qtbot, demo):
    text = timeline_svg(demo)
    ids = re.findall(r'\bid="([^"]+)"', text)
    assert ids
    assert all(one.startswith("timeline-") for one in ids)
    assert set(re.findall(r"url\(#([^)]+)\)", text)) <= set(ids)


def test_a_long_day_goes_over_several_pages(qtbot):
    demo = demo_sessions() / "calm_led"
    found = export(demo / "calm_led.setlog", Asked())
    short = report_pdf(found.report).count(b"/Type /Page\n")
    long = report_pdf(replace(found.report, timeline=large(90, 100))).count(b"/Type /Page\n")
    assert long >= short + 2


def test_tables_of_the_report_stand_whole_on_their_pages(qtbot):
    found = export(demo_sessions() / "hot_tungsten" / "hot_tungsten.setlog", Asked())
    for high in range(300, 560, 20):
        body = _body(found.report, QSizeF(780, high))
        layout, page = body.documentLayout(), body.pageSize().height()
        boxes = [layout.frameBoundingRect(one) for one in body.rootFrame().childFrames()]
        assert len(boxes) > 5
        for box in boxes:
            assert box.height() > page - 40 or int(box.top() // page) == int((box.bottom() - 1) // page), (high, box)


def test_a_select_is_outlined_and_its_picture_stands_clear(qtbot):
    blank = QImage(300, 200, QImage.Format.Format_RGB32)
    blank.fill(QColor("#888888"))
    plain, chosen = framed(blank, False), framed(blank, True)
    assert plain.size() == chosen.size()
    middle = plain.height() // 2
    edge = next(x for x in range(plain.width()) if plain.pixelColor(x, middle).name() == "#888888")
    assert plain.pixelColor(edge - 4, middle).lightness() > 240
    assert chosen.pixelColor(edge - 4, middle).lightness() < 60


def test_rows_beyond_the_view_are_not_drawn(qtbot):
    """Only what is in view costs anything: the first rows of 300 are drawn as those of 30."""
    frame = Frame(QRectF(0, 0, 1200, 620), large(300, 10), View(0, 3600))
    assert len(frame.rows_in_view()) <= 620 / ROW


def test_nothing_to_show(qtbot):
    empty = TimelineView()
    qtbot.addWidget(empty)
    empty.resize(600, 300)
    empty.show()
    assert empty.told_at(QPointF(300, 100)) == ""
    assert LABEL < 600


def test_the_same_report_gives_the_same_bytes_in_any_thread(qtbot):
    demo = demo_sessions() / "calm_led"
    found = export(demo / "calm_led.setlog", Asked(frames=(demo / "frames",)))
    made = replace(found.report, made=datetime(2031, 6, 1, 12, 0, tzinfo=UTC))
    first = drawn_files(made)
    with ThreadPoolExecutor(1) as aside:
        assert aside.submit(drawn_files, made).result() == first
    stamps = set(re.findall(rb"\(D:(\d{14})", first["report.pdf"]))
    stamps |= set(re.findall(rb'Date="([^"]+)"', first["report.pdf"]))
    assert stamps == {b"20310601120000", b"2031-06-01T12:00:00+00:00"}


def test_type_on_paper_leaves_the_screen_its_figures_of_one_width(qtbot):
    before = theme.font(23).featureTags()
    assert before
    assert paper_font(23).featureTags() != before
    assert theme.font(23).featureTags() == before
