"""A shoot planned on the Prep page with keys and clicks."""

import datetime as dt
import json
import time

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from studiotimer.prep.loading import load_plan
from studiotimer.session.live import new_session
from studiotimer.thermal.charge import CAUTIONS
from studiotimer.window.theme import DARK, LIGHT
from tests.window.prep_fixtures import HOT
from tests.window.prep_helpers import (
    CTRL,
    CTRL_SHIFT,
    Keys,
    fact,
    field,
    needs_pdftotext,
    pdf_words,
    reveal,
    worked,
    write,
)

K = Qt.Key


@needs_pdftotext
def test_from_empty_to_a_printed_sheet_by_keyboard_alone(qtbot, window, tmp_path):
    began = time.monotonic()
    keys = Keys(qtbot)
    keys.tab_to("Plan the days before")
    keys.press(K.Key_Space)
    page = window.nav.prep
    assert keys.here is field(page, "title").editor
    keys.write("Invented pear cup")
    keys.tab_to("flavour 1, flavour")
    keys.write("pear")
    keys.tab_to("flavour 1, mix")
    keys.choose("sorbet")
    keys.press(K.Key_Return)
    assert keys.here is field(page, "flavours", 1, "name").editor
    keys.write("almond")
    keys.tab_to("shot 1, shot")
    keys.write("Cup from above")
    keys.tab_to("scoop 1, spot")
    keys.press(K.Key_Return)
    keys.tab_to("shot 1, light")
    keys.write("tungsten EV 11")
    keys.press(K.Key_P, CTRL)
    worked(qtbot, page)
    qtbot.waitUntil(lambda: page.stack.currentWidget() is page.preview)
    keys.tab_to("Save as PDF")
    keys.press(K.Key_Return)
    keys.write(str(tmp_path / "sheet.pdf"))
    keys.press(K.Key_Return)
    assert "Saved as" in page.message.text()
    read = pdf_words(tmp_path / "sheet.pdf")
    for word in ("Invented pear cup", "pear", "almond", "Cup from above", "sorbet", "Run sheet", "Who brings what"):
        assert word in read
    for shot in page.results.shots:
        assert (shot.iced or shot.plain).text in read
    assert all(caution.split(";")[0].split(",")[0] in read for caution in CAUTIONS)
    assert keys.pressed < 300
    assert time.monotonic() - began < 300
    page._saved = page.draft


def test_results_follow_what_is_written(qtbot, page):
    before = page.results.shots[0].plain.text
    shown = page.view.work.names[0].accessibleName()
    assert before in shown
    results = write(qtbot, page, ("room", "air"), "31 °C")
    assert results.plan.room.air_c == 31.0
    assert results.shots[0].plain.text != before
    assert results.shots[0].plain.text in page.view.work.names[0].accessibleName()
    pulls = fact(page, "pulls")
    write(qtbot, page, ("shots", 0, "takes"), "9")
    assert fact(page, "pulls") != pulls
    assert fact(page, "pulls") == str(page.results.pulls.value)


def test_nothing_is_worked_out_while_writing_and_the_page_says_so(qtbot, page):
    editor = field(page, "room", "air").editor
    editor.setFocus()
    editor.selectAll()
    for letter in "28 °C":
        qtbot.keyClicks(editor, letter)
        assert page.results is None
        assert "working it out" in page.head.about.text()
    worked(qtbot, page)
    assert "working it out" not in page.head.about.text()


def test_wrong_values_are_named_by_field_and_the_rest_goes_on(qtbot, hot):
    before = hot.results.shots[0].plain.text
    hot.inputs.draft["shots"][0]["light"] = "moonlight"
    hot.inputs.show_draft()
    results = write(qtbot, hot, ("room", "air"), "23 X")
    message = field(hot, "room", "air").message
    assert "“23 X” is not a temperature" in message.text()
    assert "Until then 24 °C counts" in message.text()
    assert message.isVisibleTo(hot)
    assert hot.explained.words.text() == message.text()
    assert hot.inputs.sections["Studio"].heading.wrong == "1 to mend"
    assert field(hot, "room", "air").editor.accessibleDescription() == message.text()
    assert "moonlight" in field(hot, "shots", 0, "light").message.text()
    assert "Room, air: “23 X”" in hot.view.notice.text()
    assert results.shots[0].plain.text == before
    results = write(qtbot, hot, ("carry",), "24 s")
    assert results.plan.carry_s == 24.0
    assert results.shots[0].plain.text != before
    write(qtbot, hot, ("room", "air"), "25 °C")
    assert not message.isVisibleTo(hot)
    assert hot.results.plan.room.air_c == 25.0


def test_a_past_day_is_said_at_the_date(qtbot, page):
    write(qtbot, page, ("date",), "2020-02-02")
    assert "is past" in field(page, "date").message.text()
    later = dt.date.today() + dt.timedelta(days=30)
    write(qtbot, page, ("date",), later.isoformat())
    assert field(page, "date").message.text() == ""


def test_each_figure_unfolds_how_it_was_found_with_its_source(qtbot, hot):
    figures = hot.view.figures
    shown = [cell for cell in figures.cells if cell.isVisibleTo(hot)]
    assert len(shown) == len(figures._shown) >= 5
    for cell in shown:
        cell.setFocus()
        qtbot.keyClick(cell, K.Key_Space)
        assert figures.how.isVisibleTo(hot)
        assert "Source: " in figures.how.text
        assert "unfolded" in cell.accessibleName()
    qtbot.keyClick(shown[-1], K.Key_Space)
    assert not figures.how.isVisibleTo(hot)
    hot.view.work.link.click()
    assert hot.results.shots[0].frames_fit.how in hot.view.work.how.text


def test_a_shot_that_cannot_work_says_what_helps_most(qtbot, hot):
    write(qtbot, hot, ("shots", 0, "frames"), "90")
    shot = hot.results.shots[0]
    assert not shot.works
    said = hot.view.work._verdicts[0]
    assert said.isVisibleTo(hot)
    assert shot.tried[0].what in said.text()
    works = hot.view.work._told[1]
    assert not works.isVisibleTo(hot)
    hot.view.work.names[1].click()
    assert works.property("role") == "quiet"
    assert works.text().startswith("Foot ")


def test_cautions_stand_wherever_dry_ice_is_shown(qtbot, hot):
    assert all(caution in hot.view.cautions.text() for caution in CAUTIONS)
    assert hot.view.short.isVisibleTo(hot)
    field(hot, "dry_ice", "holding_box").editor.click()
    write(qtbot, hot, ("dry_ice", "target_air"), "")
    assert hot.results.ice is None
    assert not hot.view.short.isVisibleTo(hot)
    assert not hot.view.cautions.isVisibleTo(hot)
    assert not any("dry ice" in cell.key.text() for cell in hot.view.figures.cells if cell.isVisibleTo(hot))


def test_flavours_and_shots_come_and_go_by_key(qtbot, hot):
    keys = Keys(qtbot)
    field(hot, "flavours", 2, "name").editor.setFocus()
    keys.press(K.Key_Delete, CTRL_SHIFT)
    worked(qtbot, hot)
    assert [flavour.name for flavour in hot.results.plan.flavours] == ["brown butter", "hazelnut"]
    assert [hero.flavour for hero in hot.results.plan.shots[0].heroes] == ["brown butter", "hazelnut"]
    keys.press(K.Key_Return, CTRL)
    keys.write("quince")
    worked(qtbot, hot)
    assert hot.results.plan.flavours[2].name == "quince"
    field(hot, "shots", 0, "name").editor.setFocus()
    keys.press(K.Key_Return, CTRL)
    keys.write("Third")
    worked(qtbot, hot)
    assert [shot.name for shot in hot.results.plan.shots] == ["Coupe, three flavours", "Coupe, running", "Third"]
    assert len(hot.view.work.names) == 3
    keys.press(K.Key_Delete, CTRL_SHIFT)
    worked(qtbot, hot)
    assert len(hot.results.plan.shots) == 2
    hot.inputs.choose_shot(0)
    while len(hot.inputs.shots.heroes.removes) > 1:
        hot.inputs.shots.heroes.removes[-1].click()
    worked(qtbot, hot)
    assert len(hot.results.plan.shots[0].heroes) == 1
    assert not hot.inputs.shots.heroes.removes[0].isEnabled()


def test_a_renamed_flavour_keeps_its_scoops(qtbot, hot):
    results = write(qtbot, hot, ("flavours", 1, "name"), "walnut")
    assert [hero.flavour for hero in results.plan.shots[0].heroes] == ["brown butter", "walnut", "blood orange"]
    assert field(hot, "shots", 0, "heroes", 1, "flavour").editor.currentText() == "walnut"


def test_a_mix_from_a_carton_label(qtbot, page, tmp_path):
    label = {"label": {"serving_ml": 100, "serving_g": 70, "fat_g": 9, "carbohydrate_g": 16, "protein_g": 3,
                       "total_sugars_g": 14}}  # fmt: skip
    (tmp_path / "plum.json").write_text(json.dumps(label), encoding="utf-8")
    (tmp_path / "bad.json").write_text("[", encoding="utf-8")
    before = page.results.freezers[0].setting.text
    form = page.inputs.flavours.forms[0]
    form.mixes.setCurrentIndex(form.mixes.count() - 1)
    form.mixes.activated.emit(form.mixes.count() - 1)
    keys = Keys(qtbot)
    keys.write(str(tmp_path / "bad.json"))
    keys.press(K.Key_Return)
    assert "not a JSON file" in page.message.text()
    keys.write(str(tmp_path / "plum.json"))
    keys.press(K.Key_Return)
    assert not page.bar.isVisible()
    worked(qtbot, page)
    assert form.mixes.currentText() == "carton label plum"
    assert page.results.plan.flavours[0].mix_name == "plum"
    assert page.results.freezers[0].setting.text != before


def test_own_tub(qtbot, page):
    page.inputs.sections["Tubs and pulls"].unfold(True)
    form = page.inputs.made("Tubs and pulls")[0]
    keys = Keys(qtbot)
    form.sizes.setFocus()
    keys.choose("own size")
    worked(qtbot, page)
    assert page.results.plan.tub.size is None
    write(qtbot, page, ("tub", "across"), "330 mm")
    assert page.results.plan.tub.across_m == pytest.approx(0.33)
    form.sizes.setFocus()
    keys.choose("pint")
    worked(qtbot, page)
    assert page.results.plan.tub.size == "pint"
    assert page.results.products[0].tubs.text.endswith("pint tub")


def test_who_brings_what_can_be_edited(qtbot, hot):
    editor = hot.view.checklist.lists["stylist"]
    editor.setFocus()
    qtbot.keyClicks(editor, "a second pair of tweezers")
    qtbot.keyClick(editor, K.Key_Return)
    worked(qtbot, hot)
    assert hot.results.plan.checklist["stylist"][0] == "a second pair of tweezers"
    assert "studio" in hot.results.plan.checklist
    hot.view.checklist.again.click()
    worked(qtbot, hot)
    assert hot.results.plan.checklist is None
    assert "a second pair of tweezers" not in editor.toPlainText()


def test_units_by_choice(qtbot, page):
    whole = worked(qtbot, page).shots[0].plain.value
    page.head.units.parts["US"].click()
    results = worked(qtbot, page)
    assert results.style == "US"
    assert "°F" in fact(page, "freezer")
    assert field(page, "room", "air").editor.text() == "71.6 °F"
    assert field(page, "width").editor.text() == "2.56 in"
    assert (page.draft["room"]["air"], page.draft["width"]) == ("22 °C", "65 mm")
    assert results.shots[0].plain.value == whole
    assert write(qtbot, page, ("width",), "2.5").plan.width_m == pytest.approx(0.0635)
    assert page.draft["width"] == "2.5 in"
    page.open_plan(HOT)
    worked(qtbot, page)
    before = [shot.plain.value for shot in page.results.shots]
    page.head.units.parts["US"].click()
    assert [shot.plain.value for shot in worked(qtbot, page).shots] == before


def test_a_date_in_numbers_is_shown_in_letters_before_it_counts(qtbot, page):
    line, keys = field(page, "date"), Keys(qtbot)
    reveal(page, line)
    line.editor.setFocus()
    before = page.draft["date"]
    keys.write("12/3/2031")
    assert line.message.text() == "Wed 12 Mar 2031: Enter takes it."
    assert page.draft["date"] == before
    keys.press(Qt.Key.Key_Return)
    assert page.draft["date"] == line.editor.text() == "2031-03-12"
    page.head.units.parts["US"].click()
    line.editor.setFocus()
    keys.write("12/3/2031")
    assert line.message.text() == "Wed 3 Dec 2031: Enter takes it."
    keys.press(Qt.Key.Key_Tab)
    assert page.draft["date"] == "2031-12-03"
    time = field(page, "call_time").editor
    time.setFocus()
    keys.write("7am")
    assert page.draft["call_time"] == "07:00"
    keys.press(Qt.Key.Key_Return)
    assert time.text() == "07:00"


def test_a_bare_number_of_the_other_system_asks_and_one_key_answers(qtbot, page):
    air, keys = field(page, "room", "air"), Keys(qtbot)
    reveal(page, air)
    air.editor.setFocus()
    keys.write("68")
    worked(qtbot, page)
    assert air.message.text().startswith("68 °C? F makes it °F.")
    keys.press(Qt.Key.Key_F)
    assert worked(qtbot, page).plan.room.air_c == pytest.approx(20.0)
    assert not air.message.isVisibleTo(page)
    wide = field(page, "width")
    reveal(page, wide)
    page.head.units.parts["US"].click()
    wide.editor.setFocus()
    keys.write("60")
    worked(qtbot, page)
    assert wide.message.text().startswith("60 in? M makes it mm.")
    keys.press(Qt.Key.Key_M)
    assert worked(qtbot, page).plan.width_m == 0.06


def test_the_plan_opens_on_the_set_page(qtbot, window, hot):
    hot.head.begin.click()
    worked(qtbot, hot)
    qtbot.waitUntil(lambda: window.running is not None)
    plan = load_plan(HOT)
    session = window.running.session
    assert window.pages.currentWidget() is window.page
    assert [shot.name for shot in session.plan.shots] == [shot.name for shot in plan.shots]
    assert [shot.look for shot in session.plan.shots] == ["crisp", "melt"]
    assert [one.name for one in session.plan.flavours] == ["brown butter", "hazelnut", "blood orange"]
    assert session.plan.pull_to_set_s == plan.pull_to_set_s
    state = window.running.state
    assert state.shot.name == "Coupe, three flavours"
    assert state.shot.look == "crisp"
    assert window.running.call("pull").refused is None
    assert window.running.state.scoops[1].flavour in session.plan.shots[0].heroes[0].flavour


def test_a_running_shoot_is_not_closed_by_one_press(qtbot, window, shoot, clock):
    window.nav.go("prep")
    page = window.nav.prep
    worked(qtbot, page)
    first = window.running.session.path
    page.head.begin.click()
    assert "is open: press once more" in page.message.text()
    assert window.running.session.path == first
    page.head.begin.click()
    assert window.running.session.path != first
    assert window.pages.currentWidget() is window.page


def test_pages_go_by_their_keys_and_the_set_page_keeps_its_own(qtbot, window, shoot, press):
    assert window.nav.prep is None
    press(window, K.Key_F2)
    page = window.nav.prep
    assert window.pages.currentWidget() is page
    worked(qtbot, page)
    assert [shot.name for shot in page.results.plan.shots] == ["coupe", "sundae"]
    assert page._colours is DARK
    before = len(window.running.session.ledger.entries)
    editor = field(page, "title").editor
    editor.setFocus()
    qtbot.keyClicks(editor, "kph")
    assert len(window.running.session.ledger.entries) == before
    assert window.nav.clock.isVisible()
    assert window.nav.clock.text()
    press(window, K.Key_F3)
    assert window.pages.currentWidget() is window.page
    press(window, K.Key_K)
    assert window.running.session.ledger.entries[-1].kind == "shot"
    page._saved = page.draft


def test_a_key_bound_to_a_call_stays_with_the_call(qtbot, window, plan, session_path, clock, press):
    window.kept.bind("hold", "F2")
    window._run(new_session(session_path, plan, clock))
    press(window, K.Key_F2)
    assert window.pages.currentWidget() is window.page
    assert window.running.session.ledger.entries[-1].kind == "hold"


def test_light_by_day_and_dark_beside_a_session(qtbot, window, page, plan, session_path, clock):
    assert page._colours is LIGHT
    window._run(new_session(session_path, plan, clock))
    window.nav.go("prep")
    assert page._colours is DARK


def test_a_plan_file_opens_in_the_window(qtbot, window):
    window.open_file(HOT)
    page = window.nav.prep
    worked(qtbot, page)
    assert page.path == HOT
    assert page.head.title.text() == "Three in a coupe"
    assert QApplication.focusWidget() is not None


def test_nothing_is_printed_begun_or_saved_of_a_plan_that_is_partly_wrong(qtbot, hot, tmp_path):
    field(hot, "date").editor.selectAll()
    qtbot.keyClicks(field(hot, "date").editor, "friday")
    begun = []
    hot.begun.connect(begun.append)
    for deed in (hot.head.begin, hot.head.print, hot.head.save):
        deed.click()
        qtbot.waitUntil(lambda: hot.message.text().startswith("First mend what cannot be used: date"), timeout=20_000)
        assert hot.stack.currentIndex() == 0
        hot.say("")
    assert begun == []


def test_steps_of_dressing_are_written_and_a_sauce_is_advised(qtbot, page):
    step = ("shots", 0, "steps", 0)
    page.inputs.shots.steps.more.click()
    worked(qtbot, page)
    assert QApplication.focusWidget() is field(page, *step, "what").editor
    assert not field(page, "shots", 0, "dressing").isEnabled()
    write(qtbot, page, (*step, "what"), "caramel")
    results = write(qtbot, page, (*step, "temperature"), "30 °C")
    assert results.shots[0].sauces[0].text.startswith("caramel: pour it at ")
    write(qtbot, page, (*step, "temperature"), "200 °C")
    assert field(page, *step, "temperature").message.text().startswith("200 °C is not possible; give −20 to 110 °C.")
    page.inputs.shots.steps.removes[0].click()
    worked(qtbot, page)
    assert page.draft["shots"][0]["steps"] == []
    assert field(page, "shots", 0, "dressing").isEnabled()


@pytest.fixture
def us_plan(tmp_path):
    """The file of a plan that was written in US units."""
    plan = {
        "title": "Pint", "date": "2031-05-06", "width": "2.5 in", "edge": "0.05 in",
        "room": {"air": "75 °F", "volume": "7000 ft3"}, "delivered": "0 °F", "freezer": "7 °F",
        "dry_ice": {"box": "-40 °F"}, "flavours": [{"name": "plum"}],
        "shots": [{"name": "one", "heroes": [{"flavour": "plum"}]}],
    }  # fmt: skip
    path = tmp_path / "plan.json"
    path.write_text(json.dumps(plan), encoding="utf-8")
    return path


def test_a_plan_opened_shows_its_units_and_the_switch_marks_them(qtbot, page, us_plan):
    parts = page.head.units.parts
    marked = lambda: [style for style, part in parts.items() if part.isChecked()]  # noqa: E731
    assert [part.text() for part in parts.values()] == ["°C, kg", "°F, lb"]
    assert marked() == ["metric"]
    assert page.open_plan(us_plan) is None
    assert marked() == ["US"] == [worked(qtbot, page).style]
    assert field(page, "room", "air").editor.text() == "75 °F"
    parts["US"].click()
    assert marked() == ["US"]
    assert page.open_plan(HOT) is None
    assert marked() == ["metric"] == [worked(qtbot, page).style]
    assert not page.changed


def test_a_plan_opened_beside_a_session_leaves_the_units_of_the_set(qtbot, shoot, page, us_plan):
    page.open_plan(us_plan)
    assert worked(qtbot, page).style == "metric"
