"""Every test has a home of its own, and no screen unless it makes one."""

import functools
import os
import subprocess
import sys
from pathlib import Path

import pytest
from PySide6.QtCore import QEventLoop, QTimer
from pytestqt.qtbot import QtBot

from studiotimer import places

if sys.platform == "linux":
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
os.environ.setdefault("QT_LOGGING_RULES", "qt.multimedia*=false")

PATIENCE_MS = 30_000
"""How long a test waits at least for what must come: it ends with it, and a busy machine may take long."""
WAITS = ("waitActive", "waitExposed", "waitSignal", "waitSignals", "waitUntil", "waitCallback")
HERE = Path(__file__).parent
LONG = ("scenes", "machine", "phones", "faults")
"""Where few tests in a file take long."""
OF_PYTEST = "PYTEST_CURRENT_TEST"
HOMES = ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_RUNTIME_DIR", "XDG_DOCUMENTS_DIR", "HOME")


def pytest_xdist_auto_num_workers(config):
    """As many workers as cores, no more than four: each may have a window and a screen of its own."""
    return min(os.cpu_count() or 1, 4)


def patient(wait):
    """Return a wait of pytest-qt that gives up no sooner than `PATIENCE_MS`; one for what must not come is as it is."""

    @functools.wraps(wait)
    def waits(bot, *arguments, timeout=0, **options):
        least = PATIENCE_MS if options.get("raising", True) else 0
        return wait(bot, *arguments, timeout=max(timeout, least), **options)

    return waits


@functools.cache
def clockwork():
    """Return a loop and the timer that ends it, kept for all waits: nothing is connected, let go of or destroyed in one."""
    loop, timer = QEventLoop(), QTimer()
    timer.setSingleShot(True)
    timer.timeout.connect(loop.quit)
    return loop, timer


def quiet_wait(bot, ms):
    """Let events pass for `ms`.

    To disconnect an object, or to destroy a connected one, takes Qt's lock and then the interpreter's; a thread that
    draws a paper meanwhile may have the interpreter's and want Qt's, and both stand still for good: seen in three runs.
    """
    loop, timer = clockwork()
    assert not loop.isRunning(), "a wait within a wait"
    timer.start(ms)
    loop.exec()


QtBot.wait = quiet_wait
for each in WAITS:
    setattr(QtBot, each, patient(getattr(QtBot, each)))


def pytest_collection_modifyitems(items):
    """Put first what takes long a file, so that no worker is left alone with it at the end."""
    items.sort(key=lambda item: item.path.relative_to(HERE).parts[0] not in LONG)


@pytest.fixture(autouse=True)
def environment():
    """Leave the environment as it was found: what the program sets in it is told to the programs of later tests."""
    before = dict(os.environ)
    yield
    now = dict(os.environ)
    for name in set(now) - set(before) - {OF_PYTEST}:
        del os.environ[name]
    os.environ.update({name: value for name, value in before.items() if name != OF_PYTEST and now.get(name) != value})


@pytest.fixture(autouse=True)
def home(environment, tmp_path_factory, monkeypatch):
    """Return the folder that stands for the user's own."""
    folder = tmp_path_factory.mktemp("home")
    for name in HOMES:
        (folder / name).mkdir(mode=0o700)
        monkeypatch.setenv(name, str(folder / name))
    monkeypatch.setattr(places, "_sessions", None)
    return folder


@pytest.fixture
def small_disk(tmp_path):
    """A folder on a file system of 64 KiB."""
    folder = tmp_path / "small"
    folder.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(folder)], capture_output=True, check=False
    )
    if mounted.returncode:
        pytest.skip("this user may not mount a small file system")
    yield folder
    subprocess.run(["umount", "-l", str(folder)], check=True)
