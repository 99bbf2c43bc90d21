"""What a session brings is loaded behind the start page: all of it, aside or in pieces, and once."""

import os
import subprocess
import sys

from studiotimer.places import demo_sessions
from studiotimer.window.loaded_ahead import LoadedAhead

BEHIND = """
import sys, time
from studiotimer.window import app as opening
from studiotimer.window.app import application, opened
opening.LOOK_S = 600.0  # a busy machine is no disk that does not answer: the window is not shown before
app = application()
window = opened()
done = []
window.ahead.done.connect(lambda: done.append(True))
window.grab()
early = {"pydantic", "studiotimer.session.live", "studiotimer.window.set.page"} & set(sys.modules)
while not done:
    app.processEvents()
    time.sleep(0.005)
before = set(sys.modules)
window.practise()
late = [name for name in set(sys.modules) - before if name.startswith(("studiotimer.session", "studiotimer.window"))]
print(sorted(early), window.page is not None, sorted(late), flush=True)
window.close()
"""

BEFORE = """
import sys
from pathlib import Path
from studiotimer.window import app as opening
opening.LOOK_S = 600.0
app = opening.application()
made, before = opening.MainWindow, []

def noted():
    before.append("studiotimer.window.set.page" in sys.modules)
    return made()

opening.MainWindow = noted
window = opening.opened(Path(sys.argv[1]))
print(before, window.page is not None, flush=True)
window.close()
"""


def run(code, home, *arguments):
    """Run the window in a process of its own, with nothing kept; return the first line it prints."""
    names = ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_RUNTIME_DIR")
    environment = {**os.environ, **dict.fromkeys(names, str(home)), "QT_QPA_PLATFORM": "offscreen"}
    done = subprocess.run(
        [sys.executable, "-c", code, *arguments],
        env=environment, capture_output=True, text=True, check=True, timeout=250,
    )  # fmt: skip
    return done.stdout.splitlines()[0]


def test_the_start_page_is_drawn_without_a_sessions_modules_and_has_them_soon_after(tmp_path):
    assert run(BEHIND, tmp_path) == "[] True []"


def test_a_window_that_is_opened_on_a_session_loads_all_before_its_disk_is_given_its_time(tmp_path):
    copy = tmp_path / "day.setlog"
    copy.write_bytes(next(demo_sessions().glob("hot*/*.setlog")).read_bytes())
    assert run(BEFORE, tmp_path, str(copy)) == "[True] True"


def test_all_is_loaded_once_and_nothing_more_after_the_end(qtbot):
    ahead, done = LoadedAhead(None), []
    ahead.done.connect(lambda: done.append(True))
    ahead.begin()
    ahead.begin()
    qtbot.waitUntil(lambda: bool(done), timeout=30_000)
    ahead.begin()
    assert not ahead._aside.busy
    assert done == [True]
    ended = LoadedAhead(None)
    ended.done.connect(lambda: done.append(True))
    ended.begin()
    ended.end()
    qtbot.waitUntil(lambda: not ended._aside.busy, timeout=30_000)
    qtbot.wait(1)
    assert done == [True]
