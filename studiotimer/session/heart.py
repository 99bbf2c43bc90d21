"""The worker that beats beside the log of a session that is written: who follows knows what time it is there."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from studiotimer.session.beat import Beat, Taken, beat_path, machine_name, taken_over, write_note
from studiotimer.session.live import Session
from studiotimer.working import Worker

BEAT_S = 1.0  # a follower says that the leader is gone after a few


class Heart:
    """Beats beside the log of a session that is written, and hears when another takes it over.

    `told` is called in its worker's thread, once. Whatever hangs here, nobody waits for it.
    """

    def __init__(self, session: Session, told: Callable[[Taken], None]) -> None:
        self._session, self._told = session, told
        self._path = session.path
        self._known = False
        self.worker = Worker("heartbeat")

    def begin(self) -> None:
        """Beat until told to end."""
        self.worker.repeat("beat", self._once, BEAT_S)

    def end(self) -> None:
        """Beat no more, and leave no heartbeat behind where the disk lets go soon; returns at once."""
        self.worker.end(self._leave_none)

    def _once(self) -> None:
        path = self._session.path
        if self._path != path:
            self._beat(self._path, went_on=path.name)
            self._path = path
        self._beat(path)
        if not self._known and (taken := taken_over(path, self._session.header.session)) is not None:
            self._known = True
            self._told(taken)

    def _leave_none(self) -> None:
        with suppress(OSError):
            beat_path(self._path).unlink(missing_ok=True)

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
