"""Files written so that they are there: whole or not at all, and on the disk with their names before it is said.

A name is on the disk once its folder is: after a file is made, renamed or removed its folder is flushed too, and a
folder that was made is flushed in the one above it.
"""

from __future__ import annotations

import contextlib
import errno
import itertools
import json
import os
import stat
from collections.abc import Callable, Mapping
from io import FileIO
from pathlib import Path
from typing import Any

BESIDE = ".studiotimer-"
"""How a file is called while it is written beside its place."""
FILE_MODE, FOLDER_MODE = 0o666, 0o777
"""What is asked for; the system takes away what the user's own mask does."""
PRIVATE_FILE, PRIVATE_FOLDER = 0o600, 0o700

_BINARY = getattr(os, "O_BINARY", 0)
_MAKING = os.O_RDWR | os.O_CREAT | os.O_EXCL | _BINARY
_NO_FLUSH = {
    errno.EINVAL, errno.ENOSYS, errno.ENOTSUP, errno.EOPNOTSUPP, errno.EACCES, errno.EPERM, errno.EISDIR, errno.EBADF,
}  # fmt: skip
"""What a system says that has no way to flush a folder, or no right to."""


def small_text(path: Path, largest: int) -> str:
    """Return the text of a file that is at most `largest` bytes; raises OSError when it is none, ValueError when not.

    A pipe, a device or a socket is none, and nobody waits for what it may say.
    """
    return small_bytes(path, largest).decode("utf-8")


def small_bytes(path: Path, largest: int) -> bytes:
    """Return what a file of at most `largest` bytes holds; as `small_text`."""
    handle = os.open(path, os.O_RDONLY | _BINARY | getattr(os, "O_NONBLOCK", 0))
    with FileIO(handle) as file:
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            raise OSError(errno.EINVAL, "it is not a file")
        parts = []
        while part := file.read(min(largest, 1 << 20)):
            parts.append(part)
            if sum(map(len, parts)) > largest:
                raise OSError(errno.EFBIG, f"it is larger than {largest:,} bytes")
    return b"".join(parts)


def small_json(path: Path, largest: int = 4_000_000) -> Any:
    """Return the JSON values in a small file; raises OSError, or ValueError when its text is none."""
    try:
        return json.loads(small_text(path, largest))
    except RecursionError:
        raise ValueError("its values lie too deep in each other") from None


def write_whole(path: Path, data: bytes, private: bool = False) -> None:
    """Write `data` beside `path`, flush it, put it in place and flush its folder; raises OSError.

    A file that is there keeps its mode; a new one has what the user's mask leaves, or, `private`, is the user's alone.
    Where the writing fails the old file stays as it was.
    """
    beside = path.with_name(BESIDE + os.urandom(6).hex())
    try:
        _made(beside, data, PRIVATE_FILE if private else FILE_MODE).close()
        if (mode := _mode(path)) is not None:
            beside.chmod(mode)
        beside.replace(path)
    except BaseException:
        with contextlib.suppress(OSError):
            beside.unlink()
        raise
    flush_folder(path.parent)


def write_all(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write files by name into a folder, made when it is not there, each whole or not at all; raises OSError."""
    make_folder(folder)
    for name, data in files.items():
        write_whole(folder / name, data)


def new_file(path: Path, data: bytes, mode: int = FILE_MODE) -> FileIO:
    """Make a file with `data` on disk and return it open; raises OSError, and a half-made one does not stay."""
    file = _made(path, data, mode)
    try:
        flush_folder(path.parent)
    except OSError:
        file.close()
        path.unlink(missing_ok=True)
        raise
    return file


def write_bytes(file: FileIO, data: bytes) -> None:
    """Write all of `data`, however little the system takes at once; raises OSError."""
    view = memoryview(data)
    while view:
        written = file.write(view)
        view = view[written or 0 :]


def make_folder(folder: Path, mode: int = FOLDER_MODE) -> None:
    """Make a folder and those above it, each on the disk in the one above; raises OSError, also when it is a file."""
    missing = []
    for one in (folder, *folder.parents):
        if one.is_dir():
            break
        missing.append(one)
    for one in reversed(missing):
        try:
            one.mkdir(mode)
        except FileExistsError:
            if not one.is_dir():
                raise NotADirectoryError(errno.ENOTDIR, "that is not a folder") from None
        flush_folder(one.parent)


def rename(path: Path, target: Path) -> None:
    """Give a file another name in its folder, on the disk; raises OSError."""
    path.rename(target)
    flush_folder(target.parent)


def remove(path: Path) -> None:
    """Remove a file, if it is there, for good; raises OSError."""
    path.unlink(missing_ok=True)
    flush_folder(path.parent)


def free_path(folder: Path, name: Callable[[int], str]) -> Path:
    """Return the first path in a folder that is free, of the names for 1, 2, 3 …"""
    return next(path for number in itertools.count(1) if not os.path.lexists(path := folder / name(number)))


def again(number: int) -> str:
    """Return how a name is told from others like it: nothing for the first, "-2" for the second."""
    return f"-{number}" if number > 1 else ""


def flush_folder(folder: Path) -> None:
    """Put the names in a folder on the disk, where the system has a way to; raises OSError when the disk refuses."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError as error:
        if error.errno in _NO_FLUSH:
            return
        raise
    try:
        os.fsync(handle)
    except OSError as error:
        if error.errno not in _NO_FLUSH:
            raise
    finally:
        os.close(handle)


def _made(path: Path, data: bytes, mode: int) -> FileIO:
    """Make a file with `data` on disk, its name not yet."""
    file = FileIO(os.open(path, _MAKING, mode), "r+")
    try:
        write_bytes(file, data)
        os.fsync(file.fileno())
    except OSError:
        file.close()
        path.unlink(missing_ok=True)
        raise
    return file


def _mode(path: Path) -> int | None:
    try:
        return path.stat().st_mode & 0o777
    except FileNotFoundError:
        return None
