"""A figure that is no longer worked out, or cannot be drawn, is covered and that is said; never shown as if it were right."""

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor

from studiotimer.session.live import new_session
from studiotimer.window.set import clock_face, crew_screen, face, fresh
from studiotimer.window.set.page import SetPage
from studiotimer.window.theme import DARK
from tests.session.shoots import plan as plan_of_shoots
from tests.window.test_set_page import forecast_after, make

WARNING = QColor(DARK.warning).rgb()


def broken(*_, **__):
    raise RuntimeError("made to fail")


def covered(widget):
    """Whether a widget is drawn as its cover: corners and edges in the colour of warnings."""
    image = widget.grab().toImage()
    far = (image.width() - 2, image.height() - 2)
    return all(image.pixelColor(x, y).rgb() == WARNING for x, y in ((1, 1), far, (1, far[1]), (far[0], 1)))


def now_covered(timed, widget):
    """Whether a widget is drawn as its cover just after what it shows was worked out."""
    timed.tick()
    return covered(widget)


@pytest.fixture
def shown(qtbot, shoot, press, second, monkeypatch):
    """A hero on set, its time on the page and on the crew screen; figures are old after two seconds."""
    monkeypatch.setattr(fresh, "STALE_S", 2.0)
    make(shoot, "shot", "pull", "pull", "hero_in")
    forecast_after(qtbot, shoot)
    press(shoot, Qt.Key.Key_C)
    qtbot.waitExposed(shoot.crew)
    qtbot.waitUntil(lambda: not now_covered(shoot.page, shoot.page.clock) and not now_covered(shoot.crew, shoot.crew))
    return shoot


FAULTS = {
    "working the clock's time out fails": (face, "clock"),
    "reading the session's clock fails": (SetPage, "now"),
    "drawing the figures fails": (clock_face, "figures"),
    "what a moment's tiles show cannot be worked out": (face, "tiles"),
}


@pytest.mark.qt_no_exception_capture
@pytest.mark.fault("{what}")
@pytest.mark.parametrize("what", FAULTS)
def test_a_fault_is_covered_and_said(qtbot, shown, monkeypatch, what):
    where, name = FAULTS[what]
    clock_itself = name != "tiles"
    with monkeypatch.context() as patch:
        if name == "figures":
            for module in (clock_face, crew_screen):
                patch.setattr(module, "paint_figures", broken)
            shown.page.clock.update()
            shown.crew.update()
        else:
            patch.setattr(where, name, broken)
            shown.page._second = -1
        qtbot.waitUntil(lambda: fresh.SAID in shown.page.standing.text(), timeout=3000)
        if clock_itself:
            qtbot.waitUntil(lambda: covered(shown.page.clock) and covered(shown.crew), timeout=2000)
            assert shown.page.clock.accessibleName() == fresh.STOPPED
        if name != "figures":
            assert not shown.page.line.rows
            said = f"melt ribbon: {fresh.STOPPED}"
            qtbot.waitUntil(lambda: shown.page.ribbon.accessibleName() == said, timeout=1000)
            assert shown.page.cue_label.text() == ""
        assert shown.running.call("note", {"text": "taken all the same"}).refused is None
    qtbot.waitUntil(lambda: fresh.SAID not in shown.page.standing.text(), timeout=3000)
    qtbot.waitUntil(lambda: not now_covered(shown.page, shown.page.clock) and not now_covered(shown.crew, shown.crew))
    qtbot.waitUntil(lambda: fresh.STOPPED not in shown.page.ribbon.accessibleName())
    assert shown.page.cue_label.text() != ""


def test_a_warning_said_while_it_was_old_unseen_does_not_stay(qtbot, shown):
    """Whoever says what stands just before the clock is looked at again says what was last found, not what is next."""
    page = shown.page
    page.moving._marked -= 2 * fresh.STALE_S
    page.stand(*page._told)
    page.moving.mark()
    page.moving.look()
    assert fresh.SAID not in page.standing.text()


@pytest.mark.fault("the window's loop hung for some seconds")
def test_after_a_hang_the_first_repaint_is_the_cover(qtbot, shown):
    time.sleep(fresh.STALE_S + 0.5)
    assert covered(shown.page.clock)
    assert covered(shown.crew)
    qtbot.waitUntil(lambda: not covered(shown.page.clock))
    qtbot.waitUntil(lambda: not covered(shown.crew))


@pytest.mark.fault("the timer that moves the clock stopped")
def test_a_timer_that_stopped_is_found_out(qtbot, shown):
    shown.page._tick.stop()
    shown.crew._tick.stop()
    qtbot.waitUntil(lambda: fresh.SAID in shown.page.standing.text(), timeout=3000)
    qtbot.waitUntil(lambda: covered(shown.page.clock) and covered(shown.crew), timeout=2000)


STUCK = r"""
#define _GNU_SOURCE
#include <dlfcn.h>
#include <time.h>
#include <unistd.h>
int clock_gettime(clockid_t which, struct timespec *at) {
    static int (*real)(clockid_t, struct timespec *);
    static struct timespec kept;
    if (!real) real = dlsym(RTLD_NEXT, "clock_gettime");
    int done = real(which, at);
    if (which == CLOCK_BOOTTIME) {
        if (access(STOP, F_OK) == 0) { if (kept.tv_sec) *at = kept; else kept = *at; }
        else kept.tv_sec = 0;
    }
    return done;
}
"""
WATCHES = """
import sys
from pathlib import Path
from PySide6.QtCore import QTimer
from studiotimer.window import app, main
from studiotimer.window.set import fresh

app.application()
def watch():
    for window in app.application().topLevelWidgets():
        if isinstance(window, main.MainWindow) and window.page is not None:
            Path(sys.argv[2]).write_text(window.page.standing.text() + window.page.clock.accessibleName())
often = QTimer()
often.timeout.connect(watch)
often.start(50)
raise SystemExit(app.run(Path(sys.argv[1])))
"""


@pytest.mark.fault("the machine's steady clock stands still")
@pytest.mark.skipif(sys.platform != "linux", reason="bends a call of Linux")
def test_a_steady_clock_that_stands_still_is_found_out(tmp_path):
    source, library, stop, seen = (tmp_path / name for name in ("stuck.c", "stuck.so", "stop", "seen"))
    source.write_text(f'#define STOP "{stop}"\n{STUCK}')
    try:
        subprocess.run(["cc", "-shared", "-fPIC", "-o", library, source, "-ldl"], check=True, capture_output=True)
    except (OSError, subprocess.CalledProcessError):
        pytest.skip("needs a C compiler: apt-get install gcc libc6-dev")
    path = tmp_path / "shoot.setlog"
    new_session(path, plan_of_shoots()).close()

    def wait_for(words):
        end = time.monotonic() + 90
        while not (seen.exists() and words(seen.read_text())):
            assert time.monotonic() < end, seen.exists() and seen.read_text()
            assert process.poll() is None
            time.sleep(0.05)

    process = subprocess.Popen(
        [sys.executable, "-c", WATCHES, str(path), str(seen)], env=os.environ | {"LD_PRELOAD": str(library)}
    )
    try:
        wait_for(lambda text: text and fresh.SAID not in text)
        Path(stop).touch()
        wait_for(lambda text: fresh.SAID in text and fresh.STOPPED in text)
        Path(stop).unlink()
        wait_for(lambda text: text and fresh.SAID not in text)
    finally:
        process.terminate()
        process.wait(90)


def test_no_figures_stand_for_a_hero_that_was_swapped(qtbot, shown, monkeypatch):
    """However long the next forecast takes: the old one says nothing of the new hero, and the old hero is gone."""
    make(shown, "pull")
    forecast_after(qtbot, shown)
    running, page = shown.running, shown.page
    page.refresh()
    before = running.forecast
    old = running.state.heroes()[0]
    assert page.ribbon.accessibleName().startswith(f"melt ribbon of {old.number} ")
    with monkeypatch.context() as patch:
        patch.setattr(running._forecasts, "want", lambda *_: None)
        shown.running.session.clock.advance(60)
        assert running.call("swap", {"out": old.number, "in": 3, "spot": old.spot}).refused is None
        assert page.clock.accessibleName() == f"{face.LEFT}, working out"
        assert not page.ribbon.accessibleName().startswith(f"melt ribbon of {old.number} ")
        assert 3 not in running.forecast.best
    running.forecast_ready.emit(before)  # one that was under way when the call came
    assert running.forecast.on_set(old.number) is None
    forecast_after(qtbot, shown)
    page.refresh()
    assert "working out" not in page.clock.accessibleName()
