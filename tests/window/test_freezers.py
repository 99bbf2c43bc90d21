"""Freezers and cores on the Set page, by real keys: typed, warned of in the header, cued, moved and closed."""

import threading

import pytest
from PySide6.QtCore import Qt

from studiotimer.prep.plan import parse_plan
from studiotimer.session import delivered, freezers
from studiotimer.session.freezers import READ_AGAIN_S
from studiotimer.session.wording import entry_words
from studiotimer.window.set import header
from tests.window.conftest import PLAN
from tests.window.test_set_page import forecast_after, make
from tests.window.test_typed_strip import entries, strip

K = Qt.Key


@pytest.fixture
def plan():
    flavours = [one | {"freezer": 2 if one["name"] == "lemon" else 1} for one in PLAN["flavours"]]
    return parse_plan(PLAN | {"flavours": flavours, "freezers": "chest", "freezer": "-14 °C"})


def to(window, press, name):
    """Press Tab until that is typed."""
    for _ in range(30):
        if strip(window)._form.blanks[strip(window)._current].name == name:
            return
        press(window, K.Key_Tab)
    raise AssertionError(name)


def chip(window):
    return window.page.header.chips["freezer_c"].accessibleName()


def test_a_freezer_too_warm_is_typed_warned_of_and_left(qtbot, shoot, press, write):
    make(shoot, "shot")
    press(shoot, K.Key_R)
    to(shoot, press, "chest")
    write("-9")
    assert strip(shoot).said.text().startswith("chest −9.0 °C, ")
    assert "Planned −14.0 °C." in strip(shoot).why.text()
    press(shoot, K.Key_Return)
    assert entry_words(entries(shoot)[-1]) == "chest −9.0 °C"
    forecast_after(qtbot, shoot)
    shoot.page.refresh()
    assert chip(shoot) == "chest is too warm, −9.0 °C instead of −14.0 °C: pull from freezer 2 meanwhile."
    words = [cue.words for cue in shoot.page.cues]
    assert {"Pull pistachio from freezer 2 meanwhile", "Pull hazelnut from freezer 2 meanwhile"} <= set(words)
    for _ in range(10):
        if not any("meanwhile" in cue.words for cue in shoot.page.cues):
            break
        press(shoot, K.Key_Space)
    moved = [entry for entry in entries(shoot) if entry.kind == "tub_back"]
    assert {(entry.flavour, entry.freezer) for entry in moved} == {
        ("pistachio", "freezer 2"),
        ("hazelnut", "freezer 2"),
    }
    press(shoot, K.Key_R)
    to(shoot, press, "chest")
    write("-14")
    press(shoot, K.Key_Return)
    shoot.page.refresh()
    assert "too warm" not in chip(shoot)


def test_the_core_of_a_tub_and_of_a_scoop_are_typed(shoot, press, write):
    make(shoot, "shot", "pull")
    shoot.running.selected = 1
    press(shoot, K.Key_R)
    to(shoot, press, "core of pistachio")
    write("-12")
    assert "Ready to pull." in strip(shoot).why.text()
    press(shoot, K.Key_Return)
    assert (entries(shoot)[-1].flavour, entries(shoot)[-1].scoop) == ("pistachio", None)
    press(shoot, K.Key_R)
    to(shoot, press, "core of scoop 1")
    write("1")
    assert "no ice left above" in strip(shoot).why.text()
    press(shoot, K.Key_Return)
    assert (entries(shoot)[-1].scoop, entries(shoot)[-1].value) == (1, 1.0)
    assert "was the probe all the way in?" in shoot.page.quiet_line.text()


def test_one_chip_stands_for_all_freezers_and_goes_through_them(qtbot, shoot, press):
    make(shoot, "shot")
    press(shoot, K.Key_R)
    names = [one.text() for one in strip(shoot).chips]
    assert names.count("freezer") == names.count("core") == 1
    seen = []
    for _ in range(3):
        qtbot.mouseClick(strip(shoot).chips[names.index("freezer")], Qt.MouseButton.LeftButton)
        seen.append(strip(shoot)._form.blanks[strip(shoot)._current].name)
    assert seen == ["chest", "freezer 2", "chest"]


def test_a_door_is_opened_cued_and_closed_by_its_key(qtbot, shoot, press, clock):
    make(shoot, "shot")
    press(shoot, K.Key_I)
    assert entry_words(entries(shoot)[-1]) == "chest opened"
    clock.advance(70)
    shoot.page.refresh()
    assert "Close chest" in [cue.words for cue in shoot.page.cues]
    press(shoot, K.Key_I)
    assert entry_words(entries(shoot)[-1]) == "chest closed"


def test_the_cue_key_types_what_a_cue_asks_to_be_read_and_logs_nothing_unread(qtbot, shoot, press, write, clock):
    make(shoot, "shot")
    shoot.running.call("reading", {"what": "freezer_c", "value": -9.0, "freezer": "chest"})
    shoot.running.call("reading", {"what": "freezer_c", "value": -9.0, "freezer": "freezer 2"})
    forecast_after(qtbot, shoot)
    clock.advance(READ_AGAIN_S + 1)
    cue = next(cue for cue in shoot.page.cues if cue.kind == "reading")
    shoot.page.cues = [cue]
    logged = len(entries(shoot))
    shoot.page.act("cue")
    assert len(entries(shoot)) == logged
    assert strip(shoot)._form.blanks[strip(shoot)._current].name == "chest"
    write("-13.5")
    press(shoot, K.Key_Return)
    assert entry_words(entries(shoot)[-1]) == "chest −13.5 °C"


class TestTruckAndTubs:
    @pytest.fixture
    def plan(self):
        truck = {
            "supplier": "Maison Alder",
            "day": "2026-06-14",
            "from_time": "10:00",
            "to_time": "11:00",
            "cartons": 3,
        }
        return parse_plan(PLAN | {"tub": {"size": "3 gallon"}, "delivery": truck, "timezone": "UTC"})

    def test_the_cue_key_asks_what_the_truck_brought(self, qtbot, shoot, press):
        shoot.page.refresh()
        assert shoot.page.cue_label.text() == "Read the delivery as it comes"
        press(shoot, K.Key_Space)
        assert [entry.kind for entry in entries(shoot)] == ["opened"]
        assert (shoot.page.calls.choosing, shoot.page.calls.chooser.kind) == (True, "delivery")
        press(shoot, K.Key_Return)
        assert [entry.kind for entry in entries(shoot)] == ["opened", "delivery"]
        assert shoot.page.cues[0].kind == "shot"

    def test_how_its_tubs_temper_is_worked_out_aside(self, qtbot, shoot, monkeypatch):
        threads = []

        def told(plan, entry):
            threads.append(threading.current_thread())
            return delivered.delivery_words(plan, entry)

        monkeypatch.setattr(freezers, "delivery_words", told)
        shoot.running.call("delivery", {"core_c": -8.0, "cartons": 3})
        qtbot.waitUntil(lambda: "it came at −8 °C" in shoot.page.quiet_line.text(), timeout=30_000)
        assert [each is threading.main_thread() for each in threads] == [False]

    def test_the_header_warns_ten_pulls_ahead_and_tells_a_reader_once(self, qtbot, shoot, clock, monkeypatch):
        told = []
        monkeypatch.setattr(header, "announce", lambda _, words: told.append(words))
        make(shoot, "shot")
        chip = shoot.page.header.chips["tubs"]
        for _ in range(22):
            clock.advance(60)
            shoot.running.call("pull", {"flavour": "lemon"})
        forecast_after(qtbot, shoot)
        shoot.page.refresh()
        assert told == []
        assert not chip.isVisibleTo(shoot.page)
        for _ in range(2):
            clock.advance(60)
            shoot.running.call("pull", {"flavour": "lemon"})
            forecast_after(qtbot, shoot)
            shoot.page.refresh()
        assert chip.isVisibleTo(shoot.page)
        assert chip.accessibleName() == "lemon: about 9 pulls left in tub 1; have tub 2 at hand."
        assert told == ["lemon: about 10 pulls left in tub 1; have tub 2 at hand."]
