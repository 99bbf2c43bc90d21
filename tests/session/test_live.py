"""A session being run: calls taken, refused or counted once, logged, ended and opened again."""

import threading
import time
from datetime import timedelta

import pytest

from studiotimer.session import beat
from studiotimer.session.clock import SystemClock
from studiotimer.session.first_lines import SessionFileError
from studiotimer.session.journal import BusyError, DamagedError, copy_readable, lock_path
from studiotimer.session.live import Choice, follow, new_session, open_read_only, open_session, plan_of
from studiotimer.session.locking import HeldError, take_lock
from studiotimer.session.reading import read
from tests.session.clocks import HandClock
from tests.session.shoots import BEGAN, file_bytes, plan, small_shoot


def all_told(session):
    """Whether everything is on disk and that was told: what else was found is told before."""
    return session.on_disk == session.ledger.entries[-1].n


def wait_until(condition, seconds=90.0):
    """Wait for what the writer's thread does."""
    end = time.monotonic() + seconds
    while not condition():
        assert time.monotonic() < end, "it did not happen in time"
        time.sleep(0.005)


def lock_free(path):
    try:
        take_lock(lock_path(path)).release()
    except HeldError:
        return False
    return True


def accepted(outcome):
    assert outcome.refused is None
    assert not outcome.repeated
    return outcome.entry


class TestCalls:
    def test_a_call_is_logged_with_its_defaults(self, session, clock):
        clock.advance(12.3456789)
        one = accepted(session.call("pull"))
        assert (one.n, one.run, one.tick, one.at) == (2, 1, 12.345679, BEGAN + timedelta(seconds=12.345679))
        assert session.state.scoops[1].pulled == 12.345679
        wait_until(lambda: session.on_disk == 2)
        assert read(session.path).entries[-1] == one

    def test_what_was_given_counts_before_what_is_the_default(self, session):
        assert accepted(session.call("pull", {"scoop": 7, "to": "tray", "flavour": None})).scoop == 7
        assert (session.state.scoops[7].place, session.state.scoops[7].flavour) == ("tray", "vanilla")

    def test_it_happened_when_the_key_was_pressed(self, session, clock):
        clock.advance(20)
        one = accepted(session.call("note", {"text": "x"}, tick=19.5))
        assert (one.tick, one.at) == (19.5, BEGAN + timedelta(seconds=19.5))

    def test_never_in_the_future(self, session, clock):
        clock.advance(20)
        for tick in (25.0, float("nan"), float("inf")):
            assert accepted(session.call("note", {"text": f"at {tick}"}, tick=tick)).tick == 20

    def test_told_late_it_takes_its_place_in_time(self, session, clock):
        clock.advance(100)
        accepted(session.call("hero_in", {"scoops": [7]}))
        accepted(session.call("pull", {"scoop": 7}, tick=30))
        scoop = session.state.scoops[7]
        assert (scoop.pulled, scoop.assumed, scoop.place) == (30, False, "set")

    def test_told_late_it_must_fit_what_came_after(self, session, clock):
        accepted(session.call("pull"))
        clock.advance(100)
        accepted(session.call("hero_in"))
        refused = session.call("out", {"scoops": [1]}, tick=50)
        assert (
            refused.refused
            == "then a hero in (entry 3) could not be: scoop 1 is already out (gone); choose another scoop, or take the call “out” back"
        )
        assert session.state.scoops[1].on_set

    @pytest.mark.parametrize(
        ("kind", "given", "why"),
        [
            ("sing", {}, "there is no call named “sing”; the calls are"),
            ("opened", {"version": "0", "machine": "m"}, "opened is not a call; the calls are shot, lock"),
            ("note", {}, "a note needs its words"),
            ("note", {"text": "x", "n": 5}, "note: n is not given with a call; it is logged by itself"),
            ("note", {"text": "x", "kind": "pull"}, "note: kind is not given with a call"),
            ("top_up", {"mass_kg": -2}, "top_up: mass_kg: −2 is not possible; give more than 0"),
            ("amend", {"entry": 1, "change": {"tick": 1.0}}, "the opening and closing of the file cannot be amended"),
            ("take_back", {"entry": 1}, "the opening and closing of the file cannot be amended"),
            ("take_back", {"entry": 77}, "there is no entry 77 to mend; the last is 1"),
            ("swap", {}, "no hero is on set; bring one in, or name the scoops that were swapped"),
        ],
    )
    def test_what_cannot_be_is_refused_in_a_sentence_and_not_logged(self, session, kind, given, why):
        before = (session.state, list(session.ledger.entries))
        outcome = session.call(kind, given)
        assert outcome.entry is None
        assert outcome.refused.startswith(why)
        assert (session.state, list(session.ledger.entries)) == before

    def test_a_swap_of_a_scoop_judged_reject_and_out_is_refused(self, session):
        for kind, given in [
            ("hero_in", {"scoops": [1]}),
            ("judge", {"scoop": 2, "as": "reject"}),
            ("out", {"scoops": [2]}),
        ]:
            accepted(session.call(kind, given))
        assert (
            session.call("swap", {"out": 1, "in": 2}).refused
            == "scoop 2 is already out (gone); choose another scoop, or take the call “out” back"
        )


class TestTheSameCall:
    def test_within_a_short_moment_counts_once(self, session, clock):
        first = accepted(session.call("pull"))
        clock.advance(0.39)
        again = session.call("pull")
        assert again.repeated
        assert again.entry is first
        clock.advance(0.02)
        assert accepted(session.call("pull")).scoop == 2

    def test_a_held_key_does_not_keep_it_from_counting_again(self, session, clock):
        for _ in range(8):
            session.call("pull")
            clock.advance(0.15)
        assert len(session.state.scoops) == 3

    def test_other_fields_another_kind_or_another_scoop_chosen_is_another_call(self, session):
        accepted(session.call("pull"))
        accepted(session.call("pull", {"scoop": 5}))
        accepted(session.call("judge", choice=Choice(selected=1)))
        accepted(session.call("judge", choice=Choice(selected=5)))
        accepted(session.call("judge", {"as": "hero"}, Choice(selected=5)))

    def test_a_refused_call_is_refused_each_time(self, session):
        assert [session.call("swap").repeated for _ in range(2)] == [False, False]


class TestMending:
    def test_a_call_is_moved_back_in_time(self, session, clock):
        accepted(session.call("pull"))
        clock.advance(100)
        accepted(session.call("hero_in"))
        clock.advance(5)
        accepted(session.call("amend", {"change": {"tick": 80.0}}))
        assert session.state.scoops[1].since == 80

    def test_but_not_into_the_future(self, session, clock):
        clock.advance(100)
        accepted(session.call("pull"))
        outcome = session.call("amend", {"change": {"tick": 165.0}})
        assert outcome.refused == "a call cannot have happened in the future; that would be 1:05 from now"

    def test_an_amend_must_fit_what_was_amended_before(self, session):
        accepted(session.call("hero_in", {"scoops": [1, 2], "flavours": ["a", "b"], "spots": ["x", "y"]}))
        accepted(session.call("amend", {"entry": 2, "change": {"scoops": [1], "flavours": ["a"], "spots": ["x"]}}))
        assert session.call("amend", {"entry": 2, "change": {"scoops": [1, 2]}}).refused == (
            "hero_in: give as many flavours and spots as scoops, or none"
        )

    def test_take_back_takes_one_call_after_the_other(self, session, clock):
        for _ in range(3):
            accepted(session.call("pull"))
            clock.advance(1)
        for left in (2, 1, 0):
            accepted(session.call("take_back"))
            clock.advance(1)
            assert len(session.state.scoops) == left
        assert session.call("take_back").refused == "there is no call to take back"

    def test_twice_taken_back_is_refused_and_taking_that_back_restores(self, session):
        accepted(session.call("pull"))
        state = session.state
        back = accepted(session.call("take_back"))
        assert session.call("take_back", {"entry": 2}).refused == "that call is taken back already"
        assert (
            session.call("amend", {"entry": 2, "change": {"to": "tray"}}).refused == "that call is taken back already"
        )
        accepted(session.call("take_back", {"entry": back.n}))
        assert session.state == state


class TestTime:
    def test_seconds_follow_the_run_not_the_wall(self, session, clock):
        accepted(session.call("pull"))
        clock.advance(60)
        clock.set_wall(-3600)
        assert session.time() == 60
        assert session.time() - session.state.scoops[1].pulled == 60
        assert session.time(tick=20) == 20
        clock.set_wall(+7200)
        assert session.time() == 60

    def test_over_midnight(self, tmp_path):
        clock = HandClock(BEGAN.replace(hour=23, minute=59, second=50))
        session = new_session(tmp_path / "night.setlog", plan(), clock)
        accepted(session.call("pull"))
        clock.advance(20)
        late = accepted(session.call("hero_in"))
        assert late.at.day == 15
        assert session.state.scoops[1].since - session.state.scoops[1].pulled == 20
        assert session.wall_time(20.0) == late.at
        assert session.close()

    def test_opened_again_the_time_between_is_counted_by_the_wall(self, session, clock):
        accepted(session.call("pull"))
        clock.advance(10)
        assert session.close()
        clock.advance(600)
        again = open_session(session.path, HandClock(clock.now()))
        assert again.run == 2
        assert again.time() - again.state.scoops[1].pulled == 610
        assert again.ledger.runs[2].doubtful
        assert again.close()


class TestFiles:
    def test_a_session_ends_and_opens_again_as_it_was(self, session):
        accepted(session.call("pull"))
        accepted(session.call("hero_in"))
        scoops = session.state.scoops
        assert session.close()
        assert session.close()
        assert session.read_only
        assert read(session.path).condition == "whole"
        assert [path.name for path in session.path.parent.iterdir()] == ["shoot.setlog"]
        again = open_session(session.path, HandClock())
        assert again.state.scoops == scoops
        assert (again.words, again.header, again.plan) == ([], session.header, session.plan)
        assert again.close()

    def test_a_run_that_did_not_end_is_told(self, session):
        wait_until(lambda: all_told(session))
        session.leave()
        wait_until(lambda: not session.path.with_name("shoot.setlog.lock").exists())
        again = open_session(session.path)
        assert again.words == ["The last run ended without closing; everything logged is here."]
        assert again.close()

    def test_a_torn_line_is_set_aside_and_told(self, session):
        accepted(session.call("pull"))
        assert session.close()
        whole = session.path.read_bytes()
        session.path.write_bytes(whole[:-20])
        again = open_session(session.path, HandClock())
        assert again.words == [
            "The last line was torn; it was set aside in shoot.setlog.torn-1 and the session goes on.",
            "The last run ended without closing; everything logged is here.",
        ]
        assert 1 in again.state.scoops
        assert session.path.with_name("shoot.setlog.torn-1").read_bytes() == whole.splitlines(keepends=True)[-1][:-20]
        assert again.close()
        assert read(session.path).condition == "whole"

    def test_a_second_writer_is_refused_and_may_read(self, session):
        accepted(session.call("pull"))
        with pytest.raises(
            BusyError, match=r"shoot.setlog is being written by process \d+ on .*; open it with --follow"
        ):
            open_session(session.path)
        wait_until(lambda: all_told(session))
        reader = open_read_only(session.path)
        assert reader.state == session.state
        assert reader.call("pull").refused == "this session is open read-only; calls are taken where it is written"
        assert reader.time() == reader.state.last_time
        assert (reader.catch_up(), reader.following, reader.waiting) == ((), False, 0)
        assert reader.close()

    def test_a_damaged_session_opens_to_read_and_goes_on_in_a_copy(self, tmp_path):
        path = tmp_path / "shoot.setlog"
        data = file_bytes(small_shoot(), plan=plan().snapshot())
        path.write_bytes(data.replace(b'"scoop":2', b'"scoop":8', 1))
        with pytest.raises(DamagedError, match=r"^shoot.setlog is damaged at line 6; it opens read-only"):
            open_session(path)
        assert [entry.name for entry in tmp_path.iterdir()] == ["shoot.setlog"]
        reader = open_read_only(path)
        assert reader.words == ["Line 6 cannot be read: the line was changed: its sum does not match."]
        copy = open_session(copy_readable(read(path), tmp_path / "copy.setlog"), HandClock())
        assert copy.plan == plan()
        assert copy.state.scoops[2].assumed
        assert copy.close()
        assert read(tmp_path / "copy.setlog").condition == "whole"

    def test_a_plan_that_is_lost_leaves_a_plain_one(self, tmp_path):
        path = tmp_path / "shoot.setlog"
        path.write_bytes(file_bytes(small_shoot()))
        assert plan_of(read(path).header).flavours[0].name == "unknown"

    def test_a_file_that_exists_is_not_written_over(self, session):
        wait_until(lambda: all_told(session))
        before = session.path.read_bytes()
        with pytest.raises(SessionFileError, match=r"shoot.setlog exists already; choose another name"):
            new_session(session.path, plan())
        assert session.path.read_bytes() == before

    @pytest.mark.parametrize("opens", [lambda path, clock: new_session(path, plan(), clock), open_session])
    def test_a_run_that_cannot_begin_lets_its_file_go(self, tmp_path, monkeypatch, opens):
        path, clock = tmp_path / "shoot.setlog", HandClock()
        if opens is open_session:
            assert new_session(path, plan(), HandClock()).close()
        monkeypatch.setattr(clock, "anchor", lambda: 1 / 0)
        with pytest.raises(ZeroDivisionError):
            opens(path, clock)
        wait_until(lambda: lock_free(path), 10.0)
        assert open_session(path, HandClock()).close()

    def test_where_the_file_system_has_no_locks_it_is_said(self, tmp_path, monkeypatch):
        monkeypatch.setattr("studiotimer.session.locking._lock", lambda *_: False)
        session = new_session(tmp_path / "shoot.setlog", plan())
        assert session.words == [
            "This folder cannot keep a second program from writing the session; write it from one machine only."
        ]
        assert session.close()

    def test_it_goes_on_at_another_place_with_everything(self, session, tmp_path):
        accepted(session.call("pull"))
        old = session.path
        session.go_on_with(session.written_at(tmp_path / "elsewhere" / "shoot.setlog"))
        accepted(session.call("hero_in"))
        assert session.close()
        held = read(tmp_path / "elsewhere" / "shoot.setlog")
        assert [entry.kind for entry in held.entries] == ["opened", "pull", "hero_in", "closed"]
        assert held.header == read(old).header
        wait_until(lambda: not old.with_name("shoot.setlog.lock").exists())

    def test_another_place_that_cannot_be_leaves_it_where_it_was(self, session):
        with pytest.raises(SessionFileError, match="exists already"):
            session.go_on_with(session.written_at(session.path))
        accepted(session.call("pull"))
        wait_until(lambda: session.on_disk == 2)

    def test_a_disk_that_refuses_keeps_the_session_open(self, session, monkeypatch):
        told = []
        session.listeners.on_trouble = told.append
        wait_until(lambda: all_told(session))
        monkeypatch.setattr(
            session._writer._journal, "_check_there", lambda: (_ for _ in ()).throw(OSError(28, "disk full"))
        )
        accepted(session.call("pull"))
        wait_until(lambda: session.trouble == "disk full")
        assert not session.close(timeout_s=0.5)
        assert (session.waiting, session.on_disk) == (1, 1)
        monkeypatch.undo()
        assert session.close()
        assert (told, session.trouble) == (["disk full", None], None)
        assert [entry.kind for entry in read(session.path).entries] == ["opened", "pull", "closed"]

    def test_if_it_fills_up_at_the_very_end_it_says_so_too(self, session, monkeypatch):
        monkeypatch.setattr(session._writer, "close", lambda *_: False)
        assert not session.close()
        assert not session.read_only


class TestFollowing:
    def test_it_catches_up_with_what_is_written(self, session, clock):
        wait_until(lambda: all_told(session))
        theirs = HandClock(clock.now())
        theirs.advance(500)
        theirs.set_wall(-500)
        watcher = follow(session.path, theirs)
        assert (watcher.read_only, watcher.following, watcher.plan) == (True, True, session.plan)
        one = accepted(session.call("pull"))
        wait_until(lambda: all_told(session))
        assert watcher.catch_up() == (one,)
        assert (watcher.state, watcher.on_disk, watcher.trouble) == (session.state, 2, None)
        clock.advance(30)
        theirs.advance(30)
        assert watcher.time() == session.time() == 30
        assert watcher.call("pull").refused

    def test_before_anything_is_logged_time_stands(self, tmp_path):
        path = tmp_path / "new.setlog"
        path.write_bytes(file_bytes([]))
        assert follow(path).time() == 0

    def test_when_the_file_is_away_it_says_so(self, session):
        wait_until(lambda: all_told(session))
        watcher = follow(session.path)
        session.path.rename(session.path.with_name("moved"))
        assert watcher.catch_up() == ()
        assert watcher.trouble == "shoot.setlog cannot be read just now: No such file or directory"


def test_the_listener_hears_of_the_disk_from_the_writers_thread(session):
    wait_until(lambda: all_told(session))
    heard = []
    session.listeners.on_disk = lambda n: heard.append((n, threading.current_thread().name))
    accepted(session.call("pull"))
    wait_until(lambda: heard)
    assert heard == [(2, "session writer")]


def test_the_machine_is_named_plainly(monkeypatch, tmp_path):
    monkeypatch.setattr(beat.socket, "gethostname", lambda: "lap\x1btop" + "x" * 300)
    session = new_session(tmp_path / "a.setlog", plan(), SystemClock())
    assert session.ledger.entries[0].machine == "lap top" + "x" * 193
    monkeypatch.setattr(beat.socket, "gethostname", lambda: "")
    assert beat.machine_name() == "unknown"
    assert session.close()
