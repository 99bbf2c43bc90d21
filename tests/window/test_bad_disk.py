"""The window while its disk is full, slow, closed or away: calls go on, nothing is shown as logged that is not."""

import contextlib
import errno
import os
import shutil
import threading
import time

import pytest
from PySide6.QtCore import Qt

from studiotimer.cli import main
from studiotimer.places import data_folder, sessions_folder
from studiotimer.session import journal as files
from studiotimer.session import writer as writers
from studiotimer.session.elsewhere import NowhereError, go_on_elsewhere
from studiotimer.session.live import new_session, open_read_only
from studiotimer.session.reading import read
from studiotimer.session.verifying import verify
from studiotimer.window.call_socket import CallSocket
from tests.screens import needs_screen, program, screen
from tests.window.test_on_screen import wait_for

K = Qt.Key


@pytest.fixture(autouse=True)
def _quick_retries(monkeypatch):
    monkeypatch.setattr(writers.Writer.__init__, "__defaults__", (0.02,))


class Disk:
    """What fsync does: as it should, refuse with an error, or take its time."""

    def __init__(self, fsync):
        self._fsync = fsync
        self.says = None
        self.takes_s = 0.0
        self.free = threading.Event()
        self.free.set()

    def __call__(self, handle):
        time.sleep(self.takes_s)
        self.free.wait(250)
        if self.says is not None:
            raise OSError(self.says, os.strerror(self.says))
        self._fsync(handle)


@pytest.fixture
def disk(monkeypatch):
    disk = Disk(os.fsync)
    monkeypatch.setattr(files.os, "fsync", disk)
    yield disk
    disk.says, disk.takes_s = None, 0.0
    disk.free.set()


@pytest.fixture
def on_disk(qtbot, shoot):
    """Wait until the disk has everything that was called."""
    return lambda: qtbot.waitUntil(lambda: shoot.running.session.waiting == 0)


def marks(window):
    return {row.words: row.mark for row in window.page.log.rows}


def notes(path):
    return [one.text for one in read(path).entries if one.kind == "note"]


def call(window, text):
    window.running.session.clock.advance(1.0)
    assert window.running.call("note", {"text": text}).entry is not None


def from_outside(qtbot, *arguments):
    """Run `studiotimer call` in a thread while the window works, and return its exit status."""
    done = begun_outside(*arguments)
    qtbot.waitUntil(lambda: bool(done), timeout=20_000)
    return done[0]


def begun_outside(*arguments):
    """Run `studiotimer call` in a thread, and return the list that has its exit status then."""
    done = []
    threading.Thread(target=lambda: done.append(main(["call", *arguments])), daemon=True).start()
    return done


@pytest.mark.fault("the window on a disk that fills up")
def test_a_full_disk_is_said_and_everything_is_written_when_there_is_room(qtbot, shoot, disk, on_disk, press, capsys):
    call(shoot, "before")
    on_disk()
    disk.says = errno.ENOSPC
    press(shoot, K.Key_1)
    call(shoot, "while full")
    qtbot.waitUntil(lambda: "No space left on device" in shoot.page.standing.text())
    assert shoot.page.standing.text().startswith("Not on disk yet:")
    assert shoot.page.standing.isVisible()
    assert marks(shoot) == {
        "opened on " + marks_machine(shoot): "", "before": "", "light locked": "not on disk yet",
        "while full": "not on disk yet",
    }  # fmt: skip
    assert notes(shoot.running.session.path) in (["before"], ["before", "while full"])
    assert from_outside(qtbot, "note", "--text", "from a script") == 1
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err == (
        "studiotimer: entry 5 is kept in the window, not on disk yet: No space left on device; "
        "it is written when the disk is back, do not call it again\n"
    )
    disk.says = None
    on_disk()
    qtbot.waitUntil(lambda: "Not on disk" not in shoot.page.standing.text())
    qtbot.waitUntil(lambda: set(marks(shoot).values()) == {""})
    assert from_outside(qtbot, "note", "--text", "after") == 0
    assert notes(shoot.running.session.path) == ["before", "while full", "from a script", "after"]
    assert verify(shoot.running.session.path).whole


def marks_machine(window):
    return window.running.session.ledger.entries[0].machine


@pytest.mark.fault("a call of another program that the disk refuses late")
def test_a_call_that_waits_is_told_when_the_disk_refuses_after_all(qtbot, shoot, disk, capsys):
    disk.says, disk.takes_s = errno.EIO, 0.3
    assert from_outside(qtbot, "note", "--text", "waits") == 1
    assert "not on disk yet: Input/output error" in capsys.readouterr().err


@pytest.mark.fault("the window on a disk that takes its time")
def test_a_disk_that_takes_its_time_holds_up_nobody_but_the_script(qtbot, shoot, disk, on_disk, press, capsys):
    on_disk()
    disk.free.clear()
    press(shoot, K.Key_1)
    for number in range(20):
        call(shoot, f"note {number}")
    assert set(marks(shoot).values()) == {"not on disk yet"}, "none of 21 waited for the first to be there"
    done = begun_outside("note", "--text", "from a script")
    qtbot.waitUntil(lambda: shoot.running.session.ledger.entries[-1].n == 23)
    assert done == []
    disk.free.set()
    qtbot.waitUntil(lambda: done == [0])
    assert notes(shoot.running.session.path)[-1] == "from a script"
    assert "is on disk" in capsys.readouterr().out


@pytest.mark.fault("the folder moved away under the window")
def test_the_folder_taken_away_the_session_goes_on_at_another_place_by_key(qtbot, shoot, on_disk, press, tmp_path):
    path = shoot.running.session.path
    call(shoot, "before")
    on_disk()
    away = path.parent.rename(tmp_path.parent / f"{tmp_path.name}-away")
    call(shoot, "while away")
    qtbot.waitUntil(lambda: "Not on disk yet" in shoot.page.standing.text())
    assert shoot.page.elsewhere.isVisible()
    press(shoot, K.Key_F8)
    moved = sessions_folder() / "test-moved-1.setlog"
    assert shoot.running.session.path == moved
    assert notes(moved) == ["before", "while away"]
    assert str(moved.parent) in shoot.page.quiet_line.text()
    assert shoot.windowTitle() == "test-moved-1 – Studiotimer"
    qtbot.waitUntil(lambda: not shoot.page.elsewhere.isVisible())
    assert "Not on disk" not in shoot.page.standing.text()
    call(shoot, "after")
    on_disk()
    assert shoot.close_session()
    assert notes(moved) == ["before", "while away", "after"]
    assert verify(moved).whole
    assert open_read_only(moved).header.session == open_read_only(away / path.name).header.session
    away.rename(tmp_path)


@pytest.mark.fault("the usual place for sessions is a file")
def test_or_by_a_click_and_in_the_users_own_data_where_the_usual_place_refuses(qtbot, shoot, disk, on_disk):
    sessions_folder().parent.mkdir(parents=True, exist_ok=True)
    sessions_folder().write_text("a file stands where the folder should")
    shoot.running.session._writer._retry_s = 60.0
    disk.says = errno.ENOSPC
    call(shoot, "kept")
    qtbot.waitUntil(lambda: shoot.page.elsewhere.isVisible())
    disk.says = None
    qtbot.mouseClick(shoot.page.elsewhere, Qt.MouseButton.LeftButton)
    assert shoot.running.session.path == data_folder() / "sessions" / "test-moved-1.setlog"
    assert notes(shoot.running.session.path) == ["kept"]


@pytest.mark.fault("no disk takes the session")
def test_where_no_place_takes_it_it_says_so_and_keeps_the_calls(qtbot, shoot, disk, on_disk, press):
    disk.says = errno.ENOSPC
    call(shoot, "kept")
    qtbot.waitUntil(lambda: shoot.page.elsewhere.isVisible())
    press(shoot, K.Key_F8)
    assert shoot.page.quiet_line.text().startswith("no other place takes the session: test-moved-1.setlog cannot be")
    assert not list(sessions_folder().iterdir())
    disk.says = None
    on_disk()
    assert notes(shoot.running.session.path) == ["kept"]


def test_a_second_move_is_not_named_after_the_first(tmp_path, plan, disk):
    session = new_session(tmp_path / "day.setlog", plan)
    assert go_on_elsewhere(session).name == "day-moved-1.setlog"
    assert go_on_elsewhere(session).name == "day-moved-2.setlog"
    disk.says = errno.EROFS
    with pytest.raises(NowhereError, match="Read-only file system"):
        go_on_elsewhere(session)
    disk.says = None
    assert session.path.name == "day-moved-2.setlog"
    assert session.close()


def test_while_the_disk_is_well_the_key_only_says_so(shoot, press):
    press(shoot, K.Key_F8)
    assert shoot.page.quiet_line.text() == "the disk takes everything; the session stays where it is"
    assert not shoot.page.elsewhere.isVisible()


@pytest.mark.fault("the window closed while the disk is full")
def test_the_window_does_not_close_on_what_is_not_on_disk_until_asked_twice(qtbot, shoot, disk, on_disk):
    session = shoot.running.session
    disk.says = errno.ENOSPC
    call(shoot, "kept")
    qtbot.waitUntil(lambda: "Not on disk yet" in shoot.page.standing.text())
    assert not shoot.close()
    assert "stays open" in shoot.page.quiet_line.text()
    call(shoot, "still taken")
    assert from_outside(qtbot, "note", "--text", "also from a script") == 1
    disk.says = None
    on_disk()
    qtbot.waitUntil(lambda: "Not on disk" not in shoot.page.standing.text())
    disk.says = errno.ENOSPC
    call(shoot, "again")
    qtbot.waitUntil(lambda: "Not on disk yet" in shoot.page.standing.text())
    assert not shoot.close()
    assert shoot.close()
    shoot.show()
    assert notes(session.path)[:3] == ["kept", "still taken", "also from a script"]


@pytest.mark.fault("another session opened while the disk is full")
def test_another_session_does_not_open_over_one_that_cannot_be_written(qtbot, shoot, disk, plan, tmp_path):
    session = shoot.running.session
    disk.says = errno.ENOSPC
    call(shoot, "kept")
    disk.says = None
    new_session(tmp_path / "other.setlog", plan).close()
    disk.says = errno.ENOSPC
    shoot.open_file(tmp_path / "other.setlog", follow=True)
    assert shoot.running.session is session
    assert "stays open" in shoot.page.quiet_line.text()


@pytest.mark.fault("a session in a closed folder opened in the window")
def test_a_session_in_a_closed_folder_opens_read_only_and_says_why(shoot, plan, tmp_path):
    folder = tmp_path / "closed"
    new_session(folder / "old.setlog", plan).close()
    if os.geteuid() == 0:
        shutil.chown(folder, 65534)
    folder.chmod(0o555)
    (folder / "old.setlog").chmod(0o444)
    for above in folder.parents[:4]:
        above.chmod(0o755)
    root = os.geteuid() == 0
    if root:
        os.seteuid(65534)
    try:
        shoot.open_file(folder / "old.setlog")
    finally:
        if root:
            os.seteuid(0)
        folder.chmod(0o755)
    assert shoot.running.session.read_only
    assert shoot.running.session.path == folder / "old.setlog"
    assert "old.setlog cannot be written: Permission denied." in shoot.page.quiet_line.text()
    assert "Read-only" in shoot.page.standing.text()


@pytest.mark.fault("the session closed while another program waits for the disk")
def test_whoever_waits_when_the_session_ends_is_answered(qtbot, shoot, disk, capsys):
    disk.takes_s = 0.4
    done = []
    thread = threading.Thread(target=lambda: done.append(main(["call", "note", "--text", "last"])), daemon=True)
    thread.start()
    qtbot.waitUntil(lambda: any(one.kind == "note" for one in shoot.running.session.ledger.entries))
    socket = shoot.services.socket
    assert isinstance(socket, CallSocket)
    assert shoot.close_session()
    thread.join(90)
    assert done == [0]


@pytest.mark.fault("the real program on a disk of 64 KiB")
@needs_screen
def test_the_real_program_on_a_small_full_disk(small_disk, plan):
    path, ballast = small_disk / "small.setlog", small_disk / "ballast"
    new_session(path, plan).close()
    with screen() as display, program(display, path) as running:
        running.window()
        assert running.call("note", "--text", "before").returncode == 0
        ballast.write_bytes(b"x" * 4096)
        with contextlib.suppress(OSError), ballast.open("ab") as file:
            while True:
                file.write(b"x" * 4096)
                file.flush()
        refused = []
        while not refused:
            done = running.call("note", "--text", "x" * 400)
            refused += [done] if done.returncode else []
        assert done.returncode == 1
        assert "is kept in the window, not on disk yet: No space left on device" in done.stderr
        kept = len(read(path).entries)
        assert running.call("lock", "--which", "light", "--on", "yes").returncode == 1
        ballast.unlink()
        assert running.call("note", "--text", "after").returncode in (0, 1)
        wait_for(path, lambda entries: entries[-1].kind == "note" and entries[-1].text == "after")
        assert running.call("note", "--text", "last").returncode == 0
        assert [entry.kind for entry in read(path).entries[kept:]] == ["note", "lock", "note", "note"]
        assert running.end() == 0
    assert verify(path).whole
