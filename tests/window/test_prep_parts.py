"""Parts of the Prep page as plain arithmetic and in use: axis, spots, lines, folds, reasons, messages, rows."""

import email
import math
from email.policy import default
from types import SimpleNamespace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication

from studiotimer.places import demo_sessions
from studiotimer.prep.draft import draft_of
from studiotimer.prep.loading import load_plan
from studiotimer.prep.plan import parse_plan, plan_text, today
from studiotimer.prep.shots import shots_of
from studiotimer.window.prep import summaries
from studiotimer.window.prep.axis import ARROW, CLEAR, WORDS, Axis, axis_of, beside
from studiotimer.window.prep.fitted import Fitted
from studiotimer.window.prep.prep_style import word_colours
from studiotimer.window.prep.spots import one_more, places
from studiotimer.window.theme import DARK, LIGHT, contrast
from studiotimer.wrap.carry import next_plan
from studiotimer.wrap.review import review_of
from tests.window.prep_fixtures import HOT
from tests.window.prep_helpers import CTRL_SHIFT, Keys, field, reveal, worked, write
from tests.wrap.shoots import COUPE, session

K = Qt.Key


def test_every_window_has_room_on_the_axis_with_its_words():
    shots = shots_of(load_plan(HOT))
    for width in (180.0, 240.0, 400.0, 900.0):
        axis = axis_of(shots, width)
        assert 2 <= len(axis.ticks) <= max(width // 64, 2) + 1
        for shot in shots:
            for ends in (shot.plain_s, shot.iced_s):
                bar = axis.bar(ends, "0:00 to 0:00")
                assert 0.0 <= bar.start <= bar.end <= 1.0
                left, right = bar.start * width, bar.end * width
                at = beside(left, right, 82.0, width)
                assert at >= right or at + 82.0 <= left, "words stand on their bar"


def test_words_have_room_beside_a_window_in_the_middle_of_a_narrow_axis():
    middle, brief = (153.0, 241.0), (0.0, 30.0)
    shots = [SimpleNamespace(plain_s=middle, iced_s=(253.0, 378.0)), SimpleNamespace(plain_s=brief, iced_s=None)]
    for width in (190.0, 200.0, 240.0, 400.0):
        axis = axis_of(shots, width)
        for ends in (middle, (253.0, 378.0), brief):
            bar = axis.bar(ends, "")
            left, right = bar.start * width, bar.end * width
            at = beside(left, right, WORDS - CLEAR, width)
            assert at >= right or at + WORDS - CLEAR <= left, (width, ends)


def test_a_window_that_ends_far_later_than_the_others_runs_out_of_the_axis():
    """A pint beside scoops: their windows are seen, its own runs out, with its words beside it."""
    shots = shots_of(load_plan(demo_sessions() / "three_gallon" / "plan.json"))
    for width in (180.0, 240.0, 400.0, 900.0):
        axis = axis_of(shots, width)
        bars = {shot.name: axis.bar(shot.iced_s, shot.iced.text) for shot in shots}
        assert [name for name, bar in bars.items() if bar.endless] == ["Pint with frost"]
        assert all(
            bar.end - bar.start > 0.15 for name, bar in bars.items() if name in ("Cone at the window", "Bar on slate")
        )
        pint = bars["Pint with frost"]
        at = beside(pint.start * width, pint.end * width, WORDS, width, ARROW)
        assert at >= pint.end * width + ARROW or width < 200.0


def test_no_window_and_one_that_does_not_end():
    axis = Axis(600.0, 120)
    assert axis.bar((math.nan, math.nan), "none").none
    endless = axis.bar((60.0, math.inf), "from 1:00, over 3 h")
    assert (endless.endless, endless.end) == (True, 1.0)
    assert axis.ticks[1] == (0.2, "2 min")


@pytest.mark.parametrize(
    ("spots", "more"),
    [
        (["centre"], ["left", "right"]),
        (["left", "right"], ["left", "middle", "right"]),
        (["cone"], ["cone", "left"]),
        (["left", "middle", "right"], ["left", "middle", "right", "spot 1"]),
    ],
)
def test_one_more_scoop_takes_the_usual_spots(spots, more):
    assert one_more(spots) == more


def test_spots_are_where_their_words_say_and_else_in_a_row():
    assert places(["left", "top", "right"]) == [(-1.0, 0.0), (0.0, -1.0), (1.0, 0.0)]
    assert places(["front left", "centre"]) == [(-1.0, 1.0), (0.0, 0.0)]
    assert places(["spot 1", "spot 2", "left"]) == [(-1.0, 0.0), (0.0, 0.0), (1.0, 0.0)]
    assert places(["cone"]) == [(0.0, 0.0)]


def test_sections_say_in_one_line_what_they_have(qtbot):
    draft = draft_of(load_plan(HOT))
    assert summaries.day(draft) == "Thu 18 Jun 2026 · 08:30"
    assert summaries.studio(draft) == "24 °C · 50 % · 220 m3"
    assert summaries.shot(draft, 1) == "melt · tungsten 6000 lx · 3 scoops · 1 × 20 frames"
    assert summaries.tubs(draft) == "5 L · 65 mm · 2 in 3 good"
    assert summaries.ice(draft) == "box -40 °C · 12 °C at the set · pellets"
    assert summaries.day({"date": "friday"}) == "friday"


def test_the_word_beside_a_shot_can_be_read():
    for colours in (LIGHT, DARK):
        for word in ("works", "short", "cannot"):
            assert contrast(*word_colours(word, colours)) >= 4.5, (colours.name, word)


def test_a_line_shows_whole_sentences_while_they_have_room(qtbot):
    line = Fitted("what is wrong", "danger")
    qtbot.addWidget(line)
    words = "“23 X” is not a temperature; write 22 °C. Until then 24 °C counts."
    line.setText(words)
    metrics = line.fontMetrics()
    line.resize(metrics.horizontalAdvance(words) + 2, 18)
    assert line.fitting == words
    line.resize(metrics.horizontalAdvance(words) - 20, 18)
    assert line.fitting == "“23 X” is not a temperature; write 22 °C"
    line.resize(60, 18)
    assert line.fitting.endswith("…")
    assert line.accessibleName() == f"what is wrong: {words}"


def test_what_is_wrong_moves_no_field(qtbot, hot):
    hot.inputs.sections["Studio"].unfold(True)
    watched = [field(hot, "room", "air"), field(hot, "room", "volume"), field(hot, "flavours", 2, "name")]
    QApplication.processEvents()
    before = [each.mapTo(hot.inputs, each.rect().topLeft()) for each in watched]
    write(qtbot, hot, ("room", "air"), "23 X")
    assert field(hot, "room", "air").message.isVisible()
    assert [each.mapTo(hot.inputs, each.rect().topLeft()) for each in watched] == before


def test_a_section_unfolds_by_key_and_by_click_and_return_goes_in(qtbot, hot):
    fold = hot.inputs.sections["Studio"]
    assert not fold.unfolded
    assert "24 °C" in fold.heading.accessibleName()
    fold.heading.setFocus()
    qtbot.keyClick(fold.heading, K.Key_Space)
    assert fold.unfolded
    qtbot.mouseClick(fold.heading, Qt.MouseButton.LeftButton)
    assert not fold.unfolded
    qtbot.keyClick(fold.heading, K.Key_Return)
    assert QApplication.focusWidget() is field(hot, "room", "air").editor


def test_a_click_on_a_fields_words_goes_into_the_field(qtbot, hot):
    """As one into the line does: all of it is taken, ready to be written over."""
    hot.inputs.sections["Studio"].unfold(True)
    for path in (("room", "humidity"), ("room", "air")):
        asked = field(hot, *path)
        reveal(hot, asked)
        qtbot.mouseClick(asked.words, Qt.MouseButton.LeftButton)
        assert QApplication.focusWidget() is asked.editor
        qtbot.waitUntil(lambda asked=asked: asked.editor.selectedText() == asked.editor.text() != "", timeout=5_000)


def test_a_section_is_made_when_it_is_first_unfolded_and_tab_goes_through_it(qtbot, hot):
    fold = hot.inputs.sections["Studio"]
    assert "Studio" not in hot.inputs.forms
    fold.heading.setFocus()
    qtbot.keyClick(fold.heading, K.Key_Space)
    keys = Keys(qtbot)
    for place in (("room", "air"), ("room", "humidity"), ("room", "volume")):
        keys.press(K.Key_Tab)
        assert keys.here is field(hot, *place).editor
    keys.press(K.Key_Tab)
    assert hot.inputs.sections["Flavours"].isAncestorOf(keys.here)
    assert not set(hot.inputs.forms) & {"Delivery", "Dry ice", "Timing", "Physics"}


def test_what_is_wrong_in_a_section_never_unfolded_is_said_in_its_heading_and_at_its_field(qtbot, hot):
    fold = hot.inputs.sections["Studio"]
    hot.draft["room"]["air"] = "23 X"
    hot._edited()
    worked(qtbot, hot)
    assert not fold.unfolded
    assert fold.heading.wrong == "1 to mend"
    fold.unfold(True)
    assert field(hot, "room", "air").message.text().startswith("“23 X” is not a temperature")


def test_the_field_that_has_the_keys_is_explained(qtbot, hot):
    asked = field(hot, "edge")
    reveal(hot, asked)
    asked.editor.setFocus()
    assert hot.explained.words.text() == "Edge: half the thickness of the ruffle; usual: 1.2 mm."
    assert "usual: 1.2 mm" in asked.words.text()
    assert "half the thickness" in asked.editor.toolTip()


def test_enter_adds_the_next_scoop_step_and_person(qtbot, page):
    keys = Keys(qtbot)
    field(page, "shots", 0, "heroes", 0, "spot").editor.setFocus()
    keys.press(K.Key_Return)
    heroes = page.draft["shots"][0]["heroes"]
    assert [hero["spot"] for hero in heroes] == ["left", "right"]
    page.inputs.sections["People and place"].unfold(True)
    page.inputs.made("People and place")[0].more.click()
    keys.press(K.Key_Return)
    assert [one["role"] for one in page.draft["people"]] == ["stylist", "photographer"]
    keys.press(K.Key_Delete, CTRL_SHIFT)
    assert [one["role"] for one in page.draft["people"]] == ["stylist"]
    worked(qtbot, page)


def test_the_reason_of_each_change_stands_in_one_list_and_at_its_field(qtbot, page, tmp_path):
    plan = load_plan(HOT)
    values = plan.model_dump(mode="json", exclude_none=True)
    values["carried"] = ["good pulls 9 in 12 (75 %), was 67 %", "premium lasted longer"]
    (tmp_path / "next.json").write_text(plan_text(parse_plan(values)), encoding="utf-8")
    assert page.open_plan(tmp_path / "next.json") is None
    worked(qtbot, page)
    said = page.inputs.carried.inside.text()
    assert said == "Good pulls 9 in 12 (75 %), was 67 %.\nPremium lasted longer."
    share = field(page, "good_share")
    assert share.explanation.startswith("Good pulls 9 in 12 (75 %), was 67 %. Good pulls: ")
    write(qtbot, page, ("good_share",), "1 in 2")
    assert not share.explanation.startswith("Good pulls 9")
    assert page.draft["carried"] == ["premium lasted longer"]


def test_every_reason_but_those_of_mixes_stands_at_a_field(qtbot, page, tmp_path):
    """A day on which everything was another than planned."""
    calls = [
        (0, "reading", {"what": "room_c", "value": 28.0}), (5, "reading", {"what": "humidity", "value": 0.71}),
        (10, "delivery", {"core_c": -12.0, "cartons": 1, "damage": "a lid open"}), (20, "shot", COUPE),
        *((900 + n, "lock", {"which": which, "on": True}) for n, which in enumerate(("light", "set", "camera"))),
        (910, "top_up", {"mass_kg": 2.0, "form": "pellets", "where": "set"}),
        (990, "reading", {"what": "air_c", "value": 10.0}),
    ]  # fmt: skip
    for number in range(1, 10):
        at = number * 1000
        calls += [
            (at, "pull", {"scoop": number, "flavour": "vanilla", "to": "tray"}),
            (at + 45, "hero_in", {"scoops": [number], "shot": "coupe"}),
            (at + 99, "look", {"scoop": number, "seen": "edges"}),
            (at + 120, "out", {"scoops": [number], "why": "gone"}),
        ]
    carried = next_plan(review_of(session(*calls)), today())
    (tmp_path / "next.json").write_text(plan_text(carried.plan), encoding="utf-8")
    assert page.open_plan(tmp_path / "next.json") is None
    worked(qtbot, page)
    forms = [form for title in page.inputs.sections for form in page.inputs.made(title)]
    at_fields = {field.reason for form in forms for field in form.all_fields()} - {""}
    others = [why for why in carried.changed if why not in at_fields]
    assert len(carried.changed) == 10
    assert [why.partition(" ")[0] for why in others] == ["premium"]
    lock = field(page, "shots", 0, "locks")
    assert lock.explanation.startswith("Time to lock of coupe 14:42, was 20:00: ")
    assert lock.words.text() == "time to lock ●"
    assert field(page, "dry_ice", "gain_k_per_w").words.text() == "cooling (K per W) (usual: 0.15) ●"
    page.inputs.choose_shot(1)
    assert field(page, "shots", 1, "locks").reason == ""


def test_messages_are_copied_and_saved_as_text_and_as_mail(qtbot, hot, tmp_path):
    write(qtbot, hot, ("title",), "Orchard")
    letter = hot.view.messages.letters["client"]
    letter.copy.click()
    assert QGuiApplication.clipboard().text() == letter.message.text
    assert "clipboard" in hot.message.text()
    keys = Keys(qtbot)
    for deed, suffix in ((letter.text, ".txt"), (letter.mail, ".eml")):
        deed.click()
        assert hot.bar.line.text().endswith(f"orchard-to-client{suffix}")
        keys.write(str(tmp_path / f"message{suffix}"))
        keys.press(K.Key_Return)
    assert (tmp_path / "message.txt").read_text(encoding="utf-8") == letter.message.text
    mail = email.message_from_bytes((tmp_path / "message.eml").read_bytes(), policy=default)
    assert mail["Subject"] == letter.message.subject
    assert "Call time 08:30" in mail.get_content()


@pytest.mark.parametrize("word", ["flavour", "scoop", "step"])
def test_what_is_added_by_a_click_is_in_view_with_the_keys(qtbot, window, page, word):
    window.resize(1280, 800)
    for title in ("The day", "People and place", "Studio"):
        page.inputs.sections[title].unfold(True)
    qtbot.wait(50)
    lists = {"flavour": lambda: page.inputs.flavours, "scoop": lambda: page.inputs.shots.heroes,
             "step": lambda: page.inputs.shots.steps}  # fmt: skip
    page.area.ensureWidgetVisible(lists[word]().more)
    qtbot.wait(50)
    before = page.area.verticalScrollBar().value()
    assert before > 0
    qtbot.mouseClick(lists[word]().more, Qt.MouseButton.LeftButton)
    qtbot.wait(50)
    assert lists[word]().isAncestorOf(here := QApplication.focusWidget())
    assert page.area._place_of(here).intersected(page.area.viewport().rect()) == page.area._place_of(here)
    assert abs(page.area.verticalScrollBar().value() - before) < 120, "the page is thrown away"
