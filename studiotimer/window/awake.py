"""Keeps the machine from sleeping and its screen from blanking while a session is open.

Nobody waits for it: what it asks is asked in a thread of its own. What it holds ends with the program, however that
ends: the helper reads from a pipe that closes then, and the desktop lets go of a wish whose connection is gone.
"""

from __future__ import annotations

import contextlib
import ctypes
import os
import shutil
import subprocess
import sys
import threading
from pathlib import Path
from typing import Any

_REASON = "a shoot is running"
_NAME, _PATH = "org.freedesktop.ScreenSaver", "/org/freedesktop/ScreenSaver"
PATIENCE_S = 5.0
"""How long the desktop has to answer."""
BUS = "DBUS_SESSION_BUS_ADDRESS"
NO_BUS = "disabled:"
"""An address that no bus has: what looks for one then starts none of its own."""


def start_no_bus() -> None:
    """Have nobody in this program start a session bus where there is none: it would outlive us."""
    if sys.platform == "linux" and _bus() is None:
        os.environ[BUS] = NO_BUS


def _bus() -> str | None:
    """Return the address of the session bus that is there, None when there is none."""
    address = os.environ.get(BUS)
    if address:
        return None if address == NO_BUS else address
    folder = os.environ.get("XDG_RUNTIME_DIR")
    usual = Path(folder) / "bus" if folder else None
    return f"unix:path={usual}" if usual is not None and usual.is_socket() else None


class Awake:
    """Holds the machine awake from `begin` to `end`, by the means the system has."""

    def __init__(self) -> None:
        self._process: subprocess.Popen[bytes] | None = None
        self._end = threading.Event()

    def begin(self) -> bool:
        """Keep awake; return whether the system was asked."""
        if sys.platform == "win32":
            continuous, system, display = 0x80000000, 0x1, 0x2
            return bool(ctypes.windll.kernel32.SetThreadExecutionState(continuous | system | display))
        if sys.platform == "darwin":
            return self._run(["caffeinate", "-dims", "cat"])
        asked = _bus() is not None
        if asked:
            threading.Thread(target=_hold_screen, args=(self._end,), name="keep awake", daemon=True).start()
        return (
            self._run(["systemd-inhibit", "--what=idle:sleep", "--who=studiotimer", f"--why={_REASON}", "cat"]) | asked
        )

    def end(self) -> None:
        """Let the machine sleep again; returns at once."""
        if sys.platform == "win32":
            ctypes.windll.kernel32.SetThreadExecutionState(0x80000000)
        self._end.set()
        if self._process is not None and self._process.stdin is not None:
            with contextlib.suppress(OSError):
                self._process.stdin.close()
            self._process.terminate()
            threading.Thread(target=self._process.wait, name="let sleep", daemon=True).start()
            self._process = None

    def _run(self, command: list[str]) -> bool:
        """Run a helper that ends when the pipe it reads from closes, as it does with this program."""
        if shutil.which(command[0]) is None:
            return False
        try:
            self._process = subprocess.Popen(
                command, stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
            )
        except OSError:
            return False
        return self._process.poll() is None


def _hold_screen(end: threading.Event) -> None:
    """Ask the desktop to keep the screen lit, and hold the connection that the wish goes with until the end."""
    with contextlib.suppress(Exception):  # without a desktop that hears it, the screen does as it is set to
        from jeepney import DBusAddress, new_method_call
        from jeepney.io.blocking import open_dbus_connection

        saver = DBusAddress(_PATH, bus_name=_NAME, interface=_NAME)
        connection: Any = open_dbus_connection(_bus() or "", auth_timeout=PATIENCE_S)
        try:
            asked = new_method_call(saver, "Inhibit", "ss", ("studiotimer", _REASON))
            connection.send_and_get_reply(asked, timeout=PATIENCE_S)
            end.wait()
        finally:
            connection.close()
