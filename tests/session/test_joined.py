"""A session opened again: the time between by the machine's steady clock, else doubted and set right."""

import os
import subprocess
import sys
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from studiotimer.session.clock import Anchor, SystemClock, boot_id, steady_seconds
from studiotimer.session.live import new_session, open_session
from studiotimer.session.mending import Ledger
from studiotimer.session.reading import read
from tests.session.clocks import HandClock
from tests.session.shoots import plan

FAKETIME = next(Path("/usr/lib").glob("*/faketime/libfaketime.so.1"), None) if sys.platform == "linux" else None
START = datetime(2026, 6, 14, 10, 0, tzinfo=UTC)


def machine(boot="one", boot_s=1000.0, wall=START):
    clock = HandClock(wall)
    clock.boot = Anchor(boot, boot_s)
    return clock


def hero_on_set(path, clock):
    """A session with a hero on set for 30 s, whose window then is killed."""
    session = new_session(path, plan(), clock)
    for kind in ("pull", "hero_in"):
        clock.advance(10)
        assert session.call(kind).refused is None
    clock.advance(20)
    assert session.call("note", {"text": "last"}).refused is None
    assert session._writer.flush()
    writer = session._writer
    session.leave()
    writer.worker.thread.join()


@pytest.fixture
def path(tmp_path):
    return tmp_path / "shoot.setlog"


@pytest.mark.parametrize(("set_by", "said"), [(3600, "forward by 1:00:00"), (-3600, "back by 1:00:00"), (0, None)])
def test_on_the_same_start_of_the_machine_runs_are_joined_exactly(path, set_by, said):
    hero_on_set(path, machine())
    again = open_session(path, machine("one", 1000.0 + 40 + 205, START + timedelta(seconds=40 + 205 + set_by)))
    assert again.time() == pytest.approx(40 + 205)
    assert again.doubt() is None
    assert not again.ledger.runs[2].doubtful
    moved = [words for words in again.words if "wall clock was set" in words]
    assert [said in words for words in moved] == ([True] if said else [])
    again.leave()


@pytest.mark.parametrize("clock", [machine("two", 5.0), machine("one", 1010.0), HandClock(START)])
def test_else_the_wall_clock_dates_it_and_the_doubt_is_said(path, clock):
    """Started anew, or a steady clock that stands before the last entry, or none at all."""
    hero_on_set(path, machine())
    clock.wall = START + timedelta(seconds=40 + 3395)
    again = open_session(path, clock)
    assert again.time() == pytest.approx(40 + 3395)
    assert again.doubt().words == (
        "Working times are in doubt: by this machine's clock the session was closed for 56:35. "
        "That clock may have been set, or be another machine's."
    )
    again.leave()


def test_a_clock_that_was_set_back_is_said_too(path):
    hero_on_set(path, machine())
    again = open_session(path, machine("two", 5.0, START - timedelta(seconds=3600)))
    assert again.time() == pytest.approx(40)
    assert "stands 1:00:40 before the last entry" in again.doubt().words
    again.leave()


def test_it_is_set_right_by_an_amend_that_stays_and_can_be_taken_back(path):
    hero_on_set(path, machine())
    again = open_session(path, machine("two", 5.0, START + timedelta(seconds=40 + 3600)))
    assert again.call("note", {"text": "before"}).refused is None
    assert again.call("amend", again.doubt().amendment(205.0)).refused is None
    assert again.time() == pytest.approx(40 + 205)
    assert again.doubt() is None
    assert again.call("take_back", {"entry": again.ledger.entries[-1].n}).refused is None
    assert again.time() == pytest.approx(40 + 3600)
    assert again.doubt() is not None
    again.clock.advance(5)
    assert again.call("amend", again.doubt().amendment(100.0)).refused is None
    kept, now = again.state, again.time()
    assert now == pytest.approx(40 + 100 + 5)
    assert again.close()
    assert Ledger.of(read(path).entries).state.scoops == kept.scoops


def test_only_how_long_it_was_closed_can_be_amended_of_an_opening(path):
    hero_on_set(path, machine())
    again = open_session(path, machine("two", 5.0))
    opening = again.doubt().opening
    for change in ({"machine": "x"}, {"tick": 3.0}, {"since_s": 1.0, "tick": 2.0}, {"since_s": -1.0}, {"since_s": "x"}):
        before = again.ledger.entries[-1].n
        assert again.call("amend", {"entry": opening, "change": change}).refused is not None, change
        assert again.ledger.entries[-1].n == before
    again.leave()


def test_nothing_is_doubted_where_nothing_hangs_on_it(path):
    session = new_session(path, plan(), machine())
    session.close()
    again = open_session(path, machine("two", 5.0))
    assert again.ledger.runs[2].doubtful
    assert again.doubt() is None
    again.leave()


@pytest.mark.skipif(sys.platform != "linux", reason="reads Linux's own boot id")
def test_the_machine_tells_its_start_and_where_the_run_began():
    clock = SystemClock()
    assert clock.anchor().boot == boot_id()
    assert len(boot_id()) == 36
    before = steady_seconds()
    assert before - 0.001 <= clock.anchor().seconds + clock.tick() <= steady_seconds() + 0.001


WRITES = """
import sys, time
from pathlib import Path
from studiotimer.session.live import new_session, open_session
from tests.session.shoots import plan
path = Path(sys.argv[1])
session = open_session(path) if path.exists() else new_session(path, plan())
for kind in ("pull", "hero_in") if session.run == 1 else ("note",):
    assert session.call(kind, {"text": "x"} if kind == "note" else {}).refused is None
assert session._writer.flush()
print(session.time(), *session.words, flush=True)
time.sleep(60)
"""


@pytest.mark.skipif(FAKETIME is None, reason="needs libfaketime: apt-get install faketime")
@pytest.mark.parametrize("by", ["+3600s", "-3600s"])
def test_killed_and_opened_again_with_the_wall_clock_an_hour_off(path, by):
    """The machine's own steady clock is left alone; only the wall clock is bent, as when somebody sets it."""
    began = steady_seconds()
    for offset in ("+0s", by):
        bent = {
            "LD_PRELOAD": str(FAKETIME), "FAKETIME": offset, "DONT_FAKE_MONOTONIC": "1",
            "FAKETIME_DONT_FAKE_MONOTONIC": "1",
        }  # fmt: skip
        with subprocess.Popen(
            [sys.executable, "-c", WRITES, str(path)], env=os.environ | bent, stdout=subprocess.PIPE, text=True
        ) as process:
            said = process.stdout.readline()
            process.kill()
        time.sleep(0.5)
    second = float(said.split()[0])
    assert 0.5 < second < steady_seconds() - began
    assert "The wall clock was set" in said
    note = read(path).entries[-1]
    assert Ledger.of(read(path).entries).seconds(note) < steady_seconds() - began
