"""The lock beside a session file that lets one program at a time write it."""

from __future__ import annotations

import contextlib
import errno
import os
import socket
import sys
from pathlib import Path

from studiotimer.errors import PlaceError
from studiotimer.plain import plain

_NO_LOCKS = {errno.ENOSYS, errno.ENOLCK, errno.ENOTSUP, errno.EOPNOTSUPP, errno.EINVAL}
_HELD = {errno.EAGAIN, errno.EWOULDBLOCK, errno.EACCES, errno.EDEADLK}
_FLAGS = os.O_RDWR | os.O_CREAT | getattr(os, "O_BINARY", 0) | getattr(os, "O_NOFOLLOW", 0)
_ATTEMPTS = 20  # each loses only to another that takes or leaves the lock at that moment
_LOCKED_BYTE = 1 << 30  # far beyond what is written, since Windows lets nobody read a locked byte
_LONGEST_NAME = 200  # who holds it, cut: a lock file may be anybody's


class HeldError(PlaceError):
    """Another program holds the lock; the message is who, as far as it said."""


class FileLock:
    """A lock file held by this process; the system lets it go when the process ends, however it ends.

    `sure` is false where the file system has no locks; `left_by` names a holder that ended without letting go.
    """

    def __init__(self, path: Path, handle: int, sure: bool, left_by: str | None) -> None:
        self.path = path
        self.sure = sure
        self.left_by = left_by
        self._handle = handle

    def names_its_file(self) -> bool:
        """Whether the lock file still is the one held, so that others find it."""
        return _names(self.path, self._handle)

    def release(self) -> None:
        """Let go, and leave no lock file behind where the system lets us."""
        with contextlib.suppress(OSError):
            os.ftruncate(self._handle, 0)
            if sys.platform != "win32" and _names(self.path, self._handle):
                self.path.unlink()
        with contextlib.suppress(OSError):
            os.close(self._handle)


def take_lock(path: Path) -> FileLock:
    """Take the lock file at `path`.

    Raises HeldError when another process holds it, OSError when the file cannot be made.
    """
    attempts = 0
    while True:
        attempts += 1
        handle = os.open(path, _FLAGS, 0o644)
        try:
            sure = _lock(handle)
            named = _names(path, handle)
            if named or attempts == _ATTEMPTS:
                before = _said(handle)
                _say(handle)
                return FileLock(path, handle, sure and named, before or None)
        except BlockingIOError:
            who = _said(handle)
            os.close(handle)
            raise HeldError(who or "another program") from None
        except BaseException:
            os.close(handle)
            raise
        os.close(handle)


def _lock(handle: int) -> bool:
    """Lock an open file, and return whether its file system can; raises BlockingIOError when it is held."""
    try:
        if sys.platform == "win32":
            import msvcrt

            os.lseek(handle, _LOCKED_BYTE, os.SEEK_SET)
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        if error.errno in _NO_LOCKS:
            return False
        if error.errno in _HELD:
            raise BlockingIOError from None
        raise
    return True


def _names(path: Path, handle: int) -> bool:
    """Whether `path` still names the open file; a holder that lets go removes it."""
    try:
        return os.path.samestat(path.stat(), os.fstat(handle))
    except FileNotFoundError:
        return False


def _say(handle: int) -> None:
    """Write who holds the lock, for people; a full disk does not matter here."""
    who = f"process {os.getpid()} on {socket.gethostname() or 'this machine'}"
    with contextlib.suppress(OSError):
        os.ftruncate(handle, 0)
        os.lseek(handle, 0, os.SEEK_SET)
        os.write(handle, plain(who)[:_LONGEST_NAME].encode())


def _said(handle: int) -> str:
    os.lseek(handle, 0, os.SEEK_SET)
    return plain(os.read(handle, 4 * _LONGEST_NAME).decode(errors="replace"))[:_LONGEST_NAME]
