"""A damaged session in the window: it opens read-only, names the line, and goes on in a copy at a key."""

from PySide6.QtCore import Qt

from studiotimer.places import sessions_folder
from studiotimer.session.reading import read
from studiotimer.session.verifying import verify
from tests.window.test_set_page import make


def test_it_opens_read_only_and_goes_on_in_a_copy(qtbot, shoot, press, session_path):
    make(shoot, "shot", "pull", "pull")
    assert shoot.close_session()
    whole = session_path.read_bytes()
    damaged = whole.replace(b'"scoop":1', b'"scoop":7')
    session_path.write_bytes(damaged)
    shoot.open_file(session_path)
    assert shoot.running.session.read_only
    assert "damaged at line 4" in shoot.page.quiet_line.text()
    assert "this file is damaged" in shoot.page.standing.text()
    assert shoot.page.elsewhere.isVisible()
    assert "copy" in shoot.page.elsewhere.accessibleName()
    press(shoot, Qt.Key.Key_F8)
    copy = sessions_folder() / "test-copy-1.setlog"
    qtbot.waitUntil(lambda: shoot.running is not None and shoot.running.session.path == copy)
    assert not shoot.running.session.read_only
    assert "copy" not in shoot.page.elsewhere.accessibleName()
    assert set(shoot.running.state.scoops) == {2}
    assert shoot.running.call("pull").refused is None
    assert shoot.close_session()
    assert verify(copy).whole
    assert session_path.read_bytes() == damaged
    assert [entry.kind for entry in read(copy).entries].count("pull") == 2


def test_where_no_copy_can_be_made_it_says_so(qtbot, shoot, press, session_path, monkeypatch):
    make(shoot, "shot", "pull")
    assert shoot.close_session()
    session_path.write_bytes(session_path.read_bytes().replace(b'"scoop":1', b'"scoop":7'))
    shoot.open_file(session_path)

    def refuses(damaged, target):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("studiotimer.session.elsewhere.copy_readable", refuses)
    press(shoot, Qt.Key.Key_F8)
    assert "No space left" in shoot.page.quiet_line.text()
    assert shoot.running.session.path == session_path
