"""A followed shoot whose leader is gone goes on here with one key, and the leader is told when it comes back."""

from PySide6.QtCore import Qt

from studiotimer.session import leader
from studiotimer.session.beat import Taken, beat_path, taken_path, write_note
from studiotimer.session.live import new_session
from studiotimer.session.reading import read
from tests.session.shoots import BEGAN


def test_it_goes_on_here_with_one_key(qtbot, window, plan, session_path, clock, press, monkeypatch):
    theirs = new_session(session_path, plan, clock)
    assert theirs.call("shot").refused is None
    assert theirs.call("hero_in").refused is None
    assert theirs._writer.flush()
    theirs.leave()
    monkeypatch.setattr(leader, "GONE_S", 300.0)
    window.open_file(session_path, follow=True)
    page = window.page
    assert not page.elsewhere.isVisible()
    monkeypatch.setattr(leader, "GONE_S", 1.5)
    qtbot.waitUntil(lambda: page.elsewhere.isVisible(), timeout=10_000)
    assert page.elsewhere.accessibleName() == "F8  go on here, in a file of its own"
    press(window, Qt.Key.Key_F8)
    qtbot.waitUntil(lambda: not window.running.session.read_only, timeout=10_000)
    session = window.running.session
    assert session.path.name == "test-taken-1.setlog"
    assert len(session.state.heroes()) == 3
    assert window.running.call("note", {"text": "goes on"}).refused is None
    qtbot.waitUntil(lambda: session.waiting == 0)
    assert read(session.path).entries[-1].text == "goes on"
    assert taken_path(session_path).is_file()


def test_a_window_that_writes_beats_and_hears_that_it_was_taken_over(qtbot, shoot, session_path):
    qtbot.waitUntil(lambda: beat_path(session_path).exists(), timeout=10_000)
    header = shoot.running.session.header
    write_note(
        taken_path(session_path),
        Taken(session=header.session, machine="laptop 2", file="test-taken-1.setlog", n=1, at=BEGAN),
    )
    said = "laptop 2 took this shoot over at"
    qtbot.waitUntil(lambda: said in shoot.page.standing.text(), timeout=10_000)
    assert shoot.running.call("note", {"text": "taken all the same"}).refused is None
    assert said in shoot.page.standing.text()
    assert shoot.close_session()
    qtbot.waitUntil(lambda: not beat_path(session_path).exists(), timeout=10_000)
    shoot.open_file(session_path)
    assert said in shoot.page.standing.text()
