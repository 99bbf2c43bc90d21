"""The session file open for writing: only ever appended, on disk before it is said to be."""

from __future__ import annotations

import contextlib
import errno
import os
import time
import uuid
import zlib
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from io import FileIO
from pathlib import Path
from typing import NamedTuple

from studiotimer import hops
from studiotimer.errors import PlaceError
from studiotimer.files import free_path, make_folder, new_file, write_bytes
from studiotimer.session.calls.mends import amends, takes_back
from studiotimer.session.entries import Entry
from studiotimer.session.first_lines import FORMAT, SUFFIX, VERSION, SessionFileError, summed
from studiotimer.session.lines import stamp, to_line
from studiotimer.session.locking import FileLock, HeldError, take_lock
from studiotimer.session.reading import Header, SessionFile, read

_WRITING = os.O_RDWR | os.O_APPEND | getattr(os, "O_BINARY", 0)
_LAST_BYTES = 4096  # more than nearly every last line; a longer one is looked for further back
BESIDE = "-beside-"
CHANGED = "the session file was changed by another program"


class BusyError(SessionFileError):
    """Another program is writing this session."""


class DamagedError(SessionFileError):
    """The session is damaged above its last line; it opens read-only."""


class ForeignError(PlaceError, OSError):
    """The file is not what this program left: another one wrote it, replaced it or holds it. It is left as it is."""


class Journal:
    """One session file held for appending by this process alone."""

    def __init__(self, path: Path, file: FileIO, held: FileLock, size: int) -> None:
        self.path = path
        self.lock = held
        self._file = file
        self._size = size
        start = _start_of(file, size)
        self._crc = zlib.crc32(start)
        self._head = start[: start.find(b"\n") + 1]
        self._last = start[-_LAST_BYTES:]
        self._half = b""
        """What was being written when the disk refused; some of it may stand at the file's end."""
        self._refused = False
        self._known_by_name = _is(path, file)
        """Whether this file system tells that a name and an open file are the same."""

    def append(self, entries: Iterable[Entry]) -> None:
        """Put `entries` on disk after what is there, and return when the disk has them.

        Raises OSError when the disk refuses; the file then still ends where it did, and the call may be
        made again. A file that was moved or removed meanwhile is put back whole. Raises ForeignError when the
        file is not as it was left, and leaves it alone from then on.
        """
        entries = list(entries)
        numbers = [entry.n for entry in entries]
        data = b"".join(to_line(entry) for entry in entries)
        try:
            if self._refused:
                self._find_again()
            self._check_as_left()
            began = time.perf_counter()
            write_bytes(self._file, data)
            hops.each(numbers, "written")
            written = time.perf_counter()
            os.fsync(self._file.fileno())
            _note_write(numbers, len(data), written - began, time.perf_counter() - written)
            self._check_there()
            if self._length() != self._size + len(data):
                raise ForeignError(errno.EEXIST, CHANGED)
        except ForeignError:
            self._refused = True
            raise
        except OSError:
            self._refused, self._half = True, data
            with contextlib.suppress(OSError):
                self._forget_half()
            raise
        self._refused, self._half = False, b""
        self._size += len(data)
        self._crc = zlib.crc32(data, self._crc)
        self._last = (self._last + data)[-_LAST_BYTES:]

    def beside(self, entries: Iterable[Entry]) -> Journal:
        """Return the journal of a new file beside this one, with the same first line and `entries` on disk.

        Raises OSError when it cannot be made. This one is let go.
        """
        data = self._head + b"".join(to_line(entry) for entry in entries)
        base = self.path.stem.rpartition(BESIDE)[0] or self.path.stem
        path = free_path(self.path.parent, lambda number: f"{base}{BESIDE}{number}{SUFFIX}")
        try:
            held = take_lock(lock_path(path))
        except HeldError as error:
            raise BlockingIOError(errno.EAGAIN, f"{path.name} is written by {error}") from None
        try:
            other = Journal(path, _made(path, data), held, len(data))
        except OSError:
            held.release()
            raise
        hops.note("disk", "%s goes on in %s, %d bytes", self.path.name, path.name, len(data))
        self.close()
        return other

    def close(self) -> None:
        """Let the file and its lock go."""
        with contextlib.suppress(OSError):
            self._file.close()
        self.lock.release()
        hops.note("disk", "%s closed, its lock released", self.path.name)

    def _length(self) -> int:
        return os.fstat(self._file.fileno()).st_size

    def _forget_half(self) -> None:
        """Take away what stands at the end of a write of ours that was refused; raises OSError."""
        beyond = self._length() - self._size
        if not 0 < beyond <= len(self._half):
            return
        self._file.seek(self._size)
        if self._half.startswith(self._file.read(beyond)):
            os.ftruncate(self._file.fileno(), self._size)

    def _check_as_left(self) -> None:
        """Raise ForeignError unless the file has its name, and ends as it did after the last write."""
        self._check_there()
        self._forget_half()
        self._file.seek(max(self._size - len(self._last), 0))
        if self._length() != self._size or self._file.read(len(self._last)) != self._last:
            raise ForeignError(errno.EEXIST, CHANGED)

    def _check_there(self) -> None:
        """Raise OSError when what was written would not be found under the file's name."""
        if self._known_by_name and not _is(self.path, self._file):
            raise FileNotFoundError(errno.ENOENT, "the session file was moved or removed")

    def _find_again(self) -> None:
        """Go on with the file of that name if it is the same session; put it back if it is gone."""
        if not self._known_by_name or _is(self.path, self._file):
            return
        if self.path.exists():
            self._go_on_with(FileIO(os.open(self.path, _WRITING), "r+"))
        elif os.fstat(self._file.fileno()).st_dev == self.path.parent.stat().st_dev:
            start = _start_of(self._file, self._size)
            if zlib.crc32(start) != self._crc:
                raise ForeignError(errno.EEXIST, CHANGED)
            self._go_on_with(_made(self.path, start))
        else:
            raise FileNotFoundError(errno.ENOENT, "the disk of the session file is away")

    def _go_on_with(self, file: FileIO) -> None:
        try:
            if zlib.crc32(_start_of(file, self._size)) != self._crc:
                raise ForeignError(errno.EEXIST, "another file stands in the place of the session file")
            if b"\n" not in file.read(_LAST_BYTES):
                os.ftruncate(file.fileno(), self._size)  # what was torn when the disk went
            if not self.lock.names_its_file():
                self.lock.release()
                self.lock = take_lock(lock_path(self.path))
        except HeldError as error:
            file.close()
            raise ForeignError(errno.EAGAIN, f"the session file is written by {error}") from None
        except OSError:
            file.close()
            raise
        self._file.close()
        self._file = file


def create(
    path: Path, plan: Mapping[str, object], created: datetime, session: str | None = None
) -> tuple[Journal, Header]:
    """Make a new session file at `path` with `plan` in its first line, and hold it.

    `session` is its id, a new one when None. Raises SessionFileError when the file exists or cannot be made.
    """
    fields = {
        "format": FORMAT,
        "version": VERSION,
        "session": session or str(uuid.uuid4()),
        "created": stamp(created),
        "plan": dict(plan),
    }
    line = summed(fields)
    try:
        if path.exists():
            raise FileExistsError(errno.EEXIST, "it exists")
        make_folder(path.parent)
        held = _held(path)
    except OSError as error:
        raise _cannot_make(path, error) from None
    try:
        journal = Journal(path, _made(path, line), held, len(line))
    except OSError as error:
        held.release()
        raise _cannot_make(path, error) from None
    hops.note("disk", "%s made, %d bytes", path.name, len(line))
    return journal, Header.model_validate(fields)


class Written(NamedTuple):
    """A new file that has a session up to entry `number`, held for writing."""

    journal: Journal
    header: Header
    number: int


def written_at(path: Path, header: Header, entries: Sequence[Entry]) -> Written:
    """Return a session on disk in a new file at `path`; raises SessionFileError when it cannot be made."""
    journal, made = create(path, header.plan, header.created, header.session)
    write_all(journal, entries)
    return Written(journal, made, entries[-1].n)


def open_for_writing(path: Path) -> tuple[Journal, SessionFile, Path | None]:
    """Hold the session at `path` and return it, what it holds, and where its torn tail was set aside.

    Raises BusyError when another program writes it, DamagedError when it is damaged above its last line,
    SessionFileError when it is not a session or cannot be written.
    """
    before = _mark(path)
    session = read(path)
    _refuse_damaged(session)
    try:
        held = _held(path)
    except OSError as error:
        raise _cannot_write(path, error) from None
    try:
        if before is None or _mark(path) != before:
            session = read(path)
            _refuse_damaged(session)
        file = FileIO(os.open(path, _WRITING), "r+")
    except (OSError, SessionFileError) as error:
        held.release()
        raise (_cannot_write(path, error) if isinstance(error, OSError) else error) from None
    try:
        aside = _set_aside(path, file, session.good_bytes)
        size = _ended(file, session.good_bytes)
        journal = Journal(path, file, held, size)
    except OSError as error:
        file.close()
        held.release()
        raise SessionFileError(f"{path.name} has a torn last line that cannot be set aside: {error.strerror}") from None
    hops.note("disk", "%s opened, %d bytes, %d entries", path.name, size, len(session.entries))
    return journal, session, aside


def copy_readable(damaged: SessionFile, target: Path) -> Path:
    """Write what is readable of a damaged session to a new file, numbered afresh, and return its path.

    Calls that mend a lost entry are left out with it. Raises SessionFileError when `target` cannot be made.
    """
    journal, _ = create(target, damaged.header.plan, damaged.header.created)
    write_all(journal, numbered_afresh(damaged.entries))
    journal.close()
    return target


def numbered_afresh(entries: Iterable[Entry]) -> list[Entry]:
    """Return entries numbered from 1; what mends one that is not among them is left out."""
    numbers: dict[int, int] = {}
    kept: list[Entry] = []
    for entry in entries:
        change: dict[str, int] = {"n": len(kept) + 1}
        if amends(entry) or takes_back(entry):
            if entry.entry not in numbers:
                continue
            change["entry"] = numbers[entry.entry]
        numbers[entry.n] = change["n"]
        kept.append(entry.model_copy(update=change))
    return kept


def write_all(journal: Journal, entries: Iterable[Entry]) -> None:
    """Put `entries` in a file just made; raises SessionFileError, and takes the file away, when that fails."""
    try:
        journal.append(entries)
    except OSError as error:
        journal.path.unlink(missing_ok=True)
        journal.close()
        raise _cannot_write(journal.path, error) from None


def lock_path(path: Path) -> Path:
    """Return the path of the lock file beside a session."""
    return path.with_name(path.name + ".lock")


def _held(path: Path) -> FileLock:
    try:
        held = take_lock(lock_path(path))
        hops.note("disk", "%s: lock taken%s", path.name, "" if held.sure else ", in a folder that cannot hold one")
        return held
    except HeldError as error:
        hops.note("disk", "%s: lock is held by another program", path.name)
        raise BusyError(f"{path.name} is being written by {error}; open it with --follow") from None


def _note_write(numbers: Sequence[int], size: int, writing_s: float, syncing_s: float) -> None:
    hops.each(numbers, "synced")
    if numbers:
        words = "%d bytes to entry %d written in %.2f ms, synced in %.2f ms"
        hops.note("disk", words, size, numbers[-1], writing_s * 1000, syncing_s * 1000)


def _mark(path: Path) -> tuple[int, int, int] | None:
    """Return what tells that a file was written in between; None when that cannot be told."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_ino, found.st_size, found.st_mtime_ns


def _refuse_damaged(session: SessionFile) -> None:
    if session.condition == "damaged":
        named = ", ".join(str(bad.line) for bad in session.bad_lines[:5])
        more = " and more" if len(session.bad_lines) > 5 else ""
        raise DamagedError(
            f"{session.path.name} is damaged at line {named}{more}; it opens read-only, and work can go on in a copy"
        )


def _is(path: Path, file: FileIO) -> bool:
    """Whether `path` names the open file."""
    try:
        return os.path.samestat(path.stat(), os.fstat(file.fileno()))
    except FileNotFoundError:
        return False


def _cannot_write(path: Path, error: OSError) -> SessionFileError:
    return SessionFileError(f"{path.name} cannot be written: {error.strerror}")


def _cannot_make(path: Path, error: OSError) -> SessionFileError:
    if isinstance(error, FileExistsError):
        return SessionFileError(f"{path.name} exists already; choose another name")
    return SessionFileError(f"{path.name} cannot be made in {path.parent}: {error.strerror}")


def _made(path: Path, data: bytes) -> FileIO:
    """Return a new file with `data` on disk, open for appending; raises OSError."""
    new_file(path, data).close()
    return FileIO(os.open(path, _WRITING), "r+")


def _set_aside(path: Path, file: FileIO, good: int) -> Path | None:
    """Move what stands after the last whole line to a file beside the session; return where it went."""
    file.seek(good)
    torn = file.read()
    if not torn:
        return None
    aside = free_path(path.parent, lambda number: f"{path.name}.torn-{number}")
    new_file(aside, torn).close()
    file.truncate(good)
    os.fsync(file.fileno())
    return aside


def _ended(file: FileIO, good: int) -> int:
    """End the last line if only its line end is missing, and return the file's size."""
    file.seek(good - 1)
    if file.read() == b"\n":
        return good
    write_bytes(file, b"\n")
    os.fsync(file.fileno())
    return good + 1


def _start_of(file: FileIO, size: int) -> bytes:
    """Return the first `size` bytes of an open file, fewer if it is shorter."""
    file.seek(0)
    parts = []
    while part := file.read(size):
        parts.append(part)
        size -= len(part)
    return b"".join(parts)
