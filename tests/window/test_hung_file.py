"""A session or a plan on a share that hangs: the window opens all the same, and says what it waits for."""

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from studiotimer.window.app import WAITS
from tests.hung import hung_folder  # noqa: F401

WATCHES = """
import sys
from pathlib import Path
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QLabel
from studiotimer.cli import main
from studiotimer.window import app
from studiotimer.window.main import MainWindow

app.application()
def watch():
    for window in app.application().topLevelWidgets():
        if isinstance(window, MainWindow) and window.isVisible():
            with open(sys.argv[1], "a") as seen:
                seen.write("\\n".join(each.text() for each in window.findChildren(QLabel)))
often = QTimer()
often.timeout.connect(watch)
often.start(50)
raise SystemExit(main(sys.argv[2:]))
"""


@pytest.mark.fault("{name} named on the command line ({command}), on a share that hangs")
@pytest.mark.parametrize(
    ("name", "command"), [("shoot.setlog", "window"), ("plan.json", "window"), ("plan.json", "rehearse")]
)
def test_the_window_opens_and_says_what_it_waits_for(hung_folder, tmp_path, name, command):  # noqa: F811
    seen = tmp_path / "seen"
    process = subprocess.Popen([sys.executable, "-c", WATCHES, str(seen), command, str(hung_folder.folder / name)])
    end = time.monotonic() + 90
    try:
        while not (seen.exists() and WAITS.format(name=name) in seen.read_text()):
            assert time.monotonic() < end, seen.exists() and seen.read_text()
            assert process.poll() is None
            time.sleep(0.05)
    finally:
        process.kill()
        process.wait(90)


def test_what_is_no_session_is_still_refused_before_a_window_opens(tmp_path):
    path: Path = tmp_path / "shoot.setlog"
    path.write_text("no session\n")
    patient = "import sys; from studiotimer.cli import main, shoot; shoot.LOOK_S = 60.0; sys.exit(main(sys.argv[1:]))"
    done = subprocess.run(
        [sys.executable, "-c", patient, str(path)], capture_output=True, text=True, timeout=120, env=os.environ
    )
    assert done.returncode == 2
    assert done.stderr.startswith("studiotimer: ")
    assert done.stderr.count("\n") == 1
