"""One program at a time writes a session; who it is can be read, and a crash leaves nothing that blocks."""

import errno
import os
import subprocess
import sys

import pytest

from studiotimer.session import locking
from studiotimer.session.locking import HeldError, take_lock

HOLD_IN_ANOTHER_PROCESS = """
import sys
from pathlib import Path
from studiotimer.session.locking import take_lock
held = take_lock(Path(sys.argv[1]))
print("held", flush=True)
sys.stdin.read()
held.release()
"""


@pytest.fixture
def path(tmp_path):
    return tmp_path / "shoot.setlog.lock"


@pytest.fixture
def other(path):
    """Another process that holds the lock until its input ends."""
    process = subprocess.Popen(
        [sys.executable, "-c", HOLD_IN_ANOTHER_PROCESS, str(path)], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    )
    assert process.stdout.readline() == b"held\n"
    yield process
    process.kill()
    process.communicate()


def test_held_by_another_process_it_is_refused_and_says_by_whom(path, other):
    with pytest.raises(HeldError, match=f"^process {other.pid} on "):
        take_lock(path)


def test_let_go_it_is_free_and_nothing_is_left(path, other):
    other.communicate(b"")
    assert not path.exists()
    held = take_lock(path)
    assert (held.sure, held.left_by) == (True, None)
    held.release()
    assert not path.exists()


def test_after_a_crash_it_is_free_and_says_who_left_it(path, other):
    other.kill()
    other.wait()
    held = take_lock(path)
    assert held.left_by.startswith(f"process {other.pid} on ")
    assert held.names_its_file()
    held.release()


def test_one_process_cannot_hold_it_twice(path):
    first = take_lock(path)
    with pytest.raises(HeldError, match=f"^process {os.getpid()} on "):
        take_lock(path)
    first.release()


def test_a_holder_that_says_nothing_is_another_program(path):
    first = take_lock(path)
    path.write_bytes(b"")
    with pytest.raises(HeldError, match=r"^another program$"):
        take_lock(path)
    first.release()


def test_what_a_holder_says_is_shown_plainly(path):
    first = take_lock(path)
    path.write_bytes(b"\x1b[2J<b>\xff" + b"x" * 999)
    with pytest.raises(HeldError) as refused:
        take_lock(path)
    assert str(refused.value).startswith("[2J<b>\ufffdxxx")
    assert len(str(refused.value)) == 200
    first.release()


def test_removed_while_it_is_held_it_no_longer_names_its_file(path):
    held = take_lock(path)
    path.unlink()
    assert not held.names_its_file()
    second = take_lock(path)
    held.release()
    assert path.exists()
    second.release()


def test_removed_between_opening_and_locking_it_is_taken_anew(path, monkeypatch):
    lock, removed = locking._lock, []

    def removing(handle):
        if not removed:
            removed.append(path.unlink())
        return lock(handle)

    monkeypatch.setattr(locking, "_lock", removing)
    held = take_lock(path)
    assert held.names_its_file()
    assert held.sure
    held.release()


def test_where_names_are_not_told_apart_it_is_held_but_not_sure(path, monkeypatch):
    monkeypatch.setattr(locking, "_names", lambda *_: False)
    held = take_lock(path)
    assert not held.sure
    held.release()
    assert path.exists()


@pytest.mark.skipif(sys.platform == "win32", reason="Windows locks otherwise")
class TestWhatTheSystemAnswers:
    def answering(self, monkeypatch, number):
        import fcntl

        def refuse(handle, operation):
            raise OSError(number, os.strerror(number))

        monkeypatch.setattr(fcntl, "flock", refuse)

    @pytest.mark.parametrize("number", [errno.ENOSYS, errno.ENOLCK, errno.EOPNOTSUPP])
    def test_no_locks_at_all_is_not_sure(self, path, monkeypatch, number):
        self.answering(monkeypatch, number)
        held = take_lock(path)
        assert not held.sure
        held.release()

    def test_anything_else_is_an_error(self, path, monkeypatch):
        self.answering(monkeypatch, errno.EIO)
        with pytest.raises(OSError, match="Input/output error"):
            take_lock(path)

    def test_a_link_in_its_place_is_not_followed(self, path):
        treasure = path.with_name("treasure")
        treasure.write_text("keep")
        path.symlink_to(treasure)
        with pytest.raises(OSError, match="symbolic link"):
            take_lock(path)
        assert treasure.read_text() == "keep"


def test_a_full_disk_does_not_matter_for_saying_who(path, monkeypatch):
    def full(handle, data):
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "write", full)
    held = take_lock(path)
    assert path.read_bytes() == b""
    held.release()
