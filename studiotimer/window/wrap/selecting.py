"""Which frames are selects while the page is open: turned at once, brought to the disk aside, never lost by a match."""

from __future__ import annotations

import threading
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from studiotimer.plain import reason
from studiotimer.window.aside import Aside
from studiotimer.wrap.aged import Aged
from studiotimer.wrap.frames import FramesError
from studiotimer.wrap.marks import Marks, list_of

LAST_WAIT_S = 2.0


class Selecting(QObject):
    """The marks of the session that is shown; `stored` says that the disk has them, with a sentence when it has not."""

    stored = Signal(str)

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.marks: Marks | None = None
        self._aside = Aside("selects", self)
        self._aside.done.connect(lambda _, words: self.stored.emit(words))

    def take(self, session: Path) -> None:
        """Mark frames of another session from now on."""
        if self.marks is None or self.marks.session != session:
            self.marks = Marks(session)

    def turn(self, frame: Aged, frames: Sequence[Aged]) -> Aged:
        """Return a frame with its mark turned, and keep that; `frames` are all that are shown."""
        assert self.marks is not None
        marks = self.marks
        marks.turn(frame.name, not frame.select, [one.name for one in frames])
        self._aside.ask(str(marks.session), lambda: _stored(marks))
        return replace(frame, select=not frame.select)

    def laid_over(self, frames: Sequence[Aged]) -> tuple[Aged, ...]:
        """Return frames with the marks that were turned since they were asked for."""
        marks = self.marks
        if marks is None:
            return tuple(frames)
        return tuple(
            frame if (select := marks.turned(frame.name, frame.select)) == frame.select
            else replace(frame, select=select)
            for frame in frames
        )  # fmt: skip

    def end(self) -> None:
        """Stop; what is not on the disk yet is brought there, as far as it takes it soon."""
        self._aside.end()
        if self.marks is not None and self.marks.waiting:
            last = threading.Thread(target=_stored, args=(self.marks,), name="selects", daemon=True)
            last.start()
            last.join(LAST_WAIT_S)


def _stored(marks: Marks) -> str:
    """Return what kept the marks from the disk, empty when it has them."""
    try:
        marks.store()
    except OSError as error:
        return (
            f"The selects cannot be kept in {list_of(marks.session)}: {reason(error)}; they are kept at the next mark."
        )
    except FramesError as error:
        return f"The selects are not kept, since what is there cannot be read: {error}."
    return ""
