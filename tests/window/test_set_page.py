"""A shoot run from the Set page with keys and clicks."""

import math

import pytest
from PySide6.QtCore import QEvent, QPoint, QRect, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QAbstractButton, QApplication, QLabel, QLineEdit, QPushButton, QWidget

from studiotimer.session.countdowns import Pace
from studiotimer.session.live import SAME_CALL_S, open_session
from studiotimer.session.reading import read
from studiotimer.session.verifying import verify
from studiotimer.window.set import face
from studiotimer.window.set.actions import ON_BAR
from studiotimer.window.set.buttons import CallButton
from studiotimer.window.set.warned import MOST_BEFORE
from studiotimer.window.theme import DARK
from tests.session.clocks import HandClock

K = Qt.Key


def kinds(window):
    return [entry.kind for entry in window.running.session.ledger.entries]


def make(window, *kinds):
    """Make calls with their defaults, a minute apart."""
    for kind in kinds:
        window.running.session.clock.advance(60)
        assert window.running.call(kind).refused is None


def forecast_after(qtbot, window):
    asked = window.running.session.time()
    window.running.ask_forecast()
    fresh = lambda: window.running.forecast is not None and window.running.forecast.at >= asked  # noqa: E731
    qtbot.waitUntil(fresh, timeout=20_000)
    return window.running.forecast


def test_a_whole_shoot_by_keys(qtbot, shoot, press, session_path):
    for key in (K.Key_K, K.Key_P, K.Key_P, K.Key_P, K.Key_P):
        press(shoot, key, wait=40)
    press(shoot, K.Key_J)
    forecast_after(qtbot, shoot)
    press(shoot, K.Key_M)
    for key in (K.Key_1, K.Key_2, K.Key_3, K.Key_H, K.Key_D):
        press(shoot, key)
    state = shoot.running.state
    assert [hero.spot for hero in state.heroes()] == ["left", "top", "right"]
    assert all(state.locks.values())
    assert state.charges["set"][0].mass_kg == 0.5
    forecast_after(qtbot, shoot)
    press(shoot, K.Key_S, wait=30)
    assert len(shoot.running.state.heroes()) == 3
    press(shoot, K.Key_L, wait=30)
    press(shoot, K.Key_A, wait=0.2)
    for _ in range(4):
        press(shoot, K.Key_Down, wait=0.2)
    press(shoot, K.Key_Return, wait=0.2)
    press(shoot, K.Key_Backspace)
    press(shoot, K.Key_G)
    press(shoot, K.Key_O)
    ledger = shoot.running.session.ledger
    swapped, seen, amend, undone = (ledger.entries[n] for n in (-6, -5, -4, -3))
    assert (swapped.kind, seen.kind, amend.kind, undone.kind) == ("swap", "look", "amend", "take_back")
    assert amend.entry == seen.n
    assert undone.entry == amend.n
    assert seen.tick - amend.change["tick"] == pytest.approx(20.0, abs=2.0)
    assert shoot.running.state.heroes() == []
    assert "coupe" in shoot.running.state.got
    state = shoot.running.state
    assert shoot.close_session()
    again = open_session(session_path)
    assert again.state.scoops == state.scoops
    assert again.state.takes == state.takes
    assert [scoop.stays for scoop in again.state.scoops.values()] == [scoop.stays for scoop in state.scoops.values()]
    again.close()
    assert verify(session_path).state == "whole"


def test_amend_by_key_moves_a_call_back_five_seconds_a_press(qtbot, shoot, press):
    press(shoot, K.Key_K)
    press(shoot, K.Key_P, wait=60)
    pulled = shoot.running.session.ledger.entries[-1]
    press(shoot, K.Key_A, wait=0.1)
    for _ in range(4):
        press(shoot, K.Key_Down, wait=0.1)
    press(shoot, K.Key_Enter, wait=0.1)
    amend = shoot.running.session.ledger.entries[-1]
    assert amend.kind == "amend"
    assert amend.entry == pulled.n
    assert pulled.tick - amend.change["tick"] == pytest.approx(20.0, abs=1.0)
    assert shoot.running.state.scoops[1].pulled == pytest.approx(amend.change["tick"])
    assert shoot.page.log.rows[0].words == f"amend entry {pulled.n}: {pulled.tick - amend.change['tick']:.0f} s earlier"
    qtbot.waitUntil(lambda: shoot.page.log.rows[1].mark == "amended", timeout=5000)


def test_two_presses_within_a_bounce_are_one_and_two_after_it(shoot, press):
    press(shoot, K.Key_K)
    press(shoot, K.Key_P)
    press(shoot, K.Key_P, wait=0.39)
    assert kinds(shoot).count("pull") == 1
    press(shoot, K.Key_P, wait=0.45)
    press(shoot, K.Key_P, wait=0.45)
    assert kinds(shoot).count("pull") == 3


def test_a_held_key_does_not_repeat_and_a_double_press_counts_once(qtbot, shoot, press):
    press(shoot, K.Key_K)
    press(shoot, K.Key_P)
    press(shoot, K.Key_P, wait=SAME_CALL_S - 0.05)
    assert kinds(shoot).count("pull") == 1
    repeat = QKeyEvent(QEvent.Type.KeyPress, K.Key_P, Qt.KeyboardModifier.NoModifier, "p", autorep=True)
    QApplication.sendEvent(shoot, repeat)
    assert kinds(shoot).count("pull") == 1
    press(shoot, K.Key_P)
    assert kinds(shoot).count("pull") == 2


def test_the_cue_key_makes_the_call_it_shows(qtbot, shoot, press):
    shown = []
    for _ in range(8):
        forecast_after(qtbot, shoot)
        shown.append(shoot.page.cue_label.text())
        assert shown[-1].startswith(shoot.page.cue_button.accessibleName().split(",")[0])
        press(shoot, K.Key_Space, wait=20)
    assert shown[:5] == ["Begin coupe", "Lock light", "Lock set", "Lock camera", "Pull pistachio"]
    assert shown[5:7] == ["Pull hazelnut", "Pull lemon"]
    assert shown[7] == "Hero in 1, 2, 3"
    assert kinds(shoot)[1:9] == ["shot", "lock", "lock", "lock", "pull", "pull", "pull", "hero_in"]
    forecast_after(qtbot, shoot)
    assert (shoot.page.cues[0].kind, shoot.page.cues[0].due) == ("pull", pytest.approx(shoot.page.now(), abs=1)), (
        "the next ones are to rest in the box"
    )
    press(shoot, K.Key_PageDown)
    assert kinds(shoot)[-1] == "pull"


@pytest.mark.parametrize(
    ("key", "shift", "kind"),
    [
        (K.Key_K, False, "shot"), (K.Key_1, False, "lock"), (K.Key_P, False, "pull"), (K.Key_J, False, "judge"),
        (K.Key_M, False, "move"), (K.Key_B, False, "stand_in"), (K.Key_H, False, "hero_in"), (K.Key_G, False, "got_it"),
        (K.Key_W, False, "hold"), (K.Key_D, False, "top_up"), (K.Key_D, True, "ice_cleared"), (K.Key_E, False, "lamp"),
        (K.Key_U, False, "tub_out"), (K.Key_F, False, "frame"), (K.Key_Backspace, False, "take_back"),
    ],
)  # fmt: skip
def test_every_call_is_one_key(shoot, press, key, shift, kind):
    make(shoot, "shot", "pull")
    press(shoot, key, shift)
    assert kinds(shoot)[-1] == kind


def test_toggles_go_back(shoot, press):
    for key, pair in ((K.Key_W, ["hold", "resume"]), (K.Key_U, ["tub_out", "tub_back"])):
        press(shoot, key)
        press(shoot, key)
        assert kinds(shoot)[-2:] == pair
    press(shoot, K.Key_E)
    press(shoot, K.Key_E)
    assert [entry.on for entry in shoot.running.session.ledger.entries[-2:]] == [False, True]


def test_swap_look_and_out_need_a_hero_or_say_why(shoot, press):
    make(shoot, "shot")
    for key in (K.Key_S, K.Key_O, K.Key_L):
        before = kinds(shoot)
        press(shoot, key)
        assert kinds(shoot) == before
        assert "on set" in shoot.page.quiet_line.text()


def test_a_reading_starts_at_the_last_value_and_steps_by_key(shoot, press):
    press(shoot, K.Key_R)
    press(shoot, K.Key_Up)
    press(shoot, K.Key_Up)
    press(shoot, K.Key_Return)
    entry = shoot.running.session.ledger.entries[-1]
    assert (entry.kind, entry.what, entry.value) == ("reading", "air_c", 24.0)
    press(shoot, K.Key_R)
    press(shoot, K.Key_Down)
    press(shoot, K.Key_Return)
    assert shoot.running.session.ledger.entries[-1].value == 23.5


def test_tab_goes_to_the_next_reading(shoot, press):
    press(shoot, K.Key_R)
    press(shoot, K.Key_Tab)
    press(shoot, K.Key_Up)
    press(shoot, K.Key_Return)
    assert shoot.running.session.ledger.entries[-1].what == "humidity"


def test_a_note_takes_words_and_phrases(qtbot, shoot, press):
    press(shoot, K.Key_N)
    line = QApplication.focusWidget()
    assert isinstance(line, QLineEdit)
    qtbot.keyClicks(line, "pour later")
    press(shoot, K.Key_Return)
    assert shoot.running.session.ledger.entries[-1].text == "pour later"
    press(shoot, K.Key_N)
    press(shoot, K.Key_Down)
    press(shoot, K.Key_Return)
    assert shoot.running.session.ledger.entries[-1].text == "light changed"


def test_a_folder_to_watch_is_written_and_no_phrase_is_offered(shoot, press):
    press(shoot, K.Key_V)
    line = QApplication.focusWidget()
    assert line.placeholderText() == ""
    shown = [one.accessibleName() for one in shoot.findChildren(QPushButton) if one.isVisible()]
    assert not [name for name in shown if "phrase" in name]


def test_the_chosen_scoop_is_the_one_called(qtbot, shoot, press):
    make(shoot, "shot", "pull", "pull", "pull")
    forecast_after(qtbot, shoot)
    press(shoot, K.Key_Right)
    press(shoot, K.Key_Right)
    chosen = shoot.page.line.choice
    assert chosen is not None
    press(shoot, K.Key_J)
    assert shoot.running.session.ledger.entries[-1].scoop == chosen
    press(shoot, K.Key_Escape)
    assert shoot.page.line.choice is None


def test_choices_open_with_shift_and_are_made_with_enter(shoot, press):
    make(shoot, "shot")
    press(shoot, K.Key_P, shift=True)
    assert kinds(shoot)[-1] == "shot"
    press(shoot, K.Key_Right)
    press(shoot, K.Key_Down)
    press(shoot, K.Key_Right)
    press(shoot, K.Key_Return)
    entry = shoot.running.session.ledger.entries[-1]
    assert (entry.kind, entry.flavour, entry.to) == ("pull", "hazelnut", "tray")
    assert shoot.page.calls.currentWidget() is shoot.page.bar


def test_every_call_can_be_clicked(qtbot, shoot):
    make(shoot, "shot", "pull")
    seen = set()
    for _ in range(shoot.page.bar._decks()):
        for button in shoot.page.bar.findChildren(CallButton):
            if button.isVisibleTo(shoot.page.bar) and (action := button.property("action")):
                seen.add(action)
        shoot.page.bar.turn()
    assert seen == set(ON_BAR)
    before = kinds(shoot).count("pull")
    shoot.running.session.clock.advance(60)
    qtbot.mouseClick(shoot.page.bar.button("pull"), Qt.MouseButton.LeftButton)
    assert kinds(shoot).count("pull") == before + 1
    qtbot.mouseClick(shoot.page.header.locks["set"], Qt.MouseButton.LeftButton)
    assert shoot.running.state.locks["set"]
    qtbot.mouseClick(shoot.page.cue_button, Qt.MouseButton.LeftButton)
    assert shoot.running.state.locks["light"]


def test_a_click_on_the_log_amends_that_entry(qtbot, shoot):
    make(shoot, "shot", "pull")
    log, pulled = shoot.page.log, shoot.running.session.ledger.entries[-1].n
    row = next(at for at, row in enumerate(log.rows) if row.number == pulled)
    place = log.visualRect(log.model().index(row, 0))
    qtbot.mouseClick(log.viewport(), Qt.MouseButton.LeftButton, pos=place.center())
    assert shoot.page.calls.typing
    shoot.page.calls.strip.line.setText("10 s earlier")
    shoot.page.calls.strip.make()
    assert shoot.running.session.ledger.entries[-1].entry == pulled


def test_what_comes_by_itself_stands_behind_the_answer_to_a_call(qtbot, shoot):
    make(shoot, "shot")
    shoot.running.call("out", {"scoops": [9]})
    said = shoot.page.quiet_line.text()
    assert said.startswith("Not logged yet: scoop 9 was never logged")
    shoot.services.said.emit("No sound.")
    assert shoot.page.quiet_line.text() == f"{said} No sound."
    shoot.services.said.emit("x" * MOST_BEFORE)
    shoot.services.said.emit("The charger is out.")
    assert shoot.page.quiet_line.text() == "The charger is out.", "the line does not grow on and on"


def test_what_is_not_true_is_refused_with_the_reason_and_not_logged(qtbot, shoot, session_path):
    make(shoot, "shot", "pull")
    shoot.running.call("judge", {"as": "reject"})
    shoot.running.call("out", {"scoops": [1]})
    qtbot.waitUntil(lambda: shoot.running.session.waiting == 0)
    before = session_path.read_bytes()
    outcome = shoot.running.call("swap", {"out": 9, "in": 1})
    assert outcome.refused is not None
    assert "scoop 1" in outcome.refused
    assert shoot.page.quiet_line.text() == f"Not logged: {outcome.refused}"
    assert shoot.running.call("top_up", {"mass_kg": -1.0}).refused
    assert session_path.read_bytes() == before


def test_an_entry_shows_as_logged_only_once_it_is_on_disk(qtbot, shoot, monkeypatch):
    import threading

    gate = threading.Event()
    journal = shoot.running.session._writer._journal
    append = journal.append
    monkeypatch.setattr(journal, "append", lambda entries: (gate.wait(250), append(entries)))
    shoot.running.call("pull")
    assert shoot.page.log.rows[0].mark == "not on disk yet"
    gate.set()
    qtbot.waitUntil(lambda: shoot.page.log.rows[0].mark == "", timeout=5000)


def test_a_refusing_disk_is_said_and_stands(qtbot, shoot, monkeypatch):
    journal = shoot.running.session._writer._journal
    append = journal.append

    def full(entries):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(journal, "append", full)
    shoot.running.call("pull")
    qtbot.waitUntil(lambda: "No space left" in shoot.page.standing.text(), timeout=5000)
    assert shoot.page.log.rows[0].mark == "not on disk yet"
    monkeypatch.setattr(journal, "append", append)
    qtbot.waitUntil(lambda: shoot.page.standing.text() == "", timeout=5000)
    assert shoot.page.log.rows[0].mark == ""


def test_without_focus_the_page_says_that_keys_are_not_heard(qtbot, shoot):
    other = QWidget()
    qtbot.addWidget(other)
    other.show()
    other.activateWindow()
    qtbot.waitActive(other)
    qtbot.waitUntil(lambda: "not heard" in shoot.page.standing.text(), timeout=5000)
    shoot.activateWindow()
    qtbot.waitUntil(lambda: "not heard" not in shoot.page.standing.text(), timeout=5000)


def test_keys_that_are_heard_without_focus_are_not_said_to_be_unheard(qtbot, shoot, press):
    """As on a screen without a window manager, where no window is ever the active one."""
    other = QWidget()
    qtbot.addWidget(other)
    other.show()
    other.activateWindow()
    qtbot.waitActive(other)
    qtbot.waitUntil(lambda: "not heard" in shoot.page.standing.text())
    press(shoot, K.Key_1)
    qtbot.waitUntil(lambda: "not heard" not in shoot.page.standing.text())
    shoot.activateWindow()
    qtbot.waitActive(shoot)
    other.activateWindow()
    qtbot.waitUntil(lambda: "not heard" in shoot.page.standing.text())


def test_the_dim_key_dims_and_lights(shoot, press):
    press(shoot, K.Key_Z)
    assert shoot._veil.isVisible()
    assert shoot._veil.size() == shoot.size()
    shoot.resize(1300, 900)
    assert shoot._veil.size() == shoot.size()
    press(shoot, K.Key_Z)
    assert not shoot._veil.isVisible()


def assert_nothing_overlaps(page):
    parts = [page.header, page.clock, page.ribbon, page.cue_label, page.below, page.cue_button, page.calls]
    boxes = {
        part.accessibleName() or type(part).__name__: box_in(page, part) for part in parts if part.isVisibleTo(page)
    }
    names = list(boxes)
    for index, name in enumerate(names):
        assert page.rect().contains(boxes[name]), f"{name} leaves the page"
        for other in names[index + 1 :]:
            assert not boxes[name].intersects(boxes[other]), f"{name} overlaps {other}"


@pytest.mark.parametrize("calls", [("shot",), ("shot", "pull", "pull"), ("shot", "pull", "pull", "hero_in")])
def test_nothing_overlaps_while_the_window_is_resized(qtbot, shoot, calls):
    """Before anything else that waits to be done is done: the page may be drawn then."""
    make(shoot, *calls)
    forecast_after(qtbot, shoot)
    for size in ((1920, 1080), (1024, 640), (1280, 800), (1024, 640), (1920, 1080)):
        shoot.resize(*size)
        for _ in range(3):
            assert_nothing_overlaps(shoot.page)
            QApplication.processEvents()


SIZES = [(1024, 640), (1280, 800), (1366, 768), (1920, 1080), (2560, 1440), (3840, 2160)]


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
def test_nothing_overlaps_and_the_figures_are_a_fifth_of_the_height(qtbot, shoot, size):
    make(shoot, "shot", "pull", "pull", "pull", "hero_in", "top_up", "pull")
    forecast_after(qtbot, shoot)
    shoot.resize(*size)
    qtbot.wait(30)
    page = shoot.page
    assert page.clock.figure_height >= size[1] / 5
    assert math.isclose(shoot.height(), size[1], abs_tol=2)
    assert_nothing_overlaps(page)
    for button in (*page.bar.findChildren(CallButton), page.cue_button):
        if button.isVisible():
            assert min(button.width(), button.height()) >= 80


def box_in(page, part):
    return QRect(part.mapTo(page, QPoint(0, 0)), part.size())


def test_every_control_names_itself(qtbot, shoot):
    make(shoot, "shot", "pull", "pull", "hero_in")
    forecast_after(qtbot, shoot)
    shoot.page.calls.choose("reading", {})
    unnamed = [
        widget
        for widget in shoot.findChildren(QWidget)
        if isinstance(widget, QAbstractButton | QLineEdit)
        and widget.isVisible()
        and not (widget.accessibleName() or getattr(widget, "text", lambda: "")())
    ]
    assert unnamed == []
    for label in (shoot.page.cue_label, shoot.page.quiet_line, shoot.page.standing):
        assert isinstance(label, QLabel)
        assert label.accessibleName()
    assert "melt ribbon" in shoot.page.ribbon.accessibleName()
    assert shoot.page.clock.accessibleName().startswith(shoot.page.clock.label)


def test_a_page_that_comes_back_shows_the_same_ages(qtbot, shoot, session_path, clock):
    make(shoot, "shot", "pull", "pull", "pull", "hero_in")
    before = forecast_after(qtbot, shoot)
    assert shoot.close_session()
    again = HandClock(clock.now())
    shoot._run(open_session(session_path, again))
    after = forecast_after(qtbot, shoot)
    for one, other in zip(before.heroes, after.heroes, strict=True):
        assert other.since == pytest.approx(one.since, abs=1e-6)
        assert other.end.likely == pytest.approx(one.end.likely, abs=0.01)
    assert read(session_path).condition == "whole"


def test_high_co2_says_to_air_the_room_and_nothing_says_the_air_is_fine(qtbot, shoot):
    make(shoot, "shot")
    for value in (420.0, 4900.0, 5200.0, 41_000.0):
        shoot.running.session.clock.advance(5)
        shoot.running.call("reading", {"what": "co2_ppm", "value": value})
        forecast_after(qtbot, shoot)
        shoot.page.refresh()
        said = shoot.page.header.chips["caution"].accessibleName()
        assert shoot.page.header.chips["caution"].isVisible()
        assert ("Ventilate now" in said) == (value >= 5000)
        words = " ".join(chip.accessibleName() for chip in shoot.page.header.chips.values()).lower()
        assert not any(word in words for word in ("safe", "fine", "good air", " ok"))
    qtbot.mouseClick(shoot.page.header.chips["caution"], Qt.MouseButton.LeftButton)
    from studiotimer.thermal.charge import CAUTIONS

    part = shoot.page.below.currentWidget()
    shown = " ".join(
        [part.accessibleName(), part.accessibleDescription(), *(label.text() for label in part.findChildren(QLabel))]
    )
    assert all(caution.split(";")[0][:30] in shown for caution in CAUTIONS)
    assert shoot.page.cue_label.isVisible()


def test_names_from_right_to_left_and_long_ones_stay_in_their_places(qtbot, window, tmp_path, clock):
    from studiotimer.prep.plan import parse_plan

    names = [
        "גלידת פיסטוק",
        "مثلجات الليمون الحامض جدا من البستان القديم",
        "hazelnut with burnt honey, smoked salt and a long name",
    ]
    plan = parse_plan(
        {
            "flavours": [{"name": name} for name in names],
            "shots": [{"name": "صورة " * 6, "heroes": [{"flavour": name, "spot": name[:50]} for name in names]}],
        }
    )
    from studiotimer.session.live import new_session

    window._run(new_session(tmp_path / "names.setlog", plan, clock))
    make(window, "shot", "pull", "pull", "pull", "hero_in", "pull", "pull")
    forecast_after(qtbot, window)
    for size in ((1024, 640), (1280, 800)):
        window.resize(*size)
        qtbot.wait(30)
        page = window.page
        for part in (page.header, page.clock, page.ribbon, page.below, page.cue_button, page.calls):
            assert page.rect().contains(box_in(page, part))
        assert page.header.shot.width() <= page.width()


def test_a_frame_by_key_says_so(shoot, press):
    press(shoot, Qt.Key.Key_K)
    press(shoot, Qt.Key.Key_F)
    frame = shoot.running.session.ledger.entries[-1]
    assert frame.kind == "frame"
    assert frame.name == "frame 1"
    assert shoot.page.quiet_line.text() == "Frame 1 is logged."


def test_what_is_done_is_said_quietly_and_what_is_not_as_a_warning(shoot, press):
    def colour():
        line = shoot.page.quiet_line
        return line.palette().color(line.foregroundRole()).name()

    quiet, warning = DARK.quiet.lower(), DARK.warning.lower()
    press(shoot, Qt.Key.Key_K)
    press(shoot, Qt.Key.Key_F)
    assert colour() == quiet
    shoot.running.refused.emit("there is no such scoop")
    assert colour() == warning
    press(shoot, K.Key_Y)
    assert (shoot.page.quiet_line.text(), colour()) == ("Seen.", quiet)
    press(shoot, K.Key_T)
    assert (shoot.page.quiet_line.text(), colour()) == ("No swap and no out is cued.", warning)


def test_a_look_far_from_what_was_thought_says_how_to_take_it_back(qtbot, shoot, press):
    for key in (K.Key_K, K.Key_P):
        press(shoot, key)
    press(shoot, K.Key_H, wait=60)
    qtbot.waitUntil(lambda: shoot.running.forecast is not None and bool(shoot.running.forecast.heroes), timeout=10_000)
    press(shoot, K.Key_L, wait=600)
    qtbot.waitUntil(lambda: shoot.running.forecast.pace.seen == 1, timeout=10_000)
    longer = round(100 * (shoot.running.forecast.pace.factor - 1))
    assert longer > 30
    words = f"That change made countdowns {longer} % longer. If it was a slip, ⌫ takes it back."
    assert shoot.page.quiet_line.text() == words
    press(shoot, K.Key_Backspace)
    qtbot.waitUntil(lambda: shoot.running.forecast.pace.seen == 0, timeout=10_000)
    assert shoot.running.forecast.pace.factor == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("before", "after", "words"),
    [
        (Pace(), Pace(1.25, 1), ""),
        (Pace(1.0, 1), Pace(0.5, 2), "That change made countdowns 50 % shorter. If it was a slip, B takes it back."),
        (Pace(1.0, 1), Pace(2.0, 3), ""),
        (Pace(2.0, 3), Pace(1.0, 2), ""),
    ],
)
def test_only_one_look_more_is_doubted(before, after, words):
    assert face.leap_words(after.leap_since(before), "B") == words
