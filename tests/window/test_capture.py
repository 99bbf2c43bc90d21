"""The capture folder in the window: frames come by themselves, the camera's clock is asked about once and answered."""

import datetime as dt
import re

import pytest
from PySide6.QtCore import Qt

from studiotimer.session.clock import SystemClock
from studiotimer.window.capture import WATCHED, watched_for
from studiotimer.window.places_kept import remember
from tests.wrap.shoots import picture


class RealClock(SystemClock):
    """The machine's clock; where the tests of other pages move theirs, it goes on by itself."""

    def advance(self, seconds):
        return None


@pytest.fixture
def clock():
    return RealClock()


@pytest.fixture
def folder(tmp_path):
    there = tmp_path / "capture"
    there.mkdir()
    return there


@pytest.fixture
def said(shoot):
    words = []
    shoot.services.said.connect(words.append)
    return words


def shot_now(path, ahead_s=0.0):
    """Write a picture whose camera is `ahead_s` ahead of this machine."""
    at = dt.datetime.now(dt.UTC) + dt.timedelta(seconds=ahead_s)
    return picture(path, f"{at:%Y:%m:%d %H:%M:%S}", f"{at:%f}", "+00:00")


def watched(qtbot, window, folder, ahead_s):
    """Watch a folder, and wait until it was looked into: what is there before is not new."""
    window.watch(str(folder), ahead_s)
    qtbot.waitUntil(lambda: window.services._capture._watch is not None and window.services._capture._watch._begun)


def frames(window):
    return [told for told in window.running.session.ledger.told if told.entry.kind == "frame"]


def test_a_camera_an_hour_behind_is_asked_about_and_one_key_and_enter_answer(qtbot, shoot, press, folder, said):
    press(shoot, Qt.Key.Key_K)
    watched(qtbot, shoot, folder, 0.0)
    many = 0
    while shoot.page.calls.capture_now[1] == 0.0:  # as long as three are not seen equally late
        shot_now(folder / f"A_{many}.jpg", -3603.0)
        many += 1
        qtbot.waitUntil(lambda wanted=many: len(frames(shoot)) == wanted)
    assert many >= 3
    assert all(abs(one.at - shoot.running.session.time()) < 300 for one in frames(shoot))
    assert shoot.page.calls.capture_now[1] == pytest.approx(-3603.0, abs=90.0)
    press(shoot, Qt.Key.Key_V)
    assert shoot.page.calls.choosing
    press(shoot, Qt.Key.Key_Return)
    assert re.search(r"The camera's clock is taken to be 1:0[01]:\d\d ", said[-1])
    shot_now(folder / "Z.jpg", -3603.0)
    qtbot.waitUntil(lambda: len(frames(shoot)) == many + 1)
    assert [one.entry.timed for one in frames(shoot)] == ["arrival"] * many + ["camera"]
    assert shoot.page.header.chips["frames"].isVisible()
    assert shoot.page.header.chips["frames"].accessibleName().startswith(f"{many + 1} frames of this take, last Z.jpg")
    assert frames(shoot)[-1].at == pytest.approx(shoot.running.session.time(), abs=90.0)


def test_a_frame_of_before_the_session_is_said_and_not_logged(qtbot, shoot, folder, said):
    watched(qtbot, shoot, folder, -5.0)
    shot_now(folder / "old.jpg", -3600.0)
    qtbot.waitUntil(lambda: any(words.startswith("old.jpg: taken ") for words in said), timeout=10_000)
    assert said[-1].endswith("before this session was opened, not logged; add them in Wrap.")
    assert frames(shoot) == []


def test_a_copied_card_waits_for_the_cameras_clock(qtbot, shoot, folder, said):
    watched(qtbot, shoot, folder, 0.0)
    for number in range(6):
        shot_now(folder / f"C_{number}.jpg", -7200.0 + 30 * number)
    qtbot.waitUntil(lambda: any("copied from a card" in words for words in said), timeout=10_000)
    qtbot.wait(2000)
    assert frames(shoot) == []


def test_wrap_proposes_the_folder_that_was_watched(qtbot, shoot, folder, tmp_path):
    watched(qtbot, shoot, folder, 0.0)
    shoot.nav.go("wrap")
    shoot.nav.wrap.give_frames()
    assert shoot.nav.wrap.bar.line.text() == str(folder)
    assert watched_for(tmp_path / "another.setlog") is None
    for broken in (None, 3, [], [3, "x"], [str(shoot.running.session.path)], {"x": 1}):
        remember(WATCHED, broken)
        assert watched_for(shoot.running.session.path) is None
