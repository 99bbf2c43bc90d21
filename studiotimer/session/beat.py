"""What stands beside a session's log, never in it: the heartbeat of who writes it, and who took it over."""

import os
import socket
import stat
from contextlib import suppress
from pathlib import Path
from typing import Literal, TypeVar

from pydantic import BaseModel, ConfigDict, ValidationError

from studiotimer.plain import plain
from studiotimer.session.fields import Count, Name, Tick, Wall
from studiotimer.session.first_lines import BadLineError, checked_body, summed
from studiotimer.session.lines import stamp

LONGEST = 4096  # a beat has some 200 bytes; more is no beat
_WRITING = os.O_WRONLY | os.O_CREAT | os.O_TRUNC | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)
_READING = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)


class _OfSession(BaseModel):
    """What is kept beside a session's log: of which session, by which machine, and when."""

    model_config = ConfigDict(frozen=True, extra="ignore", allow_inf_nan=False, defer_build=True)

    session: Name
    machine: Name
    at: Wall


class Beat(_OfSession):
    """That a session is being written: its run, that run's tick and the wall clock's time at this beat."""

    format: Literal["studiotimer beat"] = "studiotimer beat"
    run: Count
    tick: Tick
    went_on: Name | None = None
    """The file's name in which the session goes on, where it does not in this one."""


class Taken(_OfSession):
    """That a session was taken over by another machine, when, and in which file it goes on there."""

    format: Literal["studiotimer taken over"] = "studiotimer taken over"
    file: Name
    n: Count

    @property
    def words(self) -> str:
        """What the one it was taken over from is told."""
        at = self.at.astimezone()
        return (
            f"{self.machine} took this shoot over at {at:%H:%M} and goes on in {self.file}, "
            f"with everything up to entry {self.n}. Calls made here are not seen there."
        )


Note = TypeVar("Note", Beat, Taken)


def machine_name() -> str:
    """Return what this machine is called in the log."""
    return plain(socket.gethostname())[:200] or "unknown"


def beat_path(session: Path) -> Path:
    """Return where the heartbeat of a session's writer stands."""
    return session.with_name(f"{session.name}.beat")


def taken_path(session: Path) -> Path:
    """Return where it is noted that a session was taken over."""
    return session.with_name(f"{session.name}.taken")


def write_note(path: Path, note: Beat | Taken) -> None:
    """Write a note in place of the one before; raises OSError. A reader that meets half of it takes it for none."""
    fields = note.model_dump(exclude_none=True) | {"at": stamp(note.at)}
    handle = os.open(path, _WRITING, 0o644)
    try:
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            raise OSError(f"{path.name} is not a file")
        os.write(handle, summed(fields))
    finally:
        os.close(handle)


def read_note(path: Path, kind: type[Note], session: str) -> Note | None:
    """Return the note at `path` about the session of that id; None when there is none, or it is not whole."""
    with suppress(OSError, BadLineError, ValidationError):
        handle = os.open(path, _READING)
        try:
            data = os.read(handle, LONGEST) if stat.S_ISREG(os.fstat(handle).st_mode) else b""
        finally:
            os.close(handle)
        note = kind.model_validate_json(checked_body(data.removesuffix(b"\n")))
        return note if note.session == session else None
    return None


def taken_over(session: Path, number: str) -> Taken | None:
    """Return who took over the session at a path whose id is `number`; None when nobody did."""
    return read_note(taken_path(session), Taken, number)
