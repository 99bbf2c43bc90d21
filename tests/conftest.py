"""Every test has a home of its own, and no screen unless it makes one."""

import functools
import gc
import itertools
import logging
import os
import stat
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from _pytest.logging import catching_logs
from hypothesis import HealthCheck, settings
from PySide6.QtCore import QCoreApplication, QEventLoop, QTimer
from pytestqt.qtbot import QtBot

from studiotimer import places
from studiotimer.cli import shoot
from studiotimer.window.collecting import Collector

if sys.platform == "linux":
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
# Some hundred programs are begun in a run: as on a crew's machine, each module is compiled once for all of them.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False
os.environ.setdefault("QT_LOGGING_RULES", "qt.multimedia*=false")

PATIENCE_MS = 90_000
"""How long a test waits at least for what must come: it ends with it, and a busy machine may take long."""
WAITS = ("waitActive", "waitExposed", "waitSignal", "waitSignals", "waitUntil", "waitCallback")
HERE = Path(__file__).parent
WAITING = ("scenes", "phones", "machine", "faults")
"""Where few tests in a file take long, most of it in waiting for other programs."""
WAITING_PART = 0.7
OF_PYTEST = "PYTEST_CURRENT_TEST"
COLLECTOR = Collector()
"""Runs between tests alone: in a worker that a test began it may stand still for good, as in the program."""
HOMES = ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_RUNTIME_DIR", "XDG_DOCUMENTS_DIR", "HOME")


def pytest_xdist_auto_num_workers(config):
    """Half as many workers again as cores, for what others wait; no more than four: each may have a screen of its own."""
    cores = os.cpu_count() or 1
    return min(cores + cores // 2, 4)


@pytest.hookimpl(trylast=True)
def pytest_collection_finish():
    """What is there of tests before the first of them is there to the end: the collector need not go through it."""
    gc.freeze()


def pytest_runtest_logfinish():
    """Let go of what a test left."""
    COLLECTOR.collect()


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
    for _ in range(3):  # where the time was over before anything was done in it
        QCoreApplication.processEvents()


def locked(enter):
    """Return pytest's way of catching what is logged, held to loggers' lock: it goes through all there are meanwhile.

    A worker of the window that goes on between a test's parts may import a module that has a logger of its own.
    """

    @functools.wraps(enter)
    def enters(caught):
        with logging._lock:
            return enter(caught)

    return enters


catching_logs.__enter__ = locked(catching_logs.__enter__)
settings.register_profile("tests", deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=True)
settings.load_profile("tests")  # no example is too slow for a busy machine, and each run tries the same ones
shoot.LOOK_S = PATIENCE_MS / 1000
QtBot.wait = quiet_wait
for each in WAITS:
    setattr(QtBot, each, patient(getattr(QtBot, each)))


def pytest_collection_modifyitems(items):
    """Spread the files that wait among those that compute, all in the first part: none is left alone with one at the end."""
    where = {item.path: item.path.relative_to(HERE).parts[0] for item in items}
    waiting = sorted((path for path in where if where[path] in WAITING), key=lambda path: WAITING.index(where[path]))
    others = [path for path in where if where[path] not in WAITING]
    place = {path: WAITING_PART * number / len(waiting) for number, path in enumerate(waiting)}
    place |= {path: (number + 0.5) / len(others) for number, path in enumerate(others)}
    items.sort(key=lambda item: place[item.path])


@pytest.fixture(autouse=True)
def environment():
    """Leave the environment as it was found: what the program sets in it is told to the programs of later tests."""
    before = dict(os.environ)
    yield
    now = dict(os.environ)
    for name in set(now) - set(before) - {OF_PYTEST}:
        del os.environ[name]
    os.environ.update({name: value for name, value in before.items() if name != OF_PYTEST and now.get(name) != value})


class _Homes:
    """Folders that stand for the user's own; one that a test left as it was is another's."""

    def __init__(self, among):
        self._among, self._numbers, self._free = among, itertools.count(), []

    def take(self):
        if self._free:
            return self._free.pop()
        folder = self._among / str(next(self._numbers))
        for each in (folder, *(folder / name for name in HOMES)):
            each.mkdir(mode=0o700)
        return folder

    def give_back(self, folder):
        """Keep one that is still empty, unless a thread goes on that may write there yet."""
        if threading.active_count() == 1 and _untouched(folder):
            self._free.append(folder)


def _untouched(folder):
    parts = list(folder.iterdir())
    return (
        sorted(part.name for part in parts) == sorted(HOMES)
        and all(stat.S_IMODE(part.lstat().st_mode) == 0o700 for part in (folder, *parts))
        and not any(next(part.iterdir(), None) for part in parts)
    )


@pytest.fixture(scope="session")
def homes(tmp_path_factory):
    """Return the folders of this run."""
    return _Homes(tmp_path_factory.mktemp("homes"))


@pytest.fixture(autouse=True)
def home(environment, homes, monkeypatch):
    """Return the folder that stands for the user's own."""
    folder = homes.take()
    for name in HOMES:
        monkeypatch.setenv(name, str(folder / name))
    monkeypatch.setattr(places, "_sessions", None)
    yield folder
    homes.give_back(folder)


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
