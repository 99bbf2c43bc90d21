"""Which frames are selects while the page is open: turned at once, brought to the disk aside, never lost by a match."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from studiotimer.errors import WorkError
from studiotimer.plain import reason
from studiotimer.window.aside import Aside
from studiotimer.wrap.aged import Aged
from studiotimer.wrap.frames import FramesError
from studiotimer.wrap.marks import Marks, list_of


class Selecting(QObject):
    """The marks of the session that is shown; `stored` says that the disk has them, with a sentence when it has not."""

    stored = Signal(str)

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.marks: Marks | None = None
        self._aside = Aside("selects", self)

    def take(self, session: Path) -> None:
        """Mark frames of another session from now on."""
        if self.marks is None or self.marks.session != session:
            self.marks = Marks(session)

    def turn(self, frame: Aged, frames: Sequence[Aged]) -> Aged:
        """Return a frame with its mark turned, and keep that; `frames` are all that are shown."""
        assert self.marks is not None
        marks = self.marks
        marks.turn(frame.name, not frame.select, [one.name for one in frames])
        self._aside.ask(
            str(marks.session),
            lambda: _store(marks),
            lambda _: self.stored.emit(""),
            lambda error: self.stored.emit(str(error)),
        )
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
        marks = self.marks
        self._aside.end(partial(_store, marks) if marks is not None and marks.waiting else None)


def _store(marks: Marks) -> None:
    """Bring the marks to the disk; raises WorkError with what kept them from it."""
    try:
        marks.store()
    except OSError as error:
        raise WorkError(
            f"The selects cannot be kept in {list_of(marks.session)}: {reason(error)}; they are kept at the next mark."
        ) from None
    except FramesError as error:
        raise WorkError(f"The selects are not kept, since what is there cannot be read: {error}.") from None
