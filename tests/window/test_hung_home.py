"""The disk with the user's own folder hangs for real: the window opens, says so, and nothing there is written over."""

import os
import subprocess
import sys
import threading
import time
import types

import pytest

from studiotimer.places import config_folder, where_kept
from studiotimer.window import faults, places_kept, shelf, theme
from studiotimer.window.main import MainWindow
from studiotimer.window.prep import unsaved
from studiotimer.window.set import guide
from studiotimer.window.settings.remembered import CAME, SILENT, Remembered
from studiotimer.window.settings.values import Settings, settings_file
from tests.hung import hung_folder  # noqa: F401
from tests.kept import load_settings, save_settings, settled

pytestmark = pytest.mark.usefixtures("crew_patience")
HOMES = ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME")
MEANT_S = 60.0
"""What hangs does so for good; the time is for a machine that does other work too."""


@pytest.fixture
def hung(hung_folder, monkeypatch):  # noqa: F811
    """The folder that hangs, where the user's own are; what is looked for before a window shows was found already."""
    settled()
    theme.font(10)
    for name in HOMES:
        monkeypatch.setenv(name, str(hung_folder.folder / name))
    yield hung_folder
    hung_folder.let_go()
    settled()


def counted_waits(monkeypatch):
    """Return the list of how long the user's own files are waited for, from now on."""
    waits = []

    class Counted(threading.Event):
        def wait(self, timeout=None):
            waits.append(timeout)
            return super().wait(timeout)

    monkeypatch.setattr(shelf, "threading", types.SimpleNamespace(Event=Counted, Lock=threading.Lock))
    return waits


@pytest.mark.fault("the user's own folder hangs when the window opens")
def test_the_window_opens_and_says_so(qtbot, hung, monkeypatch):
    monkeypatch.setattr(faults, "catch_all", lambda tell, last_entries: None)
    monkeypatch.setattr(MainWindow, "_load_sounds", lambda self: None)
    waits = counted_waits(monkeypatch)
    faults.keep_log()
    window = MainWindow()
    qtbot.addWidget(window)
    window.show()
    assert [each for each in waits if each] == [shelf.START_S], "two seconds are waited once"
    assert hung.asked.is_set()
    qtbot.waitUntil(lambda: window.start.message.text() == SILENT)
    assert SILENT.count(".") == 1
    assert window.kept.settings == Settings()
    assert window.start.first_time.isHidden()
    began = time.monotonic()
    waits.clear()
    window.kept.change("mute", mute=True)
    places_kept.remember("crew/open", True)
    guide.keep_offered()
    unsaved.keep(unsaved.Unsaved({}, {}, None))
    with faults.logged("a test"):
        raise RuntimeError("made to fail")
    assert (window.kept.settings.mute, places_kept.kept("crew/open")) == (True, True)
    assert not any(waits)
    window.close()
    assert not window.isVisible()
    assert time.monotonic() - began < MEANT_S


@pytest.mark.fault("the user's own folder answers after the window opened")
def test_what_is_there_holds_once_it_answers_and_nothing_is_lost(qtbot, monkeypatch, tmp_path):
    from tests.hung import HungFolder

    save_settings(Settings(units="US", volume=0.2))
    places_kept.remember("crew/monitor", "left")
    settled()
    places_kept._read.clear()
    before = settings_file().read_bytes()
    try:
        hung = HungFolder(config_folder())
    except OSError as error:
        pytest.skip(f"needs FUSE and root: {error.strerror}")
    try:
        kept, said = Remembered(), []
        kept.said.connect(said.append)
        assert kept.words == SILENT
        kept.change("mute", mute=True)
        assert places_kept.kept("crew/monitor") is None
        places_kept.remember("crew/open", True)
        assert kept.settings == Settings(mute=True)
        assert not shelf.drained(0.3)
    finally:
        hung.let_go()
    settled()
    assert settings_file().read_bytes() != before
    assert load_settings()[0] == kept.settings == Settings(units="US", volume=0.2, mute=True)
    assert places_kept.kept("crew/monitor") == "left"
    assert places_kept.kept("crew/open") is True
    assert all("cannot be" not in words or words.startswith(CAME) for words in said)


OPENS = """
import sys, time
from PySide6.QtCore import QTimer
from studiotimer.window import app, main
shown = main.MainWindow.showEvent
def show(self, event):
    shown(self, event)
    QTimer.singleShot(300, lambda: (print(self.start.message.text(), flush=True), self.close()))
main.MainWindow.showEvent = show
raise SystemExit(app.run())
"""


@pytest.mark.fault("the real program with the user's own folder on a disk that hangs, opened and closed")
def test_the_real_program_opens_and_closes(hung):
    began = time.monotonic()
    done = subprocess.run(
        [sys.executable, "-c", OPENS], env=os.environ, capture_output=True, text=True, check=False, timeout=90
    )
    assert done.stdout == f"{SILENT}\n"
    assert (done.returncode, done.stderr) == (0, "")
    assert time.monotonic() - began < MEANT_S


@pytest.mark.fault("where the windows stood cannot be read, and is not written over")
def test_where_the_windows_stood_is_not_written_over_unread(monkeypatch):
    file = where_kept()[0] / places_kept.FILE
    places_kept.remember("crew/monitor", "left")
    settled()
    data, read_text = file.read_bytes(), type(file).read_text

    def refuse(path, *given, **named):
        if path == file:
            raise PermissionError(13, "Permission denied")
        return read_text(path, *given, **named)

    with monkeypatch.context() as patch:
        patch.setattr(type(file), "read_text", refuse)
        places_kept.remember("crew/open", True)
        settled()
        assert file.read_bytes() == data
    places_kept.remember("crew/place", [1, 2, 3, 4, 0])
    settled()
    places_kept._read.clear()
    assert [places_kept.kept(f"crew/{one}") for one in ("monitor", "open", "place")] == ["left", True, [1, 2, 3, 4, 0]]


def test_of_two_windows_neither_forgets_what_the_other_kept():
    from studiotimer.files import small_json, write_whole

    file = where_kept()[0] / places_kept.FILE
    places_kept.remember("zones", {"a": "+01:00"})
    settled()
    write_whole(file, b'{"zones": {"a": "+01:00", "theirs": "+02:00"}, "other": 1}')
    places_kept.alter("zones", lambda zones: {**zones, "ours": "+03:00"})
    settled()
    assert small_json(file) == {"zones": {"a": "+01:00", "theirs": "+02:00", "ours": "+03:00"}, "other": 1}


@pytest.mark.fault("a plan that was not saved cannot be read when another is kept")
def test_an_unread_draft_is_put_beside(qtbot):
    place = where_kept()[1] / unsaved.NAME
    place.parent.mkdir(parents=True, exist_ok=True)
    place.write_bytes(b"{ damaged")
    assert unsaved.kept() is None
    unsaved.keep(unsaved.Unsaved({}, {}, None))
    settled()
    assert place.with_name("unsaved-plan.not-read.json").read_bytes() == b"{ damaged"
    assert place.read_bytes().startswith(b'{"draft"')
