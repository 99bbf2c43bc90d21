"""Watches the capture folder aside, and logs each new picture as a frame."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from studiotimer.window.aside import Aside
from studiotimer.window.places_kept import kept, remember
from studiotimer.window.running import Running

if TYPE_CHECKING:
    from studiotimer.wrap.dating import Dated, Dating
    from studiotimer.wrap.watching import Came, FolderWatch

WATCHED = "camera/watched"
LOOK_EVERY_S = 0.5  # a frame is seen in the second in which it came
AGREES = "The camera's clock agrees with this machine's; pictures have the camera's time."
COPIED = (
    "copied from a card, it seems: not logged until the camera's clock is known. Say how far it is ahead, or add the "
    "frames in Wrap."
)


@dataclass(frozen=True)
class Seen:
    """What a look into the folder found: new pictures, why it cannot be read, and every file that is no picture."""

    came: tuple[Came, ...]
    trouble: str | None
    unreadable: tuple[str, ...]


class Capture(QObject):
    """Looks into a folder aside, since a shared folder may keep it waiting; `said` has what the crew is told.

    `asked` has what several pictures agree on: the question, and by how many seconds the camera is ahead.
    """

    said = Signal(str)
    asked = Signal(str, float)

    def __init__(
        self, running: Running, folder: Path, ahead_s: float | None = None, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        from studiotimer.wrap.dating import Dating

        self._running = running
        self.folder = folder
        self._clock = running.session.clock
        self._watch: FolderWatch | None = None
        self._dating = Dating(self._clock.now() - dt.timedelta(seconds=self._clock.tick()), ahead_s)
        self._told = _Told(folder, ahead_s)
        self._aside = Aside("capture folder", self)
        self._again(0.0)

    def confirm(self, ahead_s: float) -> None:
        """Take the camera to be `ahead_s` seconds ahead from now on."""
        self._log(self._dating.confirm(ahead_s))

    def end(self) -> None:
        """Stop looking."""
        self._aside.end()

    def _again(self, after_s: float = LOOK_EVERY_S) -> None:
        self._aside.ask("a look into the capture folder", self._look, self._seen, lambda _: self._again(), after_s)

    def _look(self) -> Seen:
        if self._watch is None:
            from studiotimer.wrap.watching import FolderWatch

            self._watch = FolderWatch(self.folder, self._clock.tick)
        return Seen(tuple(self._watch.look()), self._watch.trouble, tuple(self._watch.unreadable))

    def _seen(self, seen: Seen) -> None:
        self._log(self._dating.take(seen.came, self._clock.tick()))
        for words in self._told.news(seen, self._dating):
            self.said.emit(words)
        if (question := self._told.question(self._dating)) is not None:
            self.asked.emit(*question)
        self._again()

    def _log(self, frames: Sequence[Dated]) -> None:
        from studiotimer.units import duration
        from studiotimer.wrap.dating import counted_names

        early = [one for one in frames if one.at < 0]
        shot = self._running.state.shot
        for one in frames:
            if one.at >= 0:
                given = {"name": one.name[:200], "camera": str(one.taken), "timed": one.by}
                given |= {"shot": shot.name} if shot else {}
                self._running.call("frame", given, min(one.at, self._clock.tick()))
        if early:
            names = counted_names([one.name for one in early])
            ago = duration(-max(one.at for one in early))
            self.said.emit(f"{names}: taken {ago} before this session was opened, not logged; add them in Wrap.")


class _Told:
    """What the crew was told already, so that each thing is told once."""

    def __init__(self, folder: Path, ahead_s: float | None) -> None:
        self._folder = folder
        self._trouble: str | None = None
        self._unreadable = self._undated = self._copied = 0
        self._proposed_s: float | None = None
        self._ahead_s = ahead_s

    def news(self, seen: Seen, dating: Dating) -> list[str]:
        """Return what is new to say."""
        from studiotimer.wrap.dating import counted_names

        words = []
        if seen.trouble != self._trouble:
            self._trouble = seen.trouble
            words.append(self._trouble or f"the capture folder {self._folder.name} is back")
        words += [f"no frame was logged for {one}" for one in seen.unreadable[self._unreadable :]]
        words += [
            f"no frame was logged for {one}: its EXIF time is not possible" for one in dating.undated[self._undated :]
        ]
        self._unreadable, self._undated = len(seen.unreadable), len(dating.undated)
        if len(dating.copied) > self._copied:
            words.append(f"{counted_names([one.name for one in dating.copied])}: {COPIED}")
        self._copied = len(dating.copied)
        if dating.ahead_s == 0.0 and self._ahead_s is None:
            words.append(AGREES)
        self._ahead_s = dating.ahead_s
        return words

    def question(self, dating: Dating) -> tuple[str, float] | None:
        """Return what is to be asked about the camera's clock and the offset meant, None when it was asked."""
        from studiotimer.wrap.dating import AGREED_S, question

        before, now = self._proposed_s, dating.proposed_s
        if now is not None and before is not None and abs(now - before) <= AGREED_S:
            return None
        self._proposed_s = now
        return None if now is None else (question(now, dating.says), now)


def keep_watched(session: Path, folder: str) -> None:
    """Keep which folder was watched last, and for which session."""
    remember(WATCHED, [str(session), folder])


def watched_for(session: Path) -> Path | None:
    """Return the folder that was watched for a session, None where that is not the one watched last."""
    match kept(WATCHED):
        case [str(one), str(folder)] if one == str(session):
            return Path(folder)
    return None
