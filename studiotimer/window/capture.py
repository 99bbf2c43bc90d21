"""Watches the capture folder aside, and logs each new picture as a frame at the time it was taken."""

from __future__ import annotations

import datetime as dt
import threading
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from studiotimer.window.faults import logged
from studiotimer.window.running import Running

LOOK_EVERY_S = 0.5


class Capture(QObject):
    """Looks into a folder from a thread of its own, since a shared folder may keep it waiting."""

    came = Signal(object)
    said = Signal(str)

    def __init__(self, running: Running, folder: Path, ahead_s: float = 0.0, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._running = running
        self.folder, self.ahead_s = folder, ahead_s
        self._ending = threading.Event()
        self.came.connect(self._log)
        self._thread = threading.Thread(target=self._run, name="capture folder", daemon=True)
        self._thread.start()

    def end(self) -> None:
        """Stop looking."""
        self._ending.set()
        self._thread.join(5.0)

    def _run(self) -> None:
        from studiotimer.wrap.watching import FolderWatch  # brings the reading of pictures, needed only now

        watch = FolderWatch(self.folder, self.ahead_s)
        trouble: str | None = None
        told = 0
        while not self._ending.is_set():
            with logged("a look into the capture folder"):
                for frame in watch.look():
                    self.came.emit(frame)
                if watch.trouble != trouble:
                    trouble = watch.trouble
                    self.said.emit(trouble or f"the capture folder {self.folder.name} is back")
                for words in watch.unreadable[told:]:
                    self.said.emit(f"no frame was logged for {words}")
                told = len(watch.unreadable)
            self._ending.wait(LOOK_EVERY_S)

    def _log(self, frame: object) -> None:
        from studiotimer.wrap.watching import NewFrame

        assert isinstance(frame, NewFrame)
        session = self._running.session
        clock = session.clock
        tick = clock.tick() - (clock.now() - frame.at) / dt.timedelta(seconds=1)
        shot = self._running.state.shot
        self._running.call(
            "frame", {"name": frame.name[:200], **({"shot": shot.name} if shot else {})}, min(tick, clock.tick())
        )
