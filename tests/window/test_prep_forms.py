"""The form of a flavour and a shot that is stacked, as the Prep page asks for them."""

from studiotimer import forms
from studiotimer.prep.draft import value_at
from studiotimer.window.lights import PULLED
from tests.window.prep_helpers import field, reveal, worked, write


def test_all_that_can_be_pulled_is_offered_and_explained(page):
    assert forms.names() == PULLED
    asked = field(page, "flavours", 0, "form")
    assert asked.editor.words == PULLED
    assert asked.editor.text() == "scoop"
    for name in PULLED:
        assert name in asked.explanation, name


def test_a_bar_is_cut_from_the_tub_and_lasts_its_own_time(qtbot, page):
    scoops = worked(qtbot, page)
    bars = write(qtbot, page, ("flavours", 0, "form"), "bar 20 x 60 x 100 mm")
    assert bars.plan.flavours[0].form == "bar 20 x 60 x 100 mm"
    assert bars.products[0].scoops_a_tub.text.endswith("bars")
    assert bars.shots[0].plain_s != scoops.shots[0].plain_s


def test_a_form_that_is_none_is_said_beside_its_field(qtbot, page):
    write(qtbot, page, ("flavours", 0, "form"), "log")
    asked = field(page, "flavours", 0, "form")
    assert "“log” is not known" in asked.message.text()
    assert "scoop" in asked.message.text()
    assert page.results.plan.flavours[0].form == "scoop"


def test_a_pint_has_its_window(qtbot, page):
    results = write(qtbot, page, ("flavours", 0, "form"), "pint")
    assert results.products[0].tubs.text.endswith("× pint")
    assert results.shots[0].plain_s[1] > 600.0


def test_stacked_is_a_tick(qtbot, hot):
    worked(qtbot, hot)
    asked = field(hot, "shots", 0, "stacked")
    assert "one on another" in asked.explanation
    reveal(hot, asked)
    asked.editor.click()
    assert worked(qtbot, hot).plan.shots[0].stacked
    assert value_at(hot.draft, ("shots", 0, "stacked")) is True
