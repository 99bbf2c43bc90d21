"""Calls that are typed on the Set page, by real keys: what is said before Enter, what is logged, what is not."""

import pytest
from PySide6.QtCore import Qt

from studiotimer import units
from studiotimer.window.set import typing_strip
from studiotimer.window.set.typing_strip import UNTOUCHED_MS
from tests.window.test_set_page import make

K = Qt.Key


@pytest.fixture(autouse=True)
def shown_in():
    """Numbers are shown in metric units again after each test."""
    yield
    units.show_in("metric")


@pytest.fixture
def sounds(shoot):
    """What has been heard."""
    heard = []
    shoot.sounds.play = heard.append
    return heard


def strip(window):
    return window.page.calls.strip


def entries(window):
    return window.running.session.ledger.entries


def said(window):
    return strip(window).said.text(), strip(window).why.text()


def to(window, name):
    """Press Tab until a reading is the one that is typed."""
    names = [blank.name for blank in strip(window)._form.blanks]
    for _ in names:
        if names[strip(window)._current] == name:
            return
        strip(window).key(_press(K.Key_Tab))
    raise AssertionError(names)


def _press(key):
    from PySide6.QtCore import QEvent
    from PySide6.QtGui import QKeyEvent

    return QKeyEvent(QEvent.Type.KeyPress, key, Qt.KeyboardModifier.NoModifier)


@pytest.mark.parametrize(
    ("style", "name", "typed", "kind", "value"),
    [
        ("US", "room", "68", "reading", 20.0),
        ("US", "room", "68 degrees", "reading", 20.0),
        ("metric", "room", "20C", "reading", 20.0),
        ("metric", "room", "68f", "reading", 20.0),
        ("metric", "light", "EV 12", "reading", 10240.0),
        ("metric", "humidity", "45", "reading", 0.45),
        ("metric", "CO₂ monitor", "1,240", "reading", 1240.0),
        ("metric", "dry ice added", "2 lb", "top_up", 0.90718474),
        ("US", "dry ice added", "1/2", "top_up", 0.226796185),
    ],
)
def test_a_reading_is_typed_and_logged_by_enter_alone(shoot, press, write, style, name, typed, kind, value):
    make(shoot, "shot")
    units.show_in(style)
    press(shoot, K.Key_R)
    to(shoot, name)
    before = len(entries(shoot))
    write(typed)
    assert len(entries(shoot)) == before, "nothing is logged while it is typed"
    assert said(shoot)[0].startswith(name)
    press(shoot, K.Key_Return)
    (entry,) = entries(shoot)[before:]
    assert entry.kind == kind
    assert (entry.value if kind == "reading" else entry.mass_kg) == pytest.approx(value)
    assert not shoot.page.calls.choosing


def test_what_will_be_logged_stands_beside_it_and_why(shoot, press, write):
    shoot.running.call("reading", {"what": "room_c", "value": 24.0})
    press(shoot, K.Key_R)
    write("20")
    assert said(shoot)[0].startswith("room 20.0 °C, ")
    assert said(shoot)[1].startswith("°C are the units shown. Was 24.0 °C at ")
    assert strip(shoot).line.after == "°C"
    assert (strip(shoot).line.width(), strip(shoot).line.height()) == (420, 52)


def test_out_of_range_asks_and_one_key_answers(shoot, press, write, sounds):
    shoot.running.call("reading", {"what": "room_c", "value": 24.0})
    press(shoot, K.Key_R)
    write("68")
    assert said(shoot)[0] == "68 °C? F makes it °F."
    before = len(entries(shoot))
    press(shoot, K.Key_Return)
    assert (len(entries(shoot)), sounds[-1]) == (before, "refused")
    write("f")
    assert strip(shoot).line.text() == "68 °F"
    press(shoot, K.Key_Return)
    assert entries(shoot)[-1].value == pytest.approx(20.0)


def test_letters_never_make_calls_while_a_call_is_typed(shoot, press, write, sounds):
    make(shoot, "shot", "pull")
    press(shoot, K.Key_R)
    to(shoot, "room")
    before = len(entries(shoot))
    sounds.clear()
    write("68 degrees")
    assert strip(shoot).line.text() == "68 degrees"
    assert not sounds
    write("pgh1 ")
    assert strip(shoot).line.text() == "68 degrees "
    assert sounds == ["refused"] * 4
    assert "cannot be part of room" in shoot.page.quiet_line.text()
    shoot.page.setFocus()
    write("p")
    assert len(entries(shoot)) == before
    assert shoot.page.calls.typing


def test_keys_that_print_nothing_still_cue(shoot, press, write, clock):
    make(shoot, "shot")
    clock.advance(5)
    press(shoot, K.Key_R)
    write("2")
    cued = shoot.page.cues[0].kind
    press(shoot, K.Key_PageDown)
    assert entries(shoot)[-1].kind == cued == "lock"
    assert shoot.page.calls.typing
    assert strip(shoot).line.text() == "2"
    before = len(entries(shoot))
    press(shoot, K.Key_Space)
    assert len(entries(shoot)) == before, "space types"


def test_a_foot_switch_on_a_function_key_calls_and_is_warned_of_when_it_prints(qtbot, shoot, press, clock):
    shoot.kept.bind("pull", "F13")
    make(shoot, "shot")
    clock.advance(5)
    press(shoot, K.Key_N)
    press(shoot, K.Key_F13)
    assert entries(shoot)[-1].kind == "pull"
    assert shoot.page.calls.typing
    from studiotimer.window.settings.key_editor import KeySection

    section = KeySection(shoot.kept)
    qtbot.addWidget(section)
    told = []
    section.refused.connect(told.append)
    section._bind("cue", "F14")
    assert not told
    section._bind("cue", "9")
    assert "9 prints" in told[-1]
    assert "page down" in told[-1]


def test_an_untouched_strip_closes_unlogged_and_is_heard(qtbot, shoot, press, write, sounds, monkeypatch):
    assert UNTOUCHED_MS == 20_000
    press(shoot, K.Key_R)
    untouched, begun = strip(shoot)._untouched, []
    before = len(entries(shoot))
    with monkeypatch.context() as patch:
        patch.setattr(untouched, "start", lambda: begun.append(True))
        for _ in range(4):
            write("2")
            assert begun, "each key begins the wait anew"
            begun.clear()
    assert untouched.isActive()
    assert untouched.interval() == UNTOUCHED_MS
    untouched.start(1)
    qtbot.waitUntil(lambda: not shoot.page.calls.typing, timeout=2000)
    assert sounds == ["refused"]
    assert shoot.page.quiet_line.text() == "Not logged: nothing was typed for 20 s."
    assert len(entries(shoot)) == before


def test_a_call_s_time_is_that_of_the_key_that_opened_its_strip(shoot, press, write, clock):
    make(shoot, "shot")
    clock.advance(60)
    press(shoot, K.Key_R)
    clock.advance(10)
    write("20")
    press(shoot, K.Key_PageDown)
    cued = entries(shoot)[-1]
    clock.advance(5)
    press(shoot, K.Key_Return)
    read = entries(shoot)[-1]
    assert (cued.kind, read.kind) == ("lock", "reading")
    assert cued.tick - read.tick == pytest.approx(12.0)  # ten, and two that `press` waits


def test_tab_goes_on_to_the_next_reading_with_what_is_typed(shoot, press, write):
    press(shoot, K.Key_R)
    write("45")
    first = strip(shoot)._current
    press(shoot, K.Key_Tab)
    assert strip(shoot)._current == first + 1
    assert strip(shoot).line.text() == "45"
    press(shoot, K.Key_Backtab)
    assert strip(shoot)._current == first


def test_amend_does_nothing_until_something_changed(shoot, press, write, sounds, clock):
    make(shoot, "shot", "pull")
    clock.advance(30)
    pulled = entries(shoot)[-1]
    sounds.clear()
    press(shoot, K.Key_A)
    own = strip(shoot).line.text()
    assert own == f"{shoot.running.session.wall_time(pulled.tick).astimezone():%H:%M:%S}"
    assert own == shoot.page.log.rows[0].time
    press(shoot, K.Key_Return)
    assert entries(shoot)[-1] is pulled
    assert sounds == ["refused"]
    assert said(shoot)[0] == "Nothing is changed."
    write("2 s earlier")
    assert strip(shoot).line.text() == "2 s earlier", "what stands there is written over"
    press(shoot, K.Key_Return)
    assert entries(shoot)[-1].change == {"tick": pytest.approx(pulled.tick - 2.0)}


def test_amend_takes_a_time_of_day_and_none_to_come(shoot, press, write, sounds, clock):
    clock.advance(600)
    make(shoot, "shot", "pull")
    clock.advance(90)
    pulled = entries(shoot)[-1]
    wall = shoot.running.session.wall_time(pulled.tick - 40.0).astimezone()
    press(shoot, K.Key_A)
    write(f"{wall:%H:%M:%S}")
    press(shoot, K.Key_Return)
    assert entries(shoot)[-1].change["tick"] == pytest.approx(pulled.tick - 40.0, abs=1.0)
    press(shoot, K.Key_A)
    write("10 min later")
    assert said(shoot)[1].endswith("from now.")
    press(shoot, K.Key_Return)
    assert sounds[-1] == "refused"
    assert entries(shoot)[-1].kind == "amend"
    assert entries(shoot)[-1].change["tick"] == pytest.approx(pulled.tick - 40.0, abs=1.0)


def test_amend_changes_where_a_scoop_went_by_its_word(shoot, press, write):
    make(shoot, "shot", "pull")
    pulled = entries(shoot)[-1]
    press(shoot, K.Key_A)
    to(shoot, "to")
    write("tray" if pulled.to == "box" else "box")
    press(shoot, K.Key_Return)
    assert entries(shoot)[-1].change == {"to": "tray" if pulled.to == "box" else "box"}


def test_a_note_is_typed_in_the_same_strip(qtbot, shoot, press, write):
    press(shoot, K.Key_N)
    write("pale spoon, 2nd tray")
    assert said(shoot)[0].startswith("note, ")
    qtbot.waitUntil(lambda: strip(shoot).line.width() > 600, timeout=2000)
    press(shoot, K.Key_Return)
    assert entries(shoot)[-1].text == "pale spoon, 2nd tray"


def test_letters_make_no_calls_while_choices_are_open(shoot, press, sounds):
    make(shoot, "shot", "pull")
    before = len(entries(shoot))
    press(shoot, K.Key_J, Qt.KeyboardModifier.ShiftModifier)
    assert shoot.page.calls.choosing
    press(shoot, K.Key_P)
    assert len(entries(shoot)) == before
    assert sounds[-1] == "refused"
    press(shoot, K.Key_Escape)


@pytest.mark.parametrize("size", [(1280, 800), (1024, 640), (1920, 1080)])
def test_nothing_in_the_strip_is_cut(qtbot, shoot, press, write, size):
    make(shoot, "shot", "pull")
    shoot.resize(*size)
    press(shoot, K.Key_R)
    to(shoot, "dry ice added")
    write("2 lb 4 oz")
    qtbot.wait(80)
    inside = strip(shoot).rect()
    parts = [
        *strip(shoot).chips,
        strip(shoot).line,
        strip(shoot).log,
        strip(shoot).cancel,
        strip(shoot).said,
        strip(shoot).hint,
    ]
    for part in parts:
        box = part.geometry()
        assert inside.contains(box), part.accessibleName()
        assert all(not box.intersects(other.geometry()) for other in parts if other is not part)
        if part is not strip(shoot).line:
            assert part.fontMetrics().horizontalAdvance(part.text()) <= part.width(), part.text()
    assert typing_strip.FIGURE == 40
