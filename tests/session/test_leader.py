"""A follower counts on its own steady clock from what arrives, says when the leader is gone, and takes over."""

import os
import threading
import time
from datetime import timedelta

import pytest

from studiotimer.session import following, heart
from studiotimer.session.beat import Beat, Taken, beat_path, machine_name, read_note, taken_over, taken_path, write_note
from studiotimer.session.heart import Heart
from studiotimer.session.joined import doubt
from studiotimer.session.leader import FIRST_S, FORGET_S, GONE_S, QUIET_S, Leader, News
from studiotimer.session.live import follow, new_session, open_session
from studiotimer.session.mending import Ledger
from studiotimer.session.reading import read
from studiotimer.session.taking_over import UNTOLD, take_over
from tests.session.clocks import HandClock
from tests.session.shoots import BEGAN, plan


class Pair:
    """A session that is written, and another machine that follows it, its clocks `off` seconds from the first's."""

    def __init__(self, folder, off=0.0):
        self.clock = HandClock()
        self.leader = new_session(folder / "shoot.setlog", plan(), self.clock)
        assert self.leader._writer.flush()
        self.theirs = HandClock(self.clock.now())
        self.theirs.seconds = 7000.0
        self.theirs.set_wall(off)
        self.follower = None

    def wait(self, seconds):
        for clock in (self.clock, self.theirs):
            clock.advance(seconds)

    def call(self, kind, **fields):
        outcome = self.leader.call(kind, fields)
        assert outcome.refused is None
        assert self.leader._writer.flush()

    def beat(self, **more):
        session = self.leader
        write_note(
            beat_path(session.path),
            Beat(session=session.header.session, machine="leader", run=session.run, tick=self.clock.tick(),
                 at=self.clock.now(), **more),
        )  # fmt: skip

    def follow(self):
        self.follower = follow(self.leader.path, self.theirs)
        return self.follower

    def late(self):
        """By how much the follower's time is behind the leader's."""
        self.follower.catch_up()
        return self.leader.time() - self.follower.time()


@pytest.fixture
def pair(tmp_path):
    pair = Pair(tmp_path)
    yield pair
    pair.leader.leave()


@pytest.mark.fault("a follower's clock is {off} s off")
@pytest.mark.parametrize("off", [0, 40, -40, 3600, -3600, 400 * 86_400])
def test_a_followers_time_hangs_on_no_wall_clock(tmp_path, off):
    pair = Pair(tmp_path, off)
    pair.call("hero_in")
    pair.wait(100)
    follower = pair.follow()
    pair.beat()
    pair.wait(1)
    follower.catch_up()
    pair.wait(0.2)
    pair.beat()
    assert pair.late() == pytest.approx(0.0, abs=0.01)
    pair.wait(30)
    assert pair.late() == pytest.approx(0.0, abs=0.01)
    said = [words for words in follower.leader.words(pair.theirs.tick()) if "clock is" in words]
    assert len(said) == (1 if off else 0)
    if off == 40:
        assert (
            said[0]
            == f"This machine's clock is 0:40 ahead of that of {machine_name()}; working times do not hang on it."
        )
    pair.leader.leave()


def test_news_that_arrive_late_cost_no_more_than_the_quickest_was_late(pair):
    pair.wait(50)
    pair.follow()
    for number, late in enumerate((3.0, 0.4, 2.0, 5.0)):
        pair.call("note", text=f"note {number}")
        pair.wait(late)
        assert 0.0 < pair.late() <= 3.0
    assert pair.late() == pytest.approx(0.4)


def test_an_arrival_is_forgotten_after_a_while():
    """So that a clock that runs a little slower than the leader's is not believed for hours."""
    leader = Leader(0.0, run=1)

    def beat(at, tick):
        leader.hear(News(at, BEGAN, (), Beat(session="s", machine="m", run=1, tick=tick, at=BEGAN)))

    beat(0.0, 100.0)
    beat(10.0, 109.9)
    assert leader.tick(20.0) == pytest.approx(120.0)
    assert leader.tick(FORGET_S + 5.0) == pytest.approx(FORGET_S + 5.0 + 99.9)


def test_it_says_when_it_was_last_heard_and_when_the_leader_is_gone(pair):
    follower = pair.follow()
    pair.beat()
    follower.catch_up()
    said = lambda: " ".join(follower.leader.words(pair.theirs.tick()))  # noqa: E731
    pair.wait(FIRST_S)
    assert "Nothing was heard of" in said()
    pair.beat()
    follower.catch_up()
    assert said() == ""
    pair.wait(QUIET_S + 1)
    assert said() == f"{machine_name()} last heard 0:06 ago."
    assert not follower.may_be_taken_over()
    pair.wait(GONE_S)
    assert "is gone: last heard 0:21 ago." in said()
    assert follower.may_be_taken_over()
    pair.beat()
    follower.catch_up()
    assert not follower.may_be_taken_over()
    assert pair.leader.close()
    follower.catch_up()
    assert "was closed on" in said()
    assert follower.may_be_taken_over()


def test_a_heartbeat_that_stands_is_no_sign_of_life(pair):
    pair.beat()
    pair.wait(500)
    follower = pair.follow()
    for _ in range(3):
        follower.catch_up()
        pair.wait(10)
    assert follower.leader.heard is None
    assert follower.may_be_taken_over()


@pytest.mark.fault("the leader is gone: the follower takes the shoot over")
def test_the_shoot_goes_on_with_everything_that_arrived(pair):
    pair.call("pull")
    pair.call("hero_in")
    follower = pair.follow()
    pair.wait(10)
    pair.call("note", text="last heard")
    follower.catch_up()
    pair.wait(60)
    here = HandClock(pair.theirs.now() + timedelta(hours=5))
    session = take_over(follower, here)
    assert session.path == pair.leader.path.with_name("shoot-taken-1.setlog")
    assert session.time() == pytest.approx(70.0)
    assert session.doubt() is None
    assert session.state.scoops == pair.leader.state.scoops
    here.advance(5)
    assert session.call("note", {"text": "here"}).refused is None
    assert session.close()
    held = read(session.path)
    assert held.condition == "whole"
    assert held.header.session == pair.leader.header.session
    assert [one.text for one in held.entries if one.kind == "note"] == ["last heard", "here"]
    assert Ledger.of(held.entries).seconds(held.entries[-2]) == pytest.approx(75.0)


@pytest.mark.fault("the first laptop comes back after its session was taken over")
def test_the_first_is_told_when_it_comes_back(pair, monkeypatch):
    monkeypatch.setattr(heart, "BEAT_S", 0.05)
    follower = pair.follow()
    told = []
    beating = Heart(pair.leader, told.append)
    beating.begin()
    pair.wait(100)
    take_over(follower, HandClock(pair.theirs.now())).close()
    end = time.monotonic() + 90
    while not told and time.monotonic() < end:
        time.sleep(0.02)
    beating.end()
    beating.worker.thread.join(90)
    assert "goes on in shoot-taken-1.setlog" in told[0].words
    assert len(told) == 1
    assert not beat_path(pair.leader.path).exists()
    assert pair.leader.close()
    again = open_session(pair.leader.path, HandClock(pair.clock.now()))
    assert again.taken == told[0]
    again.leave()


def test_where_it_was_never_heard_the_time_is_in_doubt_there_too(pair):
    pair.call("hero_in")
    pair.wait(30)
    session = take_over(pair.follow(), HandClock(pair.theirs.now()))
    assert doubt(session.ledger, session.run) is not None
    session.leave()


@pytest.mark.fault("a session is taken over from a folder that cannot be written")
def test_a_folder_that_takes_nothing_is_no_hindrance(pair, home):
    follower = pair.follow()
    follower.path = pair.leader.path.with_name("away") / "shoot.setlog"
    pair.leader.path.with_name("away").write_text("no folder")
    session = take_over(follower, HandClock(pair.theirs.now()))
    assert session.path.is_relative_to(home)
    assert UNTOLD in session.words
    session.leave()


@pytest.mark.fault("a heartbeat or a note that is no note: {what}")
@pytest.mark.parametrize("what", ["a pipe", "a link", "a folder", "torn", "of another session", "100 MB", "deep"])
def test_what_is_no_note_is_none(tmp_path, what):
    path = tmp_path / "shoot.setlog.taken"
    whole = tmp_path / "whole"
    write_note(whole, Taken(session="s-1", machine="m", file="f", n=1, at=BEGAN))
    assert read_note(whole, Taken, "s-1") is not None
    data = whole.read_bytes()
    {
        "a pipe": lambda: os.mkfifo(path),
        "a link": lambda: path.symlink_to(whole),
        "a folder": path.mkdir,
        "torn": lambda: path.write_bytes(data[:-9]),
        "of another session": lambda: path.write_bytes(data.replace(b"s-1", b"s-2")),
        "100 MB": lambda: path.write_bytes(data + bytes(100 << 20)),
        "deep": lambda: path.write_bytes(b"[" * 4000),
    }[what]()
    assert taken_over(tmp_path / "shoot.setlog", "s-1") is None
    assert taken_path(tmp_path / "shoot.setlog") == path


@pytest.mark.fault("the share of a followed session hangs")
def test_a_share_that_hangs_is_said_and_holds_nobody_up(pair, monkeypatch):
    hang, hangs, gate = threading.Event(), threading.Event(), threading.Event()
    polled = following.Follower.poll

    def poll(follower):
        if hang.is_set():
            hangs.set()
            gate.wait(120)
        return polled(follower)

    monkeypatch.setattr(following.Follower, "poll", poll)
    follower = follow(pair.leader.path, pair.theirs, aside=True)
    hang.set()
    assert hangs.wait(90)
    pair.theirs.advance(40)
    began = time.monotonic()
    follower.catch_up()
    assert time.monotonic() - began < 60.0
    assert follower.trouble == "shoot.setlog has not answered for 0:40"
    gate.set()
    follower.close()


def test_an_offset_is_told_to_the_nearest_second():
    leader = Leader(0.0, run=1)
    for at in (0.0, 1.0):
        wall = BEGAN + timedelta(seconds=at - 3599.98)
        beat = Beat(session="s", machine="m", run=1, tick=at, at=BEGAN + timedelta(seconds=at))
        leader.hear(News(at, wall, (), beat))
    assert leader.words(1.0)[-1].startswith("This machine's clock is 1:00:00 behind that of")
