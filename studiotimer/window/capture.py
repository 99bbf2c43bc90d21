"""Watches the capture folder aside, and logs each new picture as a frame at the time it was taken."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from studiotimer.window.aside import Aside
from studiotimer.window.running import Running

if TYPE_CHECKING:
    from studiotimer.wrap.watching import FolderWatch, NewFrame

LOOK_EVERY_S = 0.5


@dataclass(frozen=True)
class Seen:
    """What a look into the folder found: new frames, why it cannot be read, and every file that is no picture."""

    frames: tuple[NewFrame, ...]
    trouble: str | None
    unreadable: tuple[str, ...]


class Capture(QObject):
    """Looks into a folder aside, since a shared folder may keep it waiting; `said` has what the crew is told."""

    said = Signal(str)

    def __init__(self, running: Running, folder: Path, ahead_s: float = 0.0, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._running = running
        self.folder, self.ahead_s = folder, ahead_s
        self._watch: FolderWatch | None = None
        self._trouble: str | None = None
        self._told = 0
        self._aside = Aside("capture folder", self)
        self._again(0.0)

    def end(self) -> None:
        """Stop looking."""
        self._aside.end()

    def _again(self, after_s: float = LOOK_EVERY_S) -> None:
        self._aside.ask("a look into the capture folder", self._look, self._seen, lambda _: self._again(), after_s)

    def _look(self) -> Seen:
        if self._watch is None:
            from studiotimer.wrap.watching import FolderWatch  # brings the reading of pictures, needed only now

            self._watch = FolderWatch(self.folder, self.ahead_s)
        frames = tuple(self._watch.look())
        return Seen(frames, self._watch.trouble, tuple(self._watch.unreadable))

    def _seen(self, seen: Seen) -> None:
        for frame in seen.frames:
            self._log(frame)
        if seen.trouble != self._trouble:
            self._trouble = seen.trouble
            self.said.emit(seen.trouble or f"the capture folder {self.folder.name} is back")
        for words in seen.unreadable[self._told :]:
            self.said.emit(f"no frame was logged for {words}")
        self._told = len(seen.unreadable)
        self._again()

    def _log(self, frame: NewFrame) -> None:
        session = self._running.session
        clock = session.clock
        tick = clock.tick() - (clock.now() - frame.at) / dt.timedelta(seconds=1)
        shot = self._running.state.shot
        self._running.call(
            "frame", {"name": frame.name[:200], **({"shot": shot.name} if shot else {})}, min(tick, clock.tick())
        )
