"""The session file open for writing: only ever appended, on disk before it is said to be."""

from __future__ import annotations

import os
import uuid
from collections.abc import Iterable, Mapping
from datetime import datetime
from io import FileIO
from pathlib import Path
from typing import Any

from filelock import FileLock, Timeout

from studiotimer.session.entries import AnyEntry, Entry
from studiotimer.session.lines import stamp, summed, to_line
from studiotimer.session.reading import FORMAT, VERSION, SessionFile, SessionFileError, read


class BusyError(SessionFileError):
    """Another program is writing this session."""


class DamagedError(SessionFileError):
    """The session is damaged above its last line; it opens read-only."""


class Journal:
    """One session file held for appending by this process alone."""

    def __init__(self, path: Path, file: FileIO, lock: FileLock, size: int) -> None:
        self.path = path
        self._file = file
        self._lock = lock
        self._size = size

    def append(self, entries: Iterable[Entry]) -> None:
        """Put `entries` on disk after what is there, and return when the disk has them.

        Raises OSError when the disk refuses; the file then still ends where it did, and the call may be
        made again.
        """
        data = b"".join(to_line(entry) for entry in entries)
        self._file.seek(self._size)
        try:
            _write_all(self._file, data)
            os.fsync(self._file.fileno())
        except OSError:
            self._forget_half()
            raise
        self._size += len(data)

    def close(self) -> None:
        """Let the file and its lock go."""
        self._file.close()
        release(self._lock)

    def _forget_half(self) -> None:
        try:
            os.ftruncate(self._file.fileno(), self._size)
        except OSError:
            return


def create(path: Path, plan: Mapping[str, Any], created: datetime) -> Journal:
    """Make a new session file at `path` with `plan` in its first line, and hold it.

    Raises SessionFileError when the file exists or cannot be made.
    """
    header = {
        "format": FORMAT,
        "version": VERSION,
        "session": str(uuid.uuid4()),
        "created": stamp(created),
        "plan": dict(plan),
    }
    line = summed(header)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        lock = hold(path)
    except OSError as error:
        raise _cannot_make(path, error) from None
    try:
        file = _new_file(path, line)
    except OSError as error:
        release(lock)
        raise _cannot_make(path, error) from None
    return Journal(path, file, lock, len(line))


def open_for_writing(path: Path) -> tuple[Journal, SessionFile, Path | None]:
    """Hold the session at `path` and return it, what it holds, and where its torn tail was set aside.

    Raises BusyError when another program writes it, DamagedError when it is damaged above its last line,
    SessionFileError when it is not a session or cannot be written.
    """
    read(path)
    try:
        lock = hold(path)
    except OSError as error:
        raise SessionFileError(f"{path.name} cannot be written: {error.strerror}") from None
    try:
        session = read(path)
        if session.condition == "damaged":
            named = ", ".join(str(bad.line) for bad in session.bad_lines[:5])
            raise DamagedError(
                f"{path.name} is damaged at line {named}; it opens read-only, and work can go on in a copy"
            )
        file = FileIO(os.open(path, os.O_RDWR | getattr(os, "O_BINARY", 0)), "r+")
    except OSError as error:
        release(lock)
        raise SessionFileError(f"{path.name} cannot be written: {error.strerror}") from None
    except SessionFileError:
        release(lock)
        raise
    try:
        aside = _set_aside(path, file, session.good_bytes)
        size = _ended(file, session.good_bytes)
    except OSError as error:
        file.close()
        release(lock)
        raise SessionFileError(f"{path.name} has a torn last line that cannot be set aside: {error.strerror}") from None
    return Journal(path, file, lock, size), session, aside


def copy_readable(damaged: SessionFile, target: Path) -> Path:
    """Write what is readable of a damaged session to a new file, numbered afresh, and return its path.

    Calls that mend a lost entry are left out with it. Raises SessionFileError when `target` cannot be made.
    """
    journal = create(target, damaged.header.plan, damaged.header.created)
    numbers: dict[int, int] = {}
    kept: list[AnyEntry] = []
    for entry in damaged.entries:
        change: dict[str, int] = {"n": len(kept) + 1}
        if entry.kind in ("amend", "take_back"):
            if entry.entry not in numbers:
                continue
            change["entry"] = numbers[entry.entry]
        numbers[entry.n] = change["n"]
        kept.append(entry.model_copy(update=change))
    try:
        journal.append(kept)
    except OSError as error:
        raise SessionFileError(f"{target.name} cannot be written: {error.strerror}") from None
    finally:
        journal.close()
    return target


def hold(path: Path) -> FileLock:
    """Return the lock that lets this process alone write the session at `path`.

    Raises BusyError when another process holds it, OSError when no lock file can be made.
    """
    lock = FileLock(lock_path(path))
    try:
        lock.acquire(timeout=0)
    except Timeout:
        raise BusyError(f"{path.name} is being written by another studiotimer; open it with --follow") from None
    return lock


def lock_path(path: Path) -> Path:
    """Return the path of the lock file beside a session."""
    return path.with_name(path.name + ".lock")


def release(lock: FileLock) -> None:
    """Let the lock go and remove its file where the system lets us."""
    try:
        Path(lock.lock_file).unlink(missing_ok=True)
    except OSError:
        pass
    finally:
        lock.release()


def _cannot_make(path: Path, error: OSError) -> SessionFileError:
    if isinstance(error, FileExistsError):
        return SessionFileError(f"{path.name} exists already; choose another name")
    return SessionFileError(f"{path.name} cannot be made in {path.parent}: {error.strerror}")


def _new_file(path: Path, line: bytes) -> FileIO:
    """Make the file with its first line on disk; a half-made one does not stay."""
    handle = os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o644)
    file = FileIO(handle, "r+")
    try:
        _write_all(file, line)
        os.fsync(handle)
        _sync_folder(path.parent)
    except OSError:
        file.close()
        path.unlink(missing_ok=True)
        raise
    return file


def _set_aside(path: Path, file: FileIO, good: int) -> Path | None:
    """Move what stands after the last whole line to a file beside the session; return where it went."""
    file.seek(good)
    torn = file.read()
    if not torn:
        return None
    aside = _free_name(path)
    with aside.open("xb") as kept:
        kept.write(torn)
        kept.flush()
        os.fsync(kept.fileno())
    file.truncate(good)
    os.fsync(file.fileno())
    return aside


def _ended(file: FileIO, good: int) -> int:
    """End the last line if only its line end is missing, and return the file's size."""
    file.seek(good - 1)
    if file.read(1) == b"\n":
        return good
    _write_all(file, b"\n")
    os.fsync(file.fileno())
    return good + 1


def _free_name(path: Path) -> Path:
    number = 1
    while (name := path.with_name(f"{path.name}.torn-{number}")).exists():
        number += 1
    return name


def _write_all(file: FileIO, data: bytes) -> None:
    view = memoryview(data)
    while view:
        written = file.write(view)
        view = view[written or 0 :]


def _sync_folder(folder: Path) -> None:
    """Put the new name itself on disk, where the system has a way to."""
    if not hasattr(os, "O_DIRECTORY"):
        return
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
