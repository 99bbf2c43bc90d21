"""Keeps the machine from sleeping and its screen from blanking while a session is open.

Nobody waits for it: what it asks is asked by a worker. What it holds ends with the program, however that
ends: the helper reads from a pipe that closes then, and the desktop lets go of a wish whose connection is gone.
"""

from __future__ import annotations

import contextlib
import ctypes
import shutil
import subprocess
import sys
from typing import Any

from studiotimer.window.buses import connected, session_bus
from studiotimer.working import Worker

_REASON = "a shoot is running"
_NAME, _PATH = "org.freedesktop.ScreenSaver", "/org/freedesktop/ScreenSaver"
PATIENCE_S = 5.0
"""How long the desktop has to answer."""


class Awake:
    """Holds the machine awake from `begin` to `end`, by the means the system has."""

    def __init__(self) -> None:
        self._worker = Worker("keep awake")
        self._process: subprocess.Popen[bytes] | None = None
        self._connection: Any = None

    def begin(self) -> None:
        """Keep awake, where the system can be asked to; returns at once."""
        if sys.platform == "win32":
            continuous, system, display = 0x80000000, 0x1, 0x2
            ctypes.windll.kernel32.SetThreadExecutionState(continuous | system | display)
            return
        self._worker.ask("hold", self._hold, _nothing, _nothing)

    def end(self) -> None:
        """Let the machine sleep again; returns at once."""
        if sys.platform == "win32":
            ctypes.windll.kernel32.SetThreadExecutionState(0x80000000)
            return
        self._worker.end(self._let_go)

    def _hold(self) -> None:
        if sys.platform == "darwin":
            self._process = _run(["caffeinate", "-dims", "cat"])
            return
        what = ["--what=idle:sleep", "--who=studiotimer", f"--why={_REASON}", "cat"]
        self._process = _run(["systemd-inhibit", *what])
        if (bus := session_bus()) is not None:
            self._connection = _lit(bus)

    def _let_go(self) -> None:
        if self._connection is not None:
            self._connection.close()
        if self._process is not None and self._process.stdin is not None:
            with contextlib.suppress(OSError):
                self._process.stdin.close()
            self._process.terminate()
            self._process.wait()


def _nothing(_: object) -> None:
    return None


def _run(command: list[str]) -> subprocess.Popen[bytes] | None:
    """Run a helper that ends when the pipe it reads from closes, as it does with this program."""
    if shutil.which(command[0]) is None:
        return None
    try:
        return subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    except OSError:
        return None


def _lit(bus: str) -> Any:
    """Ask the desktop to keep the screen lit, and return the connection that the wish goes with; None without one."""
    with contextlib.suppress(Exception):  # without a desktop that hears it, the screen does as it is set to
        from jeepney import DBusAddress, new_method_call

        saver = DBusAddress(_PATH, bus_name=_NAME, interface=_NAME)
        connection = connected(bus, PATIENCE_S)
        try:
            asked = new_method_call(saver, "Inhibit", "ss", ("studiotimer", _REASON))
            connection.send_and_get_reply(asked)
        except BaseException:
            connection.close()
            raise
        return connection
    return None
