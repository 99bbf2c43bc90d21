"""The writer's thread: everything in order, nothing forgotten, whatever the disk does."""

import errno
import threading
import time

import pytest

from studiotimer.session.writer import Writer
from tests.session.shoots import entry

WAIT_S = 60.0


def notes(count, start=1):
    return [entry(n, "note", text=f"note {n}") for n in range(start, start + count)]


class Disk:
    """A journal in memory whose disk can refuse, be slow, or hang."""

    def __init__(self):
        self.entries = []
        self.batches = []
        self.refusals = []
        self.attempts = 0
        self.free = threading.Event()
        self.free.set()
        self.closed = threading.Event()

    def append(self, entries):
        self.attempts += 1
        assert self.free.wait(WAIT_S)
        if self.refusals:
            raise self.refusals.pop(0)
        self.entries += entries
        self.batches.append(len(entries))

    def close(self):
        self.closed.set()


class Told:
    def __init__(self):
        self.on_disk = []
        self.trouble = []


@pytest.fixture
def disk():
    return Disk()


@pytest.fixture
def told():
    return Told()


@pytest.fixture
def writer(disk, told):
    writer = Writer(disk, told.on_disk.append, told.trouble.append, retry_s=0.01)
    yield writer
    disk.free.set()
    disk.refusals.clear()
    writer.leave()
    assert disk.closed.wait(WAIT_S)


def full():
    return OSError(errno.ENOSPC, "No space left on device")


def test_everything_is_written_in_order_and_told_after(writer, disk, told):
    sent = notes(300)
    for one in sent:
        writer.submit(one)
    assert writer.close(WAIT_S)
    assert disk.entries == sent
    assert told.on_disk == sorted(set(told.on_disk))
    assert told.on_disk[-1] == 300
    assert told.trouble == []
    assert disk.closed.is_set()


def test_while_the_disk_is_slow_calls_are_taken_at_once_and_written_together(writer, disk, told):
    disk.free.clear()
    began = time.monotonic()
    for one in notes(100):
        writer.submit(one)
    assert time.monotonic() - began < WAIT_S / 2
    assert (writer.waiting(), told.on_disk) == (100, [])
    assert not writer.flush(0.05)
    disk.free.set()
    assert writer.flush(WAIT_S)
    assert disk.entries == notes(100)
    assert len(disk.batches) <= 3


def test_while_the_disk_refuses_entries_wait_and_are_written_when_it_is_back(writer, disk, told):
    disk.refusals = [full() for _ in range(4)]
    for one in notes(20):
        writer.submit(one)
    deadline = time.monotonic() + WAIT_S
    while writer.waiting() and time.monotonic() < deadline:
        time.sleep(0.005)
    assert disk.entries == notes(20)
    assert told.trouble == ["No space left on device", None]
    assert disk.attempts >= 5


def test_another_reason_is_told_anew_the_same_one_is_not(writer, disk, told):
    disk.refusals = [full(), full(), OSError(errno.EROFS, "Read-only file system"), ValueError("odd"), RuntimeError()]
    writer.submit(notes(1)[0])
    deadline = time.monotonic() + WAIT_S
    while writer.waiting() and time.monotonic() < deadline:
        time.sleep(0.005)
    assert told.trouble == ["No space left on device", "Read-only file system", "odd", "RuntimeError", None]


def test_closing_while_the_disk_refuses_says_no_and_goes_on_trying(disk, told):
    writer = Writer(disk, told.on_disk.append, told.trouble.append, retry_s=0.01)
    disk.refusals = [full() for _ in range(10_000)]
    writer.submit(notes(1)[0])
    began = time.monotonic()
    assert not writer.close(WAIT_S)
    assert time.monotonic() - began < WAIT_S / 2
    assert not disk.closed.is_set()
    writer.submit(notes(1, 2)[0])
    disk.refusals.clear()
    assert writer.close(WAIT_S)
    assert disk.entries == notes(2)


def test_left_while_the_disk_hangs_it_writes_no_more_and_tells_nobody(disk, told):
    writer = Writer(disk, told.on_disk.append, told.trouble.append)
    disk.free.clear()
    writer.submit(notes(1)[0])
    while not disk.attempts:
        time.sleep(0.001)
    writer.submit(notes(1, 2)[0])
    writer.leave()
    assert not disk.closed.is_set()
    disk.free.set()
    assert disk.closed.wait(WAIT_S)
    assert disk.entries == notes(1)
    assert told.on_disk == []


@pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
def test_a_listener_that_fails_is_reported_and_stops_nothing(disk, monkeypatch):
    reported = []
    monkeypatch.setattr(threading, "excepthook", lambda args: reported.append(str(args.exc_value)))
    heard = []

    def failing(n):
        heard.append(n)
        raise RuntimeError(f"the screen is gone at {n}")

    writer = Writer(disk, failing, lambda *_: None)
    writer.submit(notes(1)[0])
    assert writer.flush(WAIT_S)
    writer.submit(notes(1, 2)[0])
    assert writer.close(WAIT_S)
    assert disk.entries == notes(2)
    assert reported == [f"the screen is gone at {n}" for n in heard]
