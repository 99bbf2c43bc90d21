"""Rehearsing in the window, and following along."""

import shutil

import pytest
from PySide6.QtCore import Qt

from studiotimer.places import demo_sessions
from studiotimer.session.reading import read
from studiotimer.session.rehearsal import RehearsalAsked
from studiotimer.window.set.day_time import time_now
from studiotimer.window.set.log_rows import log_rows
from studiotimer.window.set.open_warnings import PLAYED, PLAYED_OUT
from studiotimer.wrap.recorded import load
from tests.window.test_set_page import make

DEMO = demo_sessions() / "hot_tungsten" / "hot_tungsten.setlog"
K = Qt.Key


@pytest.fixture
def rehearsal(window):
    window.rehearse(DEMO, RehearsalAsked(60.0))
    return window


def test_it_plays_and_writes_nothing(qtbot, rehearsal):
    before = DEMO.read_bytes()
    qtbot.waitUntil(lambda: len(rehearsal.running.session.ledger.entries) > 3, timeout=10_000)
    assert "Rehearsal" in rehearsal.page.standing.text()
    assert rehearsal.running.call("pull").refused
    assert DEMO.read_bytes() == before


def test_space_pauses_arrows_jump_and_change_speed(qtbot, rehearsal, press):
    session = rehearsal.running.session
    press(rehearsal, K.Key_Space)
    assert session.paused
    here = session.time()
    qtbot.wait(80)
    assert session.time() == here
    press(rehearsal, K.Key_Right)
    assert session.time() == pytest.approx(here + 30)
    press(rehearsal, K.Key_Left)
    assert session.time() == pytest.approx(here)
    press(rehearsal, K.Key_Down)
    assert session.speed == 40
    press(rehearsal, K.Key_Up)
    press(rehearsal, K.Key_Up)
    assert session.speed == 60
    before = len(session.ledger.entries)
    press(rehearsal, K.Key_Return)
    assert len(session.ledger.entries) == before + 1


def test_a_day_that_is_played_tells_the_time_of_the_set_as_wrap_does(rehearsal):
    session = rehearsal.running.session
    session.pause(True)
    session.jump(session.began + 900)
    wrapped = load(DEMO)
    by_number = {entry.n: wrapped.ledger.seconds(entry) for entry in wrapped.ledger.entries}
    rows = log_rows(session, 8)
    assert len(rows) == 8
    assert [row.time for row in rows] == [f"{wrapped.local(by_number[row.number]):%H:%M:%S}" for row in rows]
    assert wrapped.local(0.0).utcoffset().total_seconds() == 7200
    assert time_now(session) == wrapped.local(session.time())


def test_jumped_to_its_end_it_is_the_recorded_session(rehearsal):
    session = rehearsal.running.session
    session.pause(True)
    session.jump(session.began + session.length_s)
    assert session.done
    from studiotimer.session.mending import Ledger

    assert session.state.scoops == Ledger.of(read(DEMO).entries).state.scoops
    session.jump(session.began + 30)
    assert len(session.ledger.entries) < 10


def test_once_all_was_played_the_day_is_over_and_space_plays_it_again(qtbot, rehearsal, press):
    session = rehearsal.running.session
    session.pause(True)
    session.jump(session.began + session.length_s + 500.0)
    session.pause(False)
    qtbot.waitUntil(lambda: PLAYED_OUT in rehearsal.page.standing.text(), timeout=90_000)
    assert session.time() == session.began + session.length_s
    press(rehearsal, K.Key_Right)
    assert session.time() == session.began + session.length_s
    assert "Play again" in rehearsal.play.pause.accessibleName()
    press(rehearsal, K.Key_Space)
    assert not session.paused
    assert session.time() < session.began + session.length_s
    qtbot.waitUntil(lambda: PLAYED in rehearsal.page.standing.text(), timeout=90_000)


@pytest.mark.parametrize("speed", [0.0, 0.5, 61.0, 1000.0, -3.0])
def test_a_speed_that_cannot_be_is_refused_with_the_range(speed, capsys):
    from studiotimer.cli import main

    assert main(["rehearse", str(DEMO), f"--speed={speed}"]) == 2
    error = capsys.readouterr().err
    assert error.count("\n") == 1
    assert "give 1 to 60" in error


def test_a_follower_shows_what_the_writer_logs(qtbot, shoot, tmp_path, monkeypatch):
    from studiotimer.window.main import MainWindow

    make(shoot, "shot", "pull")
    other = MainWindow()
    qtbot.addWidget(other)
    other.show()
    other.open_file(shoot.running.session.path, follow=True)
    assert "Following" in other.page.standing.text()
    assert [entry.kind for entry in other.running.session.ledger.entries] == ["opened", "shot", "pull"]
    make(shoot, "pull", "top_up")
    qtbot.waitUntil(lambda: other.running.session.ledger.entries[-1].kind == "top_up", timeout=2000)
    assert other.running.state.scoops.keys() == shoot.running.state.scoops.keys()
    assert other.running.call("pull").refused
    other.close_session()


def test_following_what_is_no_session_is_one_sentence(tmp_path, capsys):
    from studiotimer.cli import main

    path = tmp_path / "list.setlog"
    path.write_text("milk, sugar, cream\n")
    assert main([str(path), "--follow"]) == 2
    assert capsys.readouterr().err.count("\n") == 1


def test_a_demo_opens_as_a_copy(window):
    before = DEMO.read_bytes()
    window.open_demo(DEMO)
    assert window.running.call("pull").refused is None
    assert DEMO.read_bytes() == before
    assert window.running.session.path != DEMO
    shutil.rmtree(window.running.session.path.parent, ignore_errors=True)


def test_f1_lists_what_the_keys_do_while_a_day_is_played(rehearsal, press):
    press(rehearsal, K.Key_F1)
    told = rehearsal.page.below.part.accessibleDescription()
    assert "Pause, go on: space" in told
    assert "Next call: enter" in told
    assert "Crew screen: C" in told
    assert "Prep page: F2" in told
    for words in ("Make the cued call", "Pull", "a call's choices"):
        assert f"{words}:" not in told
