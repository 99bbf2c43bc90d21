"""The thread that beats beside the log of a session that is written: who follows knows what time it is there."""

from __future__ import annotations

import threading
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from studiotimer.session.beat import Beat, Taken, beat_path, machine_name, taken_over, write_note
from studiotimer.session.live import Session

BEAT_S = 1.0


class Heart(threading.Thread):
    """Beats beside the log of a session that is written, and hears when another takes it over.

    `told` is called in this thread, once. Whatever hangs here, nobody waits for it.
    """

    def __init__(self, session: Session, told: Callable[[Taken], None]) -> None:
        super().__init__(name="heartbeat", daemon=True)
        self._session = session
        self._told = told
        self._end = threading.Event()

    def end(self) -> None:
        """Beat no more, and leave no heartbeat behind where the disk lets go soon; returns at once."""
        self._end.set()

    def run(self) -> None:
        """Beat until told to end."""
        known = False
        path = self._session.path
        while not self._end.is_set():
            if self._session.path != path:
                self._beat(path, went_on=self._session.path.name)
                path = self._session.path
            self._beat(path)
            if not known and (taken := taken_over(path, self._session.header.session)) is not None:
                known = True
                self._told(taken)
            self._end.wait(BEAT_S)
        with suppress(OSError):
            beat_path(path).unlink(missing_ok=True)

    def _beat(self, path: Path, went_on: str | None = None) -> None:
        session = self._session
        beat = Beat(
            session=session.header.session,
            machine=machine_name(),
            run=session.run,
            tick=round(session.clock.tick(), 6),
            at=session.clock.now(),
            went_on=went_on,
        )
        with suppress(OSError):
            write_note(beat_path(path), beat)
