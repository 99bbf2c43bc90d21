"""The crew screen: what it shows, how large, and how little light it gives off."""

from itertools import pairwise

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication, QWidget

from studiotimer.session.cue_pieces import with_parts
from studiotimer.session.cues import Cue
from studiotimer.window.set import crew_place
from studiotimer.window.set.routes import routes
from tests.window.test_set_page import forecast_after, make


@pytest.fixture
def crew(qtbot, shoot, press, second):
    make(shoot, "shot", "pull", "pull", "pull", "hero_in")
    forecast_after(qtbot, shoot)
    press(shoot, Qt.Key.Key_C)
    screen = shoot.crew
    qtbot.waitExposed(screen)
    screen.showNormal()
    screen.resize(1920, 1080)
    return screen


def test_it_shows_clock_cue_shot_and_time_of_day(shoot, crew):
    shoot.page.tick()
    crew.tick()
    words, label, cue, ahead, shot, time, _ = crew.shown
    assert words == shoot.page.clock.words
    assert label == shoot.page.clock.label
    assert f"{cue} {ahead}".rstrip() == shoot.page.cue_label.text()
    assert shot == "coupe"
    assert len(time.split(":")) == 3


def test_the_figures_are_a_quarter_of_the_height_and_little_is_coloured(crew):
    image = crew.grab().toImage()
    width, height = image.width(), image.height()
    bright = [[image.pixelColor(x, y) for x in range(0, width, 4)] for y in range(0, height, 4)]
    rows = [
        index for index, row in enumerate(bright) if sum(one.lightness() > 150 for one in row[: len(row) // 2]) > 20
    ]
    longest = max(run_lengths(rows))
    assert longest * 4 >= height / 4
    colours = [one for row in bright for one in row]
    coloured = sum(one.hsvSaturationF() > 0.25 and one.valueF() > 0.3 for one in colours)
    assert coloured / len(colours) <= 0.05


def coloured_share(screen):
    image = screen.grab().toImage().convertToFormat(QImage.Format.Format_RGBA8888)
    colours = np.asarray(image.constBits()).reshape(image.height(), image.bytesPerLine() // 4, 4)
    colours = colours[::3, : image.width() : 3, :3].astype(int)
    value, least = colours.max(axis=2), colours.min(axis=2)
    return float(np.mean((value - least > 0.25 * value) & (value > 0.3 * 255)))


@pytest.mark.parametrize("size", [(1920, 1080), (1280, 720)])
def test_no_cue_and_no_stage_colours_more_than_a_twentieth(qtbot, shoot, crew, size):
    """It stands near a lit set: waiting, in the window, past it, with every kind of cue that moves a scoop."""
    crew.resize(*size)
    for _ in range(5):
        crew.tick()
        assert coloured_share(crew) <= 0.05, crew.shown
        shoot.running.session.clock.advance(70)
        shoot.running.forecast = None
        shoot.running.ask_forecast()
        qtbot.waitUntil(lambda: shoot.running.forecast is not None, timeout=30_000)
        shoot.page.refresh()
    desk = shoot.running.desk()
    for kind, given in (("swap", {"out": 1, "in": 2}), ("out", {"scoops": [1, 2, 3]}), ("pull", {"flavour": "lemon"})):
        shoot.page.cues = [with_parts(Cue(kind, "", shoot.page.now() + 30, given), desk)]
        crew.tick()
        assert coloured_share(crew) <= 0.05, kind
    make(shoot, "out")
    shoot.page.refresh()
    crew.tick()
    assert coloured_share(crew) <= 0.05


def run_lengths(numbers):
    run, lengths = 1, [1]
    for before, after in pairwise(numbers):
        run = run + 1 if after == before + 1 else 1
        lengths.append(run)
    return lengths


def test_it_dims_with_the_window_and_says_when_keys_are_not_heard(qtbot, shoot, crew, press):
    shoot.dim()
    assert crew.veil.isVisible()
    shoot.dim()
    assert not crew.veil.isVisible()
    other = QWidget()
    qtbot.addWidget(other)
    other.show()
    other.activateWindow()
    qtbot.waitUntil(lambda: "not heard" in crew.shown[6], timeout=5000)
    shoot.activateWindow()
    qtbot.waitUntil(lambda: crew.shown[6] == "", timeout=5000)


def test_keys_pressed_on_it_are_heard(qtbot, shoot, crew):
    crew.activateWindow()
    qtbot.waitActive(crew)
    assert "not heard" not in shoot.page.standing.text()
    qtbot.keyClick(crew, Qt.Key.Key_E)
    assert shoot.running.session.ledger.entries[-1].kind == "lamp"


def test_it_is_full_without_a_frame_and_takes_no_keys_from_the_window(shoot, press, second):
    press(shoot, Qt.Key.Key_C)
    assert shoot.crew.isFullScreen()
    assert shoot.crew.windowFlags() & Qt.WindowType.FramelessWindowHint
    assert shoot.isActiveWindow()


def test_without_a_second_monitor_it_waits_and_is_never_over_the_window(qtbot, shoot, press, monkeypatch):
    press(shoot, Qt.Key.Key_C)
    assert not shoot.crew.isVisible()
    assert shoot.page.quiet_line.text() == "The crew screen waits for a second monitor: it opens there by itself."
    monkeypatch.setattr(crew_place, "monitor_for", lambda window, wanted="": QApplication.primaryScreen())
    shoot.crew_place.moved()
    qtbot.waitUntil(lambda: shoot.crew.isVisible(), timeout=5000)
    monkeypatch.setattr(crew_place, "monitor_for", lambda window, wanted="": None)
    shoot.crew_place.moved()
    qtbot.waitUntil(lambda: not shoot.crew.isVisible(), timeout=5000)
    qtbot.waitUntil(shoot.isActiveWindow, timeout=5000)


def test_it_opens_with_the_next_session_if_it_was_open(qtbot, shoot, crew, session_path, press):
    shoot.finish()
    assert shoot.crew is None
    shoot.open_file(session_path)
    qtbot.waitUntil(lambda: shoot.crew is not None and shoot.crew.isVisible(), timeout=5000)
    shoot.activateWindow()
    qtbot.waitUntil(shoot.isActiveWindow, timeout=5000)
    press(shoot, Qt.Key.Key_C)
    assert shoot.crew is None
    shoot.finish()
    shoot.open_file(session_path)
    qtbot.wait(400)
    assert shoot.crew is None


def test_closed_as_a_window_it_is_closed(qtbot, shoot, crew):
    crew.close()
    assert shoot.crew is None
    shoot.show_crew()
    assert shoot.crew.isVisible()


def test_words_that_are_asked_for_are_written_in_the_window_with_their_field(qtbot, shoot, crew, press):
    """Also when the crew screen has the keys: letters must not become calls."""
    crew.activateWindow()
    qtbot.waitUntil(crew.isActiveWindow, timeout=5000)
    entries = len(shoot.running.session.ledger.entries)
    press(crew, Qt.Key.Key_N)
    qtbot.waitUntil(shoot.isActiveWindow, timeout=5000)
    for letter in (Qt.Key.Key_P, Qt.Key.Key_O, Qt.Key.Key_L):
        press(shoot, letter)
    assert len(shoot.running.session.ledger.entries) == entries
    press(shoot, Qt.Key.Key_Return)
    assert shoot.running.session.ledger.entries[-1].text == "pol"


def test_esc_closes_the_crew_screen(qtbot, shoot, crew, press):
    crew.activateWindow()
    qtbot.waitUntil(crew.isActiveWindow, timeout=5000)
    press(crew, Qt.Key.Key_Escape)
    assert shoot.crew is None
    qtbot.waitUntil(shoot.isActiveWindow, timeout=5000)


def test_it_shows_what_the_cue_moves_from_where_to_where_and_the_next_cue(qtbot, shoot, press, second):
    make(shoot, "shot", "pull", "pull", "pull")
    for which in ("light", "set", "camera"):
        assert shoot.running.call("lock", {"which": which, "on": True}).refused is None
    forecast_after(qtbot, shoot)
    press(shoot, Qt.Key.Key_C)
    shoot.page.refresh()
    shoot.crew.tick()
    assert shoot.crew.shown[2].startswith("Hero in")
    assert shoot.crew.routes == ("1 pistachio, box to left", "2 hazelnut, box to top", "3 lemon, box to right")
    shoot.page.cues = [shoot.page.cues[0], Cue("pull", "Pull lemon", shoot.page.now() + 40)]
    shoot.crew.tick()
    assert shoot.crew.after == "then Pull lemon in 0:40"
    assert "1 pistachio, box to left" in shoot.crew.accessibleName()


def test_routes_of_every_cue_that_moves_a_scoop(qtbot, shoot):
    make(shoot, "shot", "pull", "pull", "pull", "hero_in")
    assert shoot.running.call("pull", {"flavour": "pistachio"}).refused is None
    desk = shoot.running.desk()

    def said(kind, **given):
        return routes(with_parts(Cue(kind, "", 0.0, given), desk))

    assert said("swap", **{"out": 1, "in": 4}) == ["4 pistachio, box to left", "1 pistachio, left to out"]
    assert said("out", scoops=[2]) == ["2 hazelnut, top to out"]
    assert said("move", scoop=4, to="tray") == ["4 pistachio, box to tray"]
    assert said("pull", flavour="lemon") == ["lemon, tub to box"]
    assert said("judge", scoop=4, **{"as": "reject"}) == ["4 pistachio, box to out"]
    assert said("lamp", on=True) == []
