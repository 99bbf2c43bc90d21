"""Disks that are full, read-only, away or slow: calls are taken at once, never said to be on disk before they are."""

import errno
import os
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

import pytest

from studiotimer.session import journal as files
from studiotimer.session import writer as writers
from studiotimer.session.first_lines import SessionFileError
from studiotimer.session.journal import copy_readable
from studiotimer.session.live import new_session, open_read_only, open_session
from studiotimer.session.reading import read
from tests.session.folders import names_in
from tests.session.shoots import plan

ROOT = Path(__file__).parents[2]
NOBODY = 65534


def all_told(session):
    """Whether everything is on disk and that was told: what else was found is told before."""
    return session.on_disk == session.ledger.entries[-1].n


def wait_until(condition, seconds=90.0):
    end = time.monotonic() + seconds
    while not condition():
        assert time.monotonic() < end, "it did not happen in time"
        time.sleep(0.005)


def note(session, number):
    outcome = session.call("note", {"text": f"note {number} " + "x" * 200})
    assert outcome.refused is None


def noted(path):
    return [int(one.text.split()[1]) for one in read(path).entries if one.kind == "note"]


@pytest.fixture(autouse=True)
def _quick_retries(monkeypatch):
    monkeypatch.setattr(writers.Writer.__init__, "__defaults__", (0.02,))


@pytest.fixture
def session(tmp_path):
    session = new_session(tmp_path / "folder" / "shoot.setlog", plan())
    wait_until(lambda: all_told(session))
    yield session
    session.leave()


class TestFull:
    @pytest.mark.fault("a disk that fills up during the shoot, and has room again")
    def test_calls_wait_in_order_and_are_written_when_there_is_room(self, small_disk):
        ballast = small_disk / "ballast"
        session = new_session(small_disk / "shoot.setlog", plan())
        ballast.write_bytes(b"x" * 40_000)
        for number in range(120):
            note(session, number)
        wait_until(lambda: session.trouble == "No space left on device")
        acknowledged = session.on_disk
        assert session.waiting > 0
        assert session.state.last_time > 0
        assert read(session.path).condition in ("whole", "torn")
        assert len(read(session.path).entries) >= acknowledged
        assert not session.close(timeout_s=0.3)
        ballast.unlink()
        wait_until(lambda: all_told(session))
        assert session.trouble is None
        assert session.close()
        assert noted(session.path) == list(range(120))
        assert read(session.path).condition == "whole"

    @pytest.mark.fault("a full disk, left for another")
    def test_or_in_another_place(self, small_disk, tmp_path):
        session = new_session(small_disk / "shoot.setlog", plan())
        for number in range(600):
            note(session, number)
        wait_until(lambda: session.trouble is not None)
        session.go_on_with(session.written_at(tmp_path / "roomy.setlog"))
        assert (session.trouble, session.waiting) == (None, 0)
        note(session, 600)
        assert session.close()
        assert noted(tmp_path / "roomy.setlog") == list(range(601))

    @pytest.mark.fault("another place that is full too")
    def test_another_place_without_room_is_refused_and_left_clean(self, small_disk, session):
        for number in range(600):
            note(session, number)
        with pytest.raises(SessionFileError, match=r"^shoot.setlog cannot be written: No space left on device"):
            session.go_on_with(session.written_at(small_disk / "shoot.setlog"))
        assert names_in(small_disk) == []
        assert session.close()
        assert noted(session.path) == list(range(600))

    @pytest.mark.fault("a shoot begun on a full disk")
    def test_a_new_session_on_a_full_disk_is_refused_and_left_clean(self, small_disk):
        (small_disk / "ballast").write_bytes(b"x" * 65_536)
        with pytest.raises(SessionFileError, match=r"shoot.setlog cannot be made in .*: No space left on device"):
            new_session(small_disk / "shoot.setlog", plan())
        assert names_in(small_disk) == ["ballast"]


@pytest.mark.fault("a limit on the size of files")
def test_a_limit_on_the_size_of_files(tmp_path, monkeypatch):
    """As a full disk, for any user: the file may not grow beyond what it has."""
    session = new_session(tmp_path / "shoot.setlog", plan())
    wait_until(lambda: all_told(session))
    size = session.path.stat().st_size
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    previous = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size + 100, before[1]))
    try:
        note(session, 0)
        note(session, 1)
        wait_until(lambda: session.trouble is not None)
        assert session.on_disk == 1
        assert read(session.path).condition == "whole"
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
        signal.signal(signal.SIGXFSZ, previous)
    assert session.trouble == "File too large"
    assert session.close()
    assert noted(session.path) == [0, 1]


class TestReadOnly:
    @pytest.fixture(params=[0o555, 0o777], ids=["folder", "file"])
    def locked(self, request):
        """A folder with a session in it, one of them closed to the user the test runs as (root becomes nobody)."""
        with tempfile.TemporaryDirectory() as above:
            folder = Path(above) / "locked"
            session = new_session(folder / "shoot.setlog", plan())
            note(session, 0)
            assert session.close()
            Path(above).chmod(0o755)
            (folder / "shoot.setlog").chmod(0o444)
            folder.chmod(request.param)
            root = os.geteuid() == 0
            if root:
                os.seteuid(NOBODY)
            yield folder
            if root:
                os.seteuid(0)
            folder.chmod(0o755)

    @pytest.mark.fault("a session that may not be written")
    def test_it_opens_to_read_and_says_why_not_to_write(self, locked):
        with pytest.raises(SessionFileError, match=r"^shoot.setlog cannot be written: Permission denied$"):
            open_session(locked / "shoot.setlog")
        assert open_read_only(locked / "shoot.setlog").state.last_time >= 0
        assert names_in(locked) == ["shoot.setlog"]

    @pytest.mark.fault("a closed folder")
    @pytest.mark.parametrize("locked", [0o555], indirect=True)
    def test_nothing_new_is_made_there(self, locked):
        with pytest.raises(SessionFileError, match=r"^new.setlog cannot be made in .*locked: Permission denied$"):
            new_session(locked / "new.setlog", plan())
        with pytest.raises(SessionFileError, match=r"^copy.setlog cannot be made in .*: Permission denied$"):
            copy_readable(read(locked / "shoot.setlog"), locked / "copy.setlog")
        assert names_in(locked) == ["shoot.setlog"]


class TestRemoved:
    @pytest.mark.fault("the folder removed during the shoot and made again")
    def test_the_folder_removed_and_made_again_the_file_is_put_back_whole(self, session):
        note(session, 0)
        wait_until(lambda: all_told(session))
        shutil.rmtree(session.path.parent)
        note(session, 1)
        wait_until(lambda: session.trouble is not None)
        assert session.trouble in ("the session file was moved or removed", "No such file or directory")
        note(session, 2)
        assert session.on_disk == 2
        session.path.parent.mkdir()
        wait_until(lambda: all_told(session))
        assert session.close()
        assert noted(session.path) == [0, 1, 2]
        assert names_in(session.path.parent) == ["shoot.setlog"]

    @pytest.mark.fault("the folder removed for good")
    def test_another_place_when_it_does_not_come_back(self, session, tmp_path):
        note(session, 0)
        wait_until(lambda: all_told(session))
        shutil.rmtree(session.path.parent)
        note(session, 1)
        wait_until(lambda: session.trouble is not None)
        session.go_on_with(session.written_at(tmp_path / "again.setlog"))
        assert session.close()
        assert noted(tmp_path / "again.setlog") == [0, 1]


class TestSlow:
    @pytest.mark.fault("a disk that takes a second")
    def test_a_disk_that_takes_a_second_does_not_hold_up_a_call(self, session, monkeypatch):
        fsync, back, flushed = os.fsync, threading.Event(), []

        def slow(handle):
            flushed.append(handle)
            back.wait(60)
            fsync(handle)

        monkeypatch.setattr(files.os, "fsync", slow)
        began = time.monotonic()
        for number in range(50):
            note(session, number)
        assert time.monotonic() - began < 30.0, "a call waits for the disk"
        assert session.on_disk == 1
        assert len(session.ledger.entries) == 51
        back.set()
        assert session.close(timeout_s=60.0)
        assert len(flushed) <= 5, "what waited is flushed together"
        assert noted(session.path) == list(range(50))

    @pytest.mark.fault("a disk that hangs")
    def test_a_disk_that_hangs_is_left_for_another_place(self, session, tmp_path, monkeypatch):
        back = threading.Event()
        fsync = os.fsync
        here = session._writer.worker.thread

        def hanging(handle):
            if threading.current_thread() is here:
                back.wait(250.0)
            fsync(handle)

        monkeypatch.setattr(files.os, "fsync", hanging)
        note(session, 0)
        assert not session.close(timeout_s=0.2)
        session.go_on_with(session.written_at(tmp_path / "elsewhere.setlog"))
        note(session, 1)
        assert session.close()
        assert noted(tmp_path / "elsewhere.setlog") == [0, 1]
        back.set()
        here.join(90.0)
        assert not here.is_alive()


@pytest.mark.fault("the disk answers with error {number}")
@pytest.mark.parametrize("number", [errno.EIO, errno.EROFS, errno.ENODEV, errno.ESTALE, errno.EDQUOT])
def test_whatever_the_disk_says_nothing_is_lost(session, monkeypatch, number):
    def refuse(handle):
        raise OSError(number, os.strerror(number))

    with monkeypatch.context() as broken:
        broken.setattr(files.os, "fsync", refuse)
        for count in range(10):
            note(session, count)
        wait_until(lambda: session.trouble == os.strerror(number))
        assert session.on_disk == 1
    assert session.close()
    assert noted(session.path) == list(range(10))


CALLER = """
import sys
from pathlib import Path
from studiotimer.session.live import new_session
from tests.session.shoots import plan
session = new_session(Path(sys.argv[1]), plan())
for number in range(3000):
    assert session.call("note", {"text": f"note {number} x"}).refused is None
assert session.close(60)
"""


@pytest.mark.fault("3,000 calls at once")
def test_fifty_calls_a_second_for_a_minute_at_once(tmp_path):
    """3,000 calls as fast as they can be made, in a process of its own; none is lost."""
    path = tmp_path / "shoot.setlog"
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    subprocess.run([sys.executable, "-c", CALLER, str(path)], check=True, env=environment)
    assert noted(path) == list(range(3000))
    assert read(path).condition == "whole"
