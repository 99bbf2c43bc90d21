"""Settings, keys and what was learned: never written over when they could not be read, and of two windows neither undoes
the other."""

import os
import subprocess
import sys
from datetime import date

import pytest

from studiotimer.places import config_folder
from studiotimer.session.memory import Known, Lesson, Memory, memory_file, merged
from studiotimer.window.keys import FILE as KEYS
from studiotimer.window.keys import KeyMap
from studiotimer.window.settings.remembered import Remembered
from studiotimer.window.settings.values import Settings, settings_file
from tests.faults.test_disk import NOBODY, ROOT
from tests.kept import load_keys, load_memory, load_settings, save_keys, save_memory, save_settings, settled

TODAY = date(2026, 6, 14)
LEARNED = Memory({"gelato": Known(-0.1, 0.05, 4, "2026-06-01", lessons={"s-1": Lesson(4, 300.0, -30.0)})})


@pytest.fixture
def unreadable(home):
    """Let a file be one that this user may not read (root becomes nobody), until it is undone."""
    undo = []

    def close(path):
        above = (path, *path.parents)
        for folder in above[1:]:
            if home in folder.parents or folder == home:
                folder.chmod(0o777)
        for folder in home.parents:
            if folder.stat().st_uid == os.geteuid() and len(folder.parts) > 2:
                folder.chmod(folder.stat().st_mode | 0o055)
        path.chmod(0)
        if os.geteuid() == 0:
            os.seteuid(NOBODY)
            undo.append(lambda: os.seteuid(0))

    yield close, undo
    for one in undo:
        one()


@pytest.mark.fault("what was learned and set cannot be read when the window opens, and can when it saves")
def test_what_could_not_be_read_once_is_not_wiped(qtbot, unreadable):
    close, undo = unreadable
    save_memory(LEARNED)
    save_settings(Settings(volume=0.2, units="US"))
    save_keys(KeyMap().bound("pull", "F9"))
    for path in (memory_file(), settings_file(), config_folder() / KEYS):
        close(path)
        if undo:
            undo.pop()()
    if os.geteuid() == 0:
        os.seteuid(NOBODY)
    try:
        kept = Remembered()
    finally:
        if os.getuid() == 0:
            os.seteuid(0)
    assert kept.words.count("cannot be read (Permission denied); the usual ones hold.") == 3
    assert kept.memory == Memory()
    for path in (memory_file(), settings_file(), config_folder() / KEYS):
        path.chmod(0o600)
    kept.change("mute", mute=True)
    kept.correct("sorbet", 1.2)
    kept.bind("look", "F11")
    assert load_settings()[0] == kept.settings == Settings(volume=0.2, units="US", mute=True)
    assert load_memory()[0] == kept.memory
    assert kept.memory.mixes["gelato"] == LEARNED.mixes["gelato"]
    assert kept.memory.mixes["sorbet"].factor == pytest.approx(1.2)
    assert (kept.keys.keys["pull"][-1], kept.keys.keys["look"][-1]) == ("F9", "F11")


@pytest.mark.fault("what was learned and set cannot be read at all")
def test_nothing_is_written_over_what_cannot_be_read(qtbot, unreadable):
    close, _ = unreadable
    save_settings(Settings(volume=0.2))
    data = settings_file().read_bytes()
    close(settings_file())
    kept, said = Remembered(), []
    kept.said.connect(said.append)
    kept.change("mute", mute=True)
    assert kept.settings.mute
    settled()
    assert said == [
        "settings.json cannot be read (Permission denied), so nothing is written over it; "
        "the change holds until the program ends."
    ]
    if os.getuid() == 0:
        os.seteuid(0)
    assert settings_file().stat().st_mode & 0o777 == 0
    settings_file().chmod(0o600)
    assert settings_file().read_bytes() == data
    kept.change("units", units="US")
    assert load_settings()[0] == Settings(volume=0.2, mute=True, units="US")


@pytest.mark.fault("a damaged file that cannot be set aside")
def test_what_is_damaged_and_cannot_be_set_aside_is_not_written_over(qtbot, monkeypatch):
    settings_file().write_bytes(b"{ damaged")

    def refuse(*_):
        raise OSError(30, "Read-only file system")

    monkeypatch.setattr("studiotimer.session.small_files.rename", refuse)
    kept, said = Remembered(), []
    kept.said.connect(said.append)
    kept.change("mute", mute=True)
    settled()
    assert settings_file().read_bytes() == b"{ damaged"
    assert len(said) == 1


def test_two_windows_do_not_undo_each_other(qtbot):
    save_memory(LEARNED)
    one, two = Remembered(), Remembered()
    one.change("louder", volume=0.9)
    two.change("units US", units="US")
    one.bind("pull", "F9")
    two.bind("look", "F11")
    one.correct("sorbet", 1.2)
    two.forget("gelato")
    settled()
    kept = Remembered()
    assert kept.settings == Settings(volume=0.9, units="US")
    assert (kept.keys.keys["pull"][-1], kept.keys.keys["look"][-1]) == ("F9", "F11")
    assert list(kept.memory.held()) == ["sorbet"]


def test_undo_takes_back_only_what_this_window_did(qtbot):
    one, two = Remembered(), Remembered()
    one.change("louder", volume=0.9)
    two.change("units US", units="US")
    one.change("mute", mute=True)
    one.undo()
    assert load_settings()[0] == Settings(volume=0.9, units="US")
    two.undo()
    assert load_settings()[0] == Settings(volume=0.9)


def test_a_key_that_would_mean_two_things_means_what_was_said_last(qtbot):
    one, two = Remembered(), Remembered()
    one.bind("pull", "F9")
    two.bind("look", "F9")
    assert load_keys()[0].keys["look"][-1] == "F9"
    assert "F9" not in load_keys()[0].keys["pull"]


def test_of_a_mix_that_both_learned_of_both_lessons_count():
    def learned(memory, session, pull):
        known = memory.mixes["gelato"]
        lessons = {**known.lessons, session: Lesson(1, 100.0, pull)}
        weight = known.sd**-2 + 100.0
        mean = (known.mean * known.sd**-2 + pull) / weight
        return Memory({"gelato": Known(mean, weight**-0.5, known.looks + 1, TODAY.isoformat(), lessons=lessons)})

    one, two = learned(LEARNED, "s-2", -20.0), learned(LEARNED, "s-3", 10.0)
    both = merged(LEARNED, one, two).mixes["gelato"]
    in_turn = learned(two, "s-2", -20.0).mixes["gelato"]
    assert set(both.lessons) == {"s-1", "s-2", "s-3"}
    assert (both.mean, both.sd, both.looks) == pytest.approx((in_turn.mean, in_turn.sd, in_turn.looks))
    forgotten = LEARNED.forgotten("gelato", TODAY)
    assert merged(LEARNED, forgotten, two).mixes["gelato"].looks == 0
    assert set(merged(LEARNED, forgotten, two).mixes["gelato"].lessons) == {"s-1", "s-3"}


CHANGER = """
import sys
from studiotimer.session.memory import Memory, change_memory, load_memory
from datetime import date
for number in range(20):
    base = load_memory()[0]
    kept, trouble = change_memory(base, base.corrected(f"{sys.argv[1]} {number}", 1.1, date.today()))
    assert trouble is None, trouble
"""


@pytest.mark.fault("four programs that learn at once")
def test_of_four_programs_that_save_at_once_none_loses_anything():
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    names = ("one", "two", "three", "four")
    running = [subprocess.Popen([sys.executable, "-c", CHANGER, name], env=environment) for name in names]
    assert [one.wait(200) for one in running] == [0] * 4
    assert set(load_memory()[0].mixes) == {f"{name} {number}" for name in names for number in range(20)}
    assert [path.name for path in memory_file().parent.iterdir()] == [memory_file().name]
