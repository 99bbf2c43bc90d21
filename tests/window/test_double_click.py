"""A session that is double-clicked where the system tells the running program of it, as macOS does."""

import subprocess
import sys
from types import SimpleNamespace

import pytest

from studiotimer.desktop import command
from studiotimer.window import double_click

TOLD = """
import sys
from PySide6.QtCore import QEvent, QCoreApplication, QTimer, QUrl
from PySide6.QtGui import QFileOpenEvent
from studiotimer.window import app as apps
from studiotimer.window.main import MainWindow
sys.platform = "darwin"
app = apps.application()
tell = lambda name: QCoreApplication.sendEvent(app, QFileOpenEvent(QUrl.fromLocalFile(name)))
tell("/early.setlog")
opened = []
MainWindow.open_file = lambda window, path, *rest: opened.append(path.name)
QTimer.singleShot(0, lambda: (tell("/late.setlog"), QCoreApplication.sendEvent(app, QEvent(QEvent.Type.User)), app.quit()))
apps.run()
print(type(app).__name__, *opened)
"""


def test_files_told_of_before_and_after_the_window_are_opened():
    done = subprocess.run([sys.executable, "-c", TOLD], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert done.stdout.split() == ["TellingApplication", "early.setlog", "late.setlog"]


@pytest.mark.parametrize("running", [None, object()])
def test_a_shoot_that_runs_is_left_alone(monkeypatch, tmp_path, running):
    opened, started = [], []
    monkeypatch.setattr(double_click.QProcess, "startDetached", lambda program, rest: started.append([program, *rest]))
    window = SimpleNamespace(running=running, open_file=opened.append)
    path = tmp_path / "shoot.setlog"
    double_click.open_or_start(window, path)
    assert opened == ([path] if running is None else [])
    assert started == ([] if running is None else [[*command(), "window", str(path)]])
