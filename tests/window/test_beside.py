"""The window while another program changes its file, and on a session that two programs wrote."""

import shutil

import pytest
from PySide6.QtCore import Qt

from studiotimer.session import writer as writers
from studiotimer.session.live import new_session, open_session
from studiotimer.session.reading import read
from studiotimer.session.verifying import verify
from studiotimer.window.recent import recent_sessions
from tests.window.test_bad_disk import call, notes

K = Qt.Key


@pytest.fixture(autouse=True)
def _quick_retries(monkeypatch):
    monkeypatch.setattr(writers.Writer.__init__, "__defaults__", (0.02,))


@pytest.mark.fault("the window's session file emptied under it")
def test_it_goes_on_beside_its_file_and_says_so(qtbot, shoot, session_path):
    call(shoot, "before")
    qtbot.waitUntil(lambda: shoot.running.session.waiting == 0)
    session_path.write_bytes(b"")
    call(shoot, "after")
    qtbot.waitUntil(lambda: "test-beside-1" in shoot.page.quiet_line.text())
    assert shoot.page.quiet_line.text() == (
        "The session file was changed by another program: it is left as it is. "
        "The whole session is on disk and goes on in “test-beside-1.setlog”."
    )
    assert shoot.windowTitle() == "test-beside-1 – Studiotimer"
    beside = session_path.with_name("test-beside-1.setlog")
    qtbot.waitUntil(lambda: recent_sessions()[:1] == [beside])
    assert shoot.close_session()
    assert notes(beside) == ["before", "after"]
    assert verify(beside).whole
    assert session_path.read_bytes() == b""


@pytest.fixture
def two(tmp_path, plan):
    """A session of which two files went on."""
    path = tmp_path / "day.setlog"
    new_session(path, plan).close()
    shutil.copy(path, tmp_path / "day-beside-1.setlog")
    for name in ("day", "day-beside-1"):
        own = open_session(tmp_path / f"{name}.setlog")
        assert own.call("note", {"text": f"in {name}"}).refused is None
        assert own.close()
    return path


@pytest.mark.parametrize("opened", ["day.setlog", "day-beside-1.setlog"])
def test_opening_either_offers_both_joined(qtbot, window, two, press, opened):
    window.open_file(two.with_name(opened))
    qtbot.waitUntil(lambda: "has 1 entry more of this session" in window.page.standing.text())
    assert window.page.elsewhere.isVisible()
    press(window, K.Key_F8)
    qtbot.waitUntil(lambda: "-joined-1" in window.windowTitle())
    assert sorted(notes(window.running.session.path)) == ["in day", "in day-beside-1"]
    qtbot.wait(100)
    assert not window.page.elsewhere.isVisible()
    assert window.close_session()
    assert read(two).condition == "whole"
    assert verify(two.with_name("day-joined-1.setlog")).whole


def test_a_session_that_is_alone_offers_nothing(qtbot, shoot):
    qtbot.wait(100)
    assert shoot.running.other is None
    assert not shoot.page.elsewhere.isVisible()


@pytest.mark.fault("a session file that was emptied is opened in the window")
def test_the_file_beside_an_emptied_one_is_offered(qtbot, window, plan, tmp_path):
    path = tmp_path / "day.setlog"
    new_session(path, plan).close()
    beside = tmp_path / "day-beside-1.setlog"
    path.rename(beside)
    path.write_bytes(b"")
    window.open_file(path)
    assert window.running is None
    assert "day-beside-1.setlog, beside it: open that one" in window.start.message.text()
    qtbot.waitUntil(lambda: [button.toolTip().count(beside.name) for button in window.start.recent] == [1])
    window.start.recent[0].click()
    assert window.running.session.path == beside
