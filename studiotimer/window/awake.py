"""Keeps the machine from sleeping and its screen from blanking while a session is open."""

from __future__ import annotations

import contextlib
import ctypes
import shutil
import subprocess
import sys
from typing import Any

_REASON = "a shoot is running"


class Awake:
    """Holds the machine awake from `begin` to `end`, by the means the system has."""

    def __init__(self) -> None:
        self._process: subprocess.Popen[bytes] | None = None
        self._bus: Any = None
        self._cookie: int | None = None

    def begin(self) -> bool:
        """Keep awake; return whether the system took the wish."""
        if sys.platform == "win32":
            continuous, system, display = 0x80000000, 0x1, 0x2
            return bool(ctypes.windll.kernel32.SetThreadExecutionState(continuous | system | display))
        if sys.platform == "darwin":
            return self._run(["caffeinate", "-dims"])
        return self._screen_saver() | self._run(
            ["systemd-inhibit", "--what=idle:sleep", "--who=studiotimer", f"--why={_REASON}", "sleep", "infinity"]
        )

    def end(self) -> None:
        """Let the machine sleep again."""
        if sys.platform == "win32":
            ctypes.windll.kernel32.SetThreadExecutionState(0x80000000)
        if self._process is not None:
            self._process.terminate()
            with contextlib.suppress(subprocess.TimeoutExpired):
                self._process.wait(2)
            self._process = None
        if self._bus is not None and self._cookie is not None:
            self._bus.call("UnInhibit", self._cookie)
            self._cookie = None

    def _run(self, command: list[str]) -> bool:
        if shutil.which(command[0]) is None:
            return False
        try:
            self._process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        except OSError:
            return False
        return self._process.poll() is None

    def _screen_saver(self) -> bool:
        try:
            from PySide6.QtDBus import QDBusConnection, QDBusInterface
        except ImportError:
            return False
        bus = QDBusConnection.sessionBus()
        if not bus.isConnected():
            return False
        name = "org.freedesktop.ScreenSaver"
        self._bus = QDBusInterface(name, "/org/freedesktop/ScreenSaver", name, bus)
        arguments = self._bus.call("Inhibit", "studiotimer", _REASON).arguments()
        self._cookie = arguments[0] if arguments and isinstance(arguments[0], int) else None
        return self._cookie is not None
