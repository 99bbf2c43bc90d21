"""The settings and the list of keys, worked with keys and clicks, while a session runs and without one."""

import json
import math
import threading

import pytest
from PySide6.QtCore import QEvent, QRect, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QPushButton

from studiotimer import units
from studiotimer.places import config_folder, demo_copies, sessions_folder
from studiotimer.prep.plan import parse_plan
from studiotimer.session.learning import tau_seen
from studiotimer.session.live import new_session, open_session
from studiotimer.session.memory import Known, Memory, memory_file
from studiotimer.session.reading import read
from studiotimer.session.rehearsal import Rehearsal
from studiotimer.window import theme
from studiotimer.window.keys import DEFAULT_KEYS, action_words
from studiotimer.window.main import MainWindow
from studiotimer.window.settings.key_editor import NO_NAME, KeyCatcher
from studiotimer.window.settings.key_list import KeyList
from studiotimer.window.settings.panel import BAR, SettingsPanel
from tests.kept import load_memory, load_settings, save_memory, settled
from tests.session.clocks import HandClock
from tests.window.conftest import PLAN
from tests.window.test_settings import Listener

K, M = Qt.Key, Qt.KeyboardModifier


@pytest.fixture(autouse=True)
def shown_in(monkeypatch):
    """Numbers are shown in metric units again after each test."""
    monkeypatch.setattr(units.showing, "_shown_in", "metric")


@pytest.fixture
def press(qtbot):
    """Press keys where the keys are."""

    def press(window, *keys, modifier=M.NoModifier):
        for key in keys:
            qtbot.keyClick(QApplication.focusWidget() or window, key, modifier)

    return press


@pytest.fixture
def panel(shoot, press):
    """The settings open under a running clock."""
    press(shoot, K.Key_F10)
    return shoot.page.below.part


def click(qtbot, button):
    assert button.isVisible(), button.accessibleName()
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def kinds(window):
    return [entry.kind for entry in window.running.session.ledger.entries]


def section(qtbot, panel, name):
    if panel.whole:
        panel.show_section(name)
    else:
        click(qtbot, panel.names[name])
    return panel.sections[name]


def test_f10_opens_the_settings_and_closes_them_again(shoot, press):
    before = shoot.page.below.currentWidget()
    press(shoot, K.Key_F10)
    assert isinstance(shoot.page.below.part, SettingsPanel)
    assert shoot.page.below.part.isVisible()
    press(shoot, K.Key_F10)
    assert shoot.page.below.part is None
    assert shoot.page.below.currentWidget() is before
    assert QApplication.focusWidget() is shoot.page


@pytest.mark.parametrize("how", ["escape", "close", "word"])
def test_the_settings_close_as_every_crew_member_expects(qtbot, shoot, panel, press, how):
    if how == "escape":
        press(shoot, K.Key_Escape)
    elif how == "close":
        click(qtbot, panel.close_button)
    else:
        click(qtbot, shoot.nav.asks["settings"])
    assert shoot.page.below.part is None


def test_the_names_of_the_sections_are_whole_from_the_first(qtbot, panel):
    qtbot.wait(30)
    assert panel._names.minimumWidth() >= panel._deeds.sizeHint().width() + BAR


def test_what_has_room_does_not_scroll(qtbot, shoot, panel):
    shoot.resize(1280, 800)
    for name in ("Sound", "Display"):
        section(qtbot, panel, name)
        qtbot.wait(30)
        assert panel.areas[name].verticalScrollBar().maximum() == 0, name
    keys = section(qtbot, panel, "Keys")
    qtbot.wait(30)
    last = max(row.add.mapTo(keys, row.add.rect().bottomLeft()).y() for row in keys.rows.values())
    assert keys.height() < last + 80, "the keys end in nothing"


@pytest.mark.parametrize("size", [(1024, 640), (1280, 800), (1920, 1080)])
@pytest.mark.parametrize("what", ["settings", "key_list"])
def test_nothing_above_moves_or_is_covered(qtbot, shoot, size, what):
    shoot.resize(*size)
    qtbot.waitUntil(lambda: shoot.running.forecast is not None, timeout=20_000)
    qtbot.wait(30)
    page = shoot.page
    above = [page.header, page.cue_button, page.calls]
    before = [QRect(one.geometry()) for one in above]
    page.act(what)
    part = page.below.part
    if what == "settings":
        part.show_section("Keys")
        part.say("a long sentence about what cannot be, " * 8)
    qtbot.wait(30)
    assert [one.geometry() for one in above] == before
    box = QRect(part.mapTo(page, part.rect().topLeft()), part.size())
    assert not any(box.intersects(one.geometry()) for one in (*above, page.cue_label))
    assert page.cue_label.isVisible()


def test_calls_go_on_while_the_settings_are_open(shoot, panel, press):
    press(shoot, K.Key_Space)
    assert kinds(shoot)[-1] == "shot"
    shoot.running.session.clock.advance(3)
    press(shoot, K.Key_P)
    assert kinds(shoot)[-1] == "pull"
    assert shoot.page.below.part is panel


def test_enter_is_the_call_s_while_its_choices_are_open(shoot, panel, press):
    press(shoot, K.Key_Space)
    shoot.running.session.clock.advance(3)
    press(shoot, K.Key_R)
    assert shoot.page.calls.choosing
    panel.take_focus()
    press(shoot, K.Key_Up)
    press(shoot, K.Key_Return)
    assert kinds(shoot)[-1] == "reading"


def test_everything_is_reached_with_tab_and_pressed_with_enter(shoot, panel, press):
    passed = []
    for _ in range(40):
        focus = QApplication.focusWidget()
        if focus is panel.sections["Sound"].mute:
            break
        passed.append(focus.accessibleName())
        press(shoot, K.Key_Tab)
    else:
        raise AssertionError(passed)
    press(shoot, K.Key_Return)
    assert shoot.kept.settings.mute
    assert "nothing to undo" not in panel.undo.accessibleName()
    assert kinds(shoot) == ["opened"]


def test_everything_names_itself(shoot, panel):
    for name in panel.sections:
        panel.show_section(name)
        for button in panel.findChildren(QPushButton):
            assert button.accessibleName(), button.text()
    names = [button.accessibleName() for button in panel.findChildren(QPushButton)]
    assert len(set(names)) == len(names)


def test_the_volume_holds_at_once_is_kept_and_undone_as_one(qtbot, shoot, panel):
    shoot.sounds.engine = heard = Listener()
    sound = panel.sections["Sound"]
    for _ in range(3):
        click(qtbot, sound.volume.less)
    click(qtbot, sound.hear["pull"])
    assert heard.played == [("pull", pytest.approx(0.3))]
    assert sound.volume.value.text() == "30 %"
    assert load_settings()[0].volume == pytest.approx(0.3)
    click(qtbot, panel.undo)
    click(qtbot, sound.hear["pull"])
    assert heard.played[1:] == [("pull", pytest.approx(0.6))]
    assert load_settings()[0].volume == 0.6
    assert panel.message.text() == "Undone: volume"
    assert not panel.undo.isEnabled()


def test_the_volume_stops_at_its_ends(qtbot, shoot, panel):
    shoot.kept.change("volume", volume=0.1)
    click(qtbot, panel.sections["Sound"].volume.less)
    assert shoot.kept.settings.volume == 0.0
    assert not panel.sections["Sound"].volume.less.isEnabled()


def test_each_sound_is_turned_off_and_heard(qtbot, shoot, panel):
    shoot.sounds.engine = heard = Listener()
    sound = panel.sections["Sound"]
    click(qtbot, sound.wanted["refused"])
    shoot.running.refused.emit("no")
    assert [name for name, _ in heard.played].count("refused") == 0
    click(qtbot, sound.hear["refused"])
    assert [name for name, _ in heard.played].count("refused") == 1
    click(qtbot, sound.wanted["refused"])
    shoot.running.refused.emit("no")
    assert [name for name, _ in heard.played].count("refused") == 2
    assert load_settings()[0].silenced == ()


def test_muted_calls_make_no_sound(qtbot, shoot, panel, press):
    shoot.sounds.engine = heard = Listener()
    click(qtbot, panel.sections["Sound"].mute)
    press(shoot, K.Key_Space)
    assert kinds(shoot)[-1] == "shot"
    assert [name for name, _ in heard.played].count("accepted") == 0
    click(qtbot, panel.sections["Sound"].mute)
    shoot.running.session.clock.advance(3)
    press(shoot, K.Key_P)
    assert [name for name, _ in heard.played].count("accepted") == 1


def test_without_sound_the_settings_say_why(shoot, press):
    engine = shoot.sounds.engine
    engine.trouble = "No sound: this machine has no audio device."
    press(shoot, K.Key_F10)
    trouble = shoot.page.below.part.sections["Sound"].trouble
    assert trouble.text() == engine.trouble
    engine.said.emit("There is sound now.")
    assert trouble.text() == "There is sound now."


def test_a_clicker_s_key_is_bound_by_pressing_it(qtbot, shoot, panel, press):
    keys = section(qtbot, panel, "Keys")
    row = keys.rows["swap"]
    row.add.setFocus()
    press(shoot, K.Key_Return)
    assert row.add.text() == "press a key…"
    press(shoot, K.Key_PageUp)
    assert shoot.kept.keys.keys["swap"] == ("S", "PgUp")
    assert list(row.chips) == ["S", "PgUp"]
    assert kinds(shoot) == ["opened"]
    settled()
    assert json.loads((config_folder() / "keys.json").read_text()) == {"swap": ["S", "PgUp"]}
    press(shoot, K.Key_Escape)
    press(shoot, K.Key_Space)
    shoot.running.session.clock.advance(3)
    press(shoot, K.Key_P)
    shoot.running.session.clock.advance(3)
    press(shoot, K.Key_H)
    shoot.running.session.clock.advance(3)
    press(shoot, K.Key_P)
    shoot.running.session.clock.advance(3)
    press(shoot, K.Key_PageUp)
    assert kinds(shoot)[-1] == "swap"


@pytest.mark.parametrize("key", [K.Key_MediaPlay, K.Key_F9, K.Key_Tab, K.Key_Return, K.Key_VolumeUp, K.Key_B])
def test_whatever_key_comes_is_the_one_bound(qtbot, shoot, panel, press, key):
    shoot.kept.free("stand_in", "B")
    row = section(qtbot, panel, "Keys").rows["swap"]
    click(qtbot, row.add)
    press(shoot, key)
    assert len(shoot.kept.keys.keys["swap"]) == 2
    assert not row.add.listening
    assert kinds(shoot) == ["opened"]


def test_a_key_that_means_something_already_is_refused_by_name(qtbot, shoot, panel, press):
    row = section(qtbot, panel, "Keys").rows["swap"]
    click(qtbot, row.add)
    press(shoot, K.Key_P)
    assert panel.message.text() == "The key P cannot mean both “Pull” and “Swap”; free it first"
    assert panel.message.isVisible()
    assert shoot.kept.keys.keys == DEFAULT_KEYS
    assert kinds(shoot) == ["opened"]
    settled()
    assert not (config_folder() / "keys.json").exists()


def test_waiting_for_a_key_is_left_with_escape_by_going_elsewhere_and_after_a_while(qtbot, shoot, panel, press):
    row = section(qtbot, panel, "Keys").rows["swap"]
    click(qtbot, row.add)
    press(shoot, K.Key_Escape)
    assert not row.add.listening
    assert shoot.page.below.part is panel
    click(qtbot, row.add)
    panel.take_focus()
    assert not row.add.listening
    click(qtbot, row.add)
    row.add._patience.setInterval(1)
    row.add._patience.start()
    qtbot.waitUntil(lambda: not row.add.listening)
    assert shoot.kept.keys.keys == DEFAULT_KEYS


def test_shift_alone_is_waited_past_and_a_key_without_a_name_is_said(qtbot, shoot, panel, press):
    row = section(qtbot, panel, "Keys").rows["swap"]
    click(qtbot, row.add)
    press(shoot, K.Key_Shift)
    assert row.add.listening
    QApplication.sendEvent(row.add, QKeyEvent(QEvent.Type.KeyPress, K.Key_unknown, M.NoModifier))
    assert panel.message.text().lower() == NO_NAME.lower()
    assert shoot.kept.keys.keys == DEFAULT_KEYS


def test_keys_are_freed_and_all_come_back(qtbot, shoot, panel, press):
    keys = section(qtbot, panel, "Keys")
    click(qtbot, keys.rows["pull"].chips["P"])
    assert shoot.kept.keys.keys["pull"] == ()
    press(shoot, K.Key_P)
    assert kinds(shoot) == ["opened"]
    click(qtbot, keys.usual)
    assert shoot.kept.keys.keys == DEFAULT_KEYS
    assert not keys.usual.isEnabled()
    click(qtbot, panel.undo)
    assert shoot.kept.keys.keys["pull"] == ()


def test_the_way_out_stays(qtbot, shoot, panel):
    keys = section(qtbot, panel, "Keys")
    panel.areas["Keys"].ensureWidgetVisible(keys.rows["let_go"])
    click(qtbot, keys.rows["let_go"].chips["Escape"])
    assert "always means “Leave, cancel”" in panel.message.text()
    assert shoot.kept.keys.keys == DEFAULT_KEYS


def test_the_call_bar_shows_the_keys_as_they_are(shoot, panel):
    shoot.kept.free("pull", "P")
    shoot.kept.bind("pull", "F6")
    assert "F6" in shoot.page.bar.button("pull").accessibleName()


def test_the_key_with_the_focus_comes_into_view(qtbot, shoot, panel):
    keys = section(qtbot, panel, "Keys")
    last = keys.rows["key_list"].add
    last.setFocus()
    area = panel.areas["Keys"]
    spot = lambda: last.mapTo(area.viewport(), last.rect().center())  # noqa: E731
    qtbot.waitUntil(lambda: area.viewport().rect().contains(spot()))


LEARNED = Memory({"gelato": Known(math.log(0.88), 0.15, 5, "2026-06-14"), "sorbet": Known(0.1, 0.18, 1, "2026-06-14")})


@pytest.fixture
def learned(home):
    """A memory of two mixes, kept before the window opens."""
    save_memory(LEARNED)


@pytest.fixture
def knowing(learned, shoot, press):
    """The settings, of a crew that knows two mixes."""
    press(shoot, K.Key_F10)
    return shoot.page.below.part


def test_what_was_learned_is_read(qtbot, knowing):
    said = section(qtbot, knowing, "Learned").said
    assert said["gelato"].text() == "lasts 12 % shorter than forecast, from 5 changes seen, 14 Jun 2026"
    assert said["sorbet"].text() == "lasts 11 % longer than forecast, from 1 change seen, 14 Jun 2026"


def test_what_was_learned_is_corrected_and_undone(knowing, qtbot):
    learned = section(qtbot, knowing, "Learned")
    for _ in range(3):
        click(qtbot, learned.slower["gelato"])
    assert load_memory()[0].mixes["gelato"].factor == pytest.approx(0.91)
    assert learned.said["gelato"].text().startswith("lasts 9 % shorter than forecast, corrected by hand")
    click(qtbot, knowing.undo)
    assert load_memory()[0] == LEARNED


def test_what_was_learned_is_forgotten_and_undone(knowing, qtbot, shoot, press):
    learned = section(qtbot, knowing, "Learned")
    learned.forget["gelato"].setFocus()
    press(shoot, K.Key_Return)
    assert list(load_memory()[0].held()) == ["sorbet"]
    assert list(learned.said) == ["sorbet"]
    assert knowing.isAncestorOf(QApplication.focusWidget())
    click(qtbot, learned.forget_all)
    assert load_memory()[0].held() == {}
    assert learned.about.text().startswith("Nothing is learned yet")
    assert knowing.isAncestorOf(QApplication.focusWidget())
    click(qtbot, knowing.undo)
    assert list(learned.said) == ["sorbet"]


def test_a_new_shoot_starts_from_what_was_learned(learned, qtbot, window, tmp_path):
    window.begin(parse_plan(PLAN | {"learned": {"sorbet": {"mean": 0.5, "sd": 0.1}}}), tmp_path / "next.setlog")
    plan = window.running.session.plan
    assert plan.learned["gelato"].mean == pytest.approx(math.log(0.88))
    assert plan.learned["sorbet"].mean == 0.5
    window.close_session()
    assert read(tmp_path / "next.setlog").header.plan["learned"]["gelato"]["mean"] == pytest.approx(math.log(0.88))


def look(window, path, clock):
    """Run a shoot in which one look is seen."""
    window.begin(parse_plan(PLAN), path)
    window.running.session.clock = clock
    for kind in ("pull", "hero_in", "look"):
        clock.advance(45)
        outcome = window.running.call(kind)
        assert outcome.refused is None, outcome.refused


def looked(window, path, clock):
    """Run a shoot in which one look is seen, and close it."""
    look(window, path, clock)
    assert window.close_session()


def test_a_session_teaches_when_it_closes_and_only_once(qtbot, window, tmp_path, monkeypatch):
    clock = HandClock()
    monkeypatch.setattr("studiotimer.session.live.new_session", lambda path, plan: new_session(path, plan, clock))
    looked(window, tmp_path / "one.setlog", clock)
    first = load_memory()[0]
    known = next(iter(first.held().values()))
    assert known.looks == 1
    assert window.kept.memory == first
    window._run(open_session(tmp_path / "one.setlog", clock))
    window.close_session()
    assert next(iter(load_memory()[0].held().values())).looks == 1


def test_closing_does_not_work_out_a_look_again(qtbot, window, tmp_path, monkeypatch):
    """A look costs the physics tens of milliseconds, and a melt shoot has dozens."""
    threads = []

    def counted(*given):
        threads.append(threading.current_thread())
        return tau_seen(*given)

    monkeypatch.setattr("studiotimer.session.learning.tau_seen", counted)
    clock = HandClock()
    monkeypatch.setattr("studiotimer.session.live.new_session", lambda path, plan: new_session(path, plan, clock))
    look(window, tmp_path / "one.setlog", clock)
    qtbot.waitUntil(lambda: len(threads) == 1, timeout=20_000)
    assert window.close_session()
    assert next(iter(load_memory()[0].held().values())).looks == 1
    assert len(threads) == 1
    assert threads[0] is not threading.main_thread()


def test_the_copy_of_a_demo_and_a_rehearsal_teach_nothing(qtbot, window, tmp_path, monkeypatch):
    clock = HandClock()
    monkeypatch.setattr("studiotimer.session.live.new_session", lambda path, plan: new_session(path, plan, clock))
    demo_copies().mkdir(parents=True)
    looked(window, demo_copies() / "demo.setlog", clock)
    assert not memory_file().exists()
    rehearsal = Rehearsal(read(demo_copies() / "demo.setlog"), 60.0)
    rehearsal.jump(1e6)
    window._run(rehearsal)
    assert window.running.state.scoops[1].seen
    window.close_session()
    assert not memory_file().exists()


def test_units_are_shown_by_choice_at_once(qtbot, shoot, panel, press):
    press(shoot, K.Key_Space)
    shoot.running.call("reading", {"what": "air_c", "value": -5.0})
    shoot.running.call("top_up", {"mass_kg": 1.0, "form": "slab", "where": "set"})
    qtbot.waitUntil(lambda: shoot.running.forecast is not None, timeout=20_000)
    shoot.page.refresh()
    assert "23 °C" in shoot.page.header.chips["room_c"].accessibleName()
    click(qtbot, section(qtbot, panel, "Display").units["US"])
    assert "73 °F" in shoot.page.header.chips["room_c"].accessibleName()
    words = [row.words for row in shoot.page.log.rows]
    assert "air at the set 23 °F" in words
    assert "top-up 2.2 lb slab, set" in words
    assert shoot.nav.units == "US"
    shoot.page.calls.choose("reading", {"what": "air_c"})
    press(shoot, K.Key_Up)
    assert shoot.page.calls.strip.line.text() == "24 °F"
    press(shoot, K.Key_Escape)
    click(qtbot, panel.undo)
    assert "23 °C" in shoot.page.header.chips["room_c"].accessibleName()


def test_pages_are_light_or_dark_by_choice(qtbot, window):
    window.nav.go("prep")
    light = window.nav.prep._colours.name
    window.kept.change("dark pages", colours="dark")
    assert (light, window.nav.prep._colours.name) == ("light", "dark")
    window.kept.change("light pages", colours="light")
    assert window.nav.prep._colours.name == "light"


def test_without_a_session_the_settings_are_a_page_of_their_own(qtbot, window, press):
    window.start.flavour.setFocus()
    press(window, K.Key_F10)
    panel = window.pages.currentWidget()
    assert isinstance(panel, SettingsPanel)
    row = section(qtbot, panel, "Keys").rows["swap"]
    click(qtbot, row.add)
    press(window, K.Key_F10)
    assert "“Swap” and “Settings”" in panel.message.text() or "“Settings” and “Swap”" in panel.message.text()
    press(window, K.Key_Escape)
    assert window.pages.currentWidget() is window.start
    assert QApplication.focusWidget() is window.start.flavour
    press(window, K.Key_X)
    assert "x" in window.start.flavour.text()


def test_as_a_page_the_settings_stand_together_and_undo_names_what_it_undoes(qtbot, window, press):
    save = window.kept
    press(window, K.Key_F10)
    panel = window.pages.currentWidget()
    assert all(one.isVisible() for one in panel.sections.values())
    assert not panel.undo.isVisible()
    click(qtbot, panel.sections["Sound"].mute)
    assert panel.undo.text() == "Undo: mute"
    click(qtbot, panel.undo)
    assert not save.settings.mute
    assert not panel.undo.isVisible()


def test_a_mix_has_its_bar_to_the_side_it_differs(qtbot, knowing):
    bars = section(qtbot, knowing, "Learned").bars
    assert bars["gelato"].filled < 0 < bars["sorbet"].filled
    assert bars["gelato"].filled == pytest.approx((0.88 - 1) / 0.5)


def test_a_session_that_opens_takes_the_settings_place(qtbot, window, session_path, clock, press):
    press(window, K.Key_F10)
    window._run(new_session(session_path, parse_plan(PLAN), clock))
    assert window.pages.currentWidget() is window.page
    assert window.pages.part is None


def test_f1_lists_every_key(qtbot, shoot, press):
    press(shoot, K.Key_F1)
    part = shoot.page.below.part
    assert isinstance(part, KeyList)
    for action in DEFAULT_KEYS:
        assert action_words(action) in part.accessibleDescription()
    press(shoot, K.Key_F10)
    assert isinstance(shoot.page.below.part, SettingsPanel)
    press(shoot, K.Key_F1)
    press(shoot, K.Key_F1)
    assert shoot.page.below.part is None


@pytest.mark.parametrize("size", [(1024, 640), (1280, 800), (1920, 1080), (3840, 2160)])
def test_the_list_of_keys_fits(qtbot, shoot, size):
    shoot.resize(*size)
    qtbot.wait(30)
    shoot.page.act("key_list")
    qtbot.wait(30)
    part = shoot.page.below.part
    pixels, columns, rows = part.fitted()
    assert pixels >= 12
    assert -(-(len(rows) + 1) // columns) * pixels * 1.2 <= part.height()


def test_damaged_files_are_said_once_when_the_window_opens(qtbot, monkeypatch):
    (config_folder() / "settings.json").write_text("{")
    (config_folder() / "keys.json").write_text('{"swap": ["P"]}')
    memory_file().write_text("[]")
    monkeypatch.setattr("studiotimer.window.faults.catch_all", lambda tell, last_entries: None)
    monkeypatch.setattr(MainWindow, "_load_sounds", lambda self: None)
    window = MainWindow()
    qtbot.addWidget(window)
    window.show()
    qtbot.waitUntil(lambda: window.start.message.text() != "")
    said = window.start.message.text()
    assert said.count("was set aside as") == 3
    assert "“Pull” and “Swap”" in said
    assert window.kept.keys.keys == DEFAULT_KEYS


def test_a_disk_that_refuses_a_setting_is_said_and_the_setting_holds(qtbot, shoot, panel, monkeypatch):
    def full(*_, **__):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("studiotimer.session.small_files.write_whole", full)
    click(qtbot, panel.sections["Sound"].mute)
    assert shoot.kept.settings.mute
    settled()
    assert panel.message.text().startswith("Settings.json cannot be kept (No space left on device)")


def test_one_that_waits_for_a_key_says_so_to_a_screen_reader(qtbot):
    catcher = KeyCatcher("Swap")
    qtbot.addWidget(catcher)
    assert catcher.accessibleName() == "add a key for Swap"
    catcher.listen(True)
    assert catcher.accessibleName() == "press the key for Swap now"


def written(qtbot, folders, words):
    folders.line.setFocus()
    folders.line.selectAll()
    qtbot.keyClicks(folders.line, words)
    qtbot.keyClick(folders.line, K.Key_Return)


def test_the_folder_of_sessions_is_written_and_undone(qtbot, shoot, panel, tmp_path):
    usual = sessions_folder()
    folders = section(qtbot, panel, "Folders")
    before = kinds(shoot)
    assert folders.line.text() == str(usual)
    written(qtbot, folders, str(tmp_path / "p" / "shoots"))
    assert sessions_folder() == tmp_path / "p" / "shoots"
    assert sessions_folder().is_dir()
    assert load_settings()[0].sessions == str(tmp_path / "p" / "shoots")
    assert kinds(shoot) == before
    click(qtbot, panel.undo)
    assert sessions_folder() == usual
    assert folders.line.text() == str(usual)


def test_a_folder_that_cannot_be_is_refused_with_a_sentence(qtbot, shoot, panel, tmp_path):
    usual = sessions_folder()
    folders = section(qtbot, panel, "Folders")
    (tmp_path / "file").write_text("")
    for words, why in (
        ("shoots", "is not a whole path; write it like"),
        (str(tmp_path / "file"), "cannot be a folder"),
        ("~nosuchuser/x", "is not a whole path"),
    ):
        written(qtbot, folders, words)
        assert why in folders.trouble.text()
        assert folders.trouble.isVisible()
        assert sessions_folder() == usual
    written(qtbot, folders, str(tmp_path))
    assert not folders.trouble.isVisible()
    click(qtbot, folders.usual)
    assert sessions_folder() == usual


def test_the_size_is_kept_for_the_next_start(qtbot, shoot, panel):
    pages = section(qtbot, panel, "Display")
    click(qtbot, pages.sizes[1.5])
    assert load_settings()[0].size == 1.5
    assert theme.zoom() == 1.0
    click(qtbot, panel.undo)
    assert load_settings()[0].size == 1.0
