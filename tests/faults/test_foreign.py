"""A session file that another program empties, cuts, replaces or writes while it is open: nothing acknowledged is lost.

Each fault is made on the real file. What was said to be on disk must be in one of the files that are left, whole, and
what the other program wrote must be there too.
"""

import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest

from studiotimer.cli import main
from studiotimer.session import journal as files
from studiotimer.session import writer as writers
from studiotimer.session.elsewhere import beside_words, join_elsewhere
from studiotimer.session.first_lines import GoneOnError, SessionFileError
from studiotimer.session.live import new_session, open_session
from studiotimer.session.mending import Ledger
from studiotimer.session.reading import read
from studiotimer.session.together import open_or_offer, other_of
from studiotimer.session.verifying import verify
from tests.faults.test_disk import ROOT, all_told, note, noted, wait_until
from tests.session.folders import names_in
from tests.session.shoots import plan


@pytest.fixture(autouse=True)
def _quick_retries(monkeypatch):
    monkeypatch.setattr(writers.Writer.__init__, "__defaults__", (0.02,))


@pytest.fixture
def session(tmp_path):
    """A session of ten notes, all on disk, that went on ever since."""
    session = new_session(tmp_path / "day.setlog", plan())
    session.gone_on = []
    session.listeners.on_beside = session.gone_on.append
    for number in range(10):
        note(session, number)
    wait_until(lambda: all_told(session))
    yield session
    session.leave()


def emptied(path):
    with path.open("r+b") as file:
        file.truncate(0)


def cut(path):
    with path.open("r+b") as file:
        file.truncate(path.stat().st_size - 40)


def older(path):
    """As when a copy from the card of an hour ago is laid over it: the same file to the system."""
    lines = path.read_bytes().splitlines(keepends=True)
    with path.open("r+b") as file:
        file.truncate(0)
        file.write(b"".join(lines[:6]))


def as_long_but_other(path):
    data = path.read_bytes()
    with path.open("r+b") as file:
        file.seek(len(data) - 60)
        file.write(b"x" * 59)


def appended(path):
    with path.open("ab") as file:
        file.write(b'{"a line of":"another program"}\n')


def torn_appended(path):
    with path.open("ab") as file:
        file.write(b'{"half a line')


def zeros(path):
    with path.open("r+b") as file:
        file.truncate(path.stat().st_size + 4096)


def replaced(path):
    other = path.with_name("other")
    other.write_bytes(path.read_bytes()[:300])
    other.replace(path)


FAULTS = {
    "emptied": emptied, "cut short": cut, "laid over by an older copy": older, "changed in its last line": as_long_but_other,
    "appended to": appended, "appended to by half a line": torn_appended, "made longer by zeros": zeros,
    "replaced by another file": replaced,
}  # fmt: skip


@pytest.mark.fault("the session file {what} by another program")
@pytest.mark.parametrize("what", FAULTS)
def test_the_whole_session_goes_on_beside_it(session, what):
    path = session.path
    FAULTS[what](path)
    left = path.read_bytes()
    note(session, 10)
    wait_until(lambda: all_told(session))
    beside = path.with_name("day-beside-1.setlog")
    assert session.path == beside
    assert path.read_bytes() == left
    assert [one.path for one in session.gone_on] == [beside]
    assert beside_words(session.gone_on[0]).endswith(
        "it is left as it is. The whole session is on disk and goes on in “day-beside-1.setlog”."
    )
    note(session, 11)
    assert session.close()
    assert session.trouble is None
    assert noted(beside) == list(range(12))
    assert verify(beside).whole
    assert read(beside).header.session == session.header.session
    assert path.read_bytes() == left
    assert names_in(path.parent) == ["day-beside-1.setlog", path.name]


@pytest.mark.fault("the file beside the session file changed too")
def test_a_second_time_it_goes_on_beside_that(session):
    path = session.path
    for number in (10, 11):
        emptied(session.path)
        note(session, number)
        wait_until(lambda: all_told(session))
    assert session.path.name == "day-beside-2.setlog"
    assert session.close()
    assert noted(path.with_name("day-beside-2.setlog")) == list(range(12))


@pytest.mark.fault("the session file changed in a folder that takes no other")
def test_where_no_file_can_be_made_beside_it_the_calls_wait(session, monkeypatch):
    emptied(session.path)

    def refuse(path, data):
        raise OSError(30, "Read-only file system")

    with monkeypatch.context() as closed:
        closed.setattr(files, "new_file", refuse)
        note(session, 10)
        wait_until(lambda: session.trouble == "Read-only file system")
        assert session.on_disk == 11
    wait_until(lambda: all_told(session))
    assert session.close()
    assert noted(session.path) == list(range(11))


@pytest.mark.fault("a write that fills the disk, and an append of another program behind it")
def test_what_another_program_put_behind_our_half_line_is_not_cut_off(session, monkeypatch):
    path, write = session.path, files.write_bytes

    def half(file, data):
        write(file, data[: len(data) // 2])
        with monkeypatch.context() as stuck:
            stuck.setattr(files.os, "ftruncate", lambda *_: None)
            appended(path)
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as full:
        full.setattr(files, "write_bytes", half)
        note(session, 10)
        wait_until(lambda: session.trouble is not None or session.gone_on)
    wait_until(lambda: all_told(session))
    assert path.read_bytes().endswith(b'{"a line of":"another program"}\n')
    assert session.close()
    assert noted(session.path) == list(range(11))


WRITER = """
import sys, time
from pathlib import Path
if sys.argv[3] == "no locks":
    import errno, fcntl
    def flock(*_): raise OSError(errno.ENOLCK, "No locks available")
    fcntl.flock = flock
from studiotimer.session.live import new_session, open_session
session = open_session(Path(sys.argv[1]))
print("open", flush=True)
for line in sys.stdin:
    outcome = session.call("note", {"text": line.strip()})
    assert outcome.refused is None, outcome
    while session.on_disk < outcome.entry.n:
        time.sleep(0.001)
    print("said", line.strip(), flush=True)
assert session.close()
print("path", session.path.name, flush=True)
"""


class Process:
    """Another program that writes a session."""

    def __init__(self, path, name, locks):
        self.process = subprocess.Popen(
            [sys.executable, "-c", WRITER, str(path), name, locks], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
            text=True, env={**os.environ, "PYTHONPATH": str(ROOT)},
        )  # fmt: skip
        self.name = name
        assert self.process.stdout.readline() == "open\n"

    def say(self, number):
        self.process.stdin.write(f"{self.name} {number}\n")
        self.process.stdin.flush()

    def heard(self):
        assert self.process.stdout.readline().startswith("said ")

    def end(self):
        self.process.stdin.close()
        assert self.process.stdout.readline().startswith("path ")
        assert self.process.wait(90) == 0
        self.process.stdout.close()


@pytest.mark.fault("two programs write one session: {how}")
@pytest.mark.parametrize("how", ["the lock was deleted", "no locks"])
def test_nothing_of_two_writers_is_lost_and_opening_either_offers_both(tmp_path, how):
    path = tmp_path / "day.setlog"
    first = new_session(path, plan())
    note(first, 0)
    assert first.close()
    one = Process(path, "one", how)
    files.lock_path(path).unlink()
    two = Process(path, "two", how)
    for number in range(40):
        for each in (one, two):
            each.say(number)
        for each in (one, two):
            each.heard()
    one.end()
    two.end()
    sessions = sorted(tmp_path.glob("*.setlog"))
    assert len(sessions) >= 2
    both = {f"{name} {number}" for name in ("one", "two") for number in range(40)}
    for opened in sessions:
        assert verify(opened).whole
        held = read(opened)
        other = other_of(opened, held.header.session, held.entries)
        if other is None:
            assert both <= {entry.text for entry in held.entries if entry.kind == "note"}
            continue
        target = join_elsewhere(opened, other.path)
        joined = read(target)
        notes = [entry.text for entry in joined.entries if entry.kind == "note"]
        assert sorted(notes) == sorted({*notes})
        assert both <= {*notes}
        assert verify(target).whole
        for name in ("one", "two"):
            assert [text for text in notes if text.startswith(name)] == [f"{name} {number}" for number in range(40)]
        target.unlink()


def test_a_joined_file_opens_and_goes_on(tmp_path):
    """Both pulled a scoop under the same number, and amended a call of their own."""
    path = tmp_path / "day.setlog"
    session = new_session(path, plan())
    assert session.call("pull", {"flavour": "vanilla"}).refused is None
    assert session.close()
    shutil.copy(path, tmp_path / "day-beside-1.setlog")
    for name, flavour in (("day", "vanilla"), ("day-beside-1", "cherry")):
        own = open_session(tmp_path / f"{name}.setlog")
        assert own.call("pull", {"flavour": flavour}).refused is None
        last = own.ledger.entries[-1]
        assert own.call("hero_in", {"scoops": [2], "flavours": [flavour]}).refused is None
        assert own.call("amend", {"entry": last.n, "change": {"to": "tray"}}).refused is None
        time.sleep(0.05)
        assert own.close()
    other = other_of(path, session.header.session, read(path).entries)
    assert (other.path.name, other.entries) == ("day-beside-1.setlog", 3)
    assert other.words == "“day-beside-1.setlog”, beside this file, has 3 entries more of this session."
    target = join_elsewhere(path, other.path)
    assert target == tmp_path / "day-joined-1.setlog"
    ledger = Ledger.of(read(target).entries)
    assert {number: scoop.flavour for number, scoop in ledger.state.scoops.items()} == {
        1: "vanilla",
        2: "vanilla",
        3: "cherry",
    }
    assert [scoop.number for scoop in ledger.state.heroes()] == [2, 3]
    assert len(ledger.runs) == 3
    again = open_session(target)
    assert again.call("pull").entry.scoop == 4
    assert again.close()
    assert other_of(path, session.header.session, read(path).entries).path == target
    assert other_of(target, session.header.session, read(target).entries) is None
    assert join_elsewhere(path, target) == target


def test_files_of_other_sessions_beside_it_are_not_offered(tmp_path):
    for name in ("day", "day-beside-1", "day-2"):
        session = new_session(tmp_path / f"{name}.setlog", plan())
        note(session, 1)
        assert session.close()
    (tmp_path / "day-joined-1.setlog").write_bytes(b"no session")
    held = read(tmp_path / "day.setlog")
    assert other_of(held.path, held.header.session, held.entries) is None


def test_the_file_that_lacks_nothing_is_the_joined_one(tmp_path):
    session = new_session(tmp_path / "day.setlog", plan())
    note(session, 1)
    wait_until(lambda: all_told(session))
    Path(tmp_path / "day-beside-1.setlog").write_bytes(session.path.read_bytes())
    note(session, 2)
    assert session.close()
    assert join_elsewhere(tmp_path / "day-beside-1.setlog", session.path) == session.path
    assert join_elsewhere(session.path, tmp_path / "day-beside-1.setlog") == session.path


def test_what_one_of_them_logs_after_they_were_joined_is_joined_to_that(tmp_path):
    path, beside = tmp_path / "day.setlog", tmp_path / "day-beside-1.setlog"
    session = new_session(path, plan())
    assert session.close()
    shutil.copy(path, beside)
    for each, flavour in ((path, "vanilla"), (beside, "cherry")):
        own = open_session(each)
        assert own.call("pull", {"flavour": flavour}).refused is None
        assert own.close()
    target = join_elsewhere(path, beside)
    own = open_session(beside)
    assert own.call("hero_in", {"scoops": [1], "flavours": ["cherry"]}).refused is None
    assert own.close()
    held = read(target)
    other = other_of(target, held.header.session, held.entries)
    assert (other.path, other.entries) == (beside, 1)
    again = join_elsewhere(target, beside)
    assert again.name == "day-joined-2.setlog"
    state = Ledger.of(read(again).entries).state
    assert {number: scoop.flavour for number, scoop in state.scoops.items()} == {1: "vanilla", 2: "cherry"}
    assert [scoop.number for scoop in state.heroes()] == [2]


@pytest.mark.fault("the session file emptied, and opened again while the session goes on beside it")
def test_opening_what_was_emptied_names_the_file_beside_it(session, capsys):
    path = session.path
    emptied(path)
    note(session, 10)
    wait_until(lambda: all_told(session))
    beside = path.with_name("day-beside-1.setlog")
    with pytest.raises(GoneOnError, match="beside it: open that one") as offered:
        open_or_offer(path)
    assert offered.value.beside == beside
    assert main([str(path)]) == 2
    assert "day-beside-1.setlog" in capsys.readouterr().err
    other = path.with_name("other.setlog")
    other.write_bytes(b"")
    with pytest.raises(SessionFileError) as alone:
        open_or_offer(other)
    assert not isinstance(alone.value, GoneOnError)
