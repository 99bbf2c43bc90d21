"""The other end of the call socket: how a script makes a call in the running window, without Qt."""

from __future__ import annotations

import getpass
import json
import os
import socket
import struct
import sys
import time
from collections.abc import Mapping
from io import FileIO
from pathlib import Path

from studiotimer.errors import NoWindowError
from studiotimer.places import runtime_folder

LONGEST_MESSAGE = 65_536
PATIENCE_S = 30.0
_LOCAL_PEERCRED = 1
"""Of macOS: struct xucred, its version and user first (memory: sys/ucred.h)."""


def socket_name() -> str:
    """Return the name of this user's call socket: a path, or on Windows a pipe's name."""
    if sys.platform == "win32":
        return f"studiotimer-{getpass.getuser()}"
    return str(runtime_folder() / "calls.sock")


def user_of(line: socket.socket) -> int | None:
    """Return the user at the other end of a local socket, as the system tells it; None where it does not."""
    if sys.platform == "linux":
        told = line.getsockopt(socket.SOL_SOCKET, socket.SO_PEERCRED, struct.calcsize("3i"))
        return int(struct.unpack("3i", told)[1])
    if sys.platform == "darwin":
        told = line.getsockopt(0, _LOCAL_PEERCRED, 76)
        return int(struct.unpack_from("2I", told)[1])
    return None


def is_ours(line: socket.socket) -> bool:
    """Whether the other end of a local socket is of the same user, as far as the system tells."""
    user = user_of(line)
    return sys.platform == "win32" or user is None or user == os.getuid()


def send_call(
    kind: str, fields: Mapping[str, object], patience_s: float = PATIENCE_S, assume: bool = False
) -> dict[str, object]:
    """Make a call in the running window and return its answer.

    That is {"n": entry} once it is on disk, {"kept": entry, "why": why} when the disk refuses it for now, or
    {"refused": why}. Raises NoWindowError when no window is running or it does not answer in time.
    """
    message = json.dumps({"kind": kind, "fields": dict(fields), "assume": assume}).encode() + b"\n"
    if len(message) > LONGEST_MESSAGE:
        return {"refused": f"a call is at most {LONGEST_MESSAGE} bytes"}
    try:
        answer = _through_pipe(message, patience_s) if sys.platform == "win32" else _through_socket(message, patience_s)
    except TimeoutError:
        raise NoWindowError("the window did not say that the call is on disk") from None
    except NoWindowError:
        raise
    except OSError:
        raise NoWindowError("no studiotimer window with an open session is running") from None
    if not answer.endswith(b"\n"):
        raise NoWindowError("the window closed before it said that the call is on disk")
    decoded: dict[str, object] = json.loads(answer)
    return decoded


def _through_socket(message: bytes, patience_s: float) -> bytes:
    if sys.platform == "win32":
        raise NoWindowError("this system has pipes, not sockets")
    with socket.socket(socket.AF_UNIX, socket.SOCK_STREAM) as line:
        line.settimeout(patience_s)
        _connect(line, patience_s)
        if not is_ours(line):
            raise NoWindowError("another user holds the call socket; no call was made")
        line.sendall(message)
        answer = b""
        while not answer.endswith(b"\n") and (part := line.recv(4096)):
            answer += part
        return answer


def _connect(line: socket.socket, patience_s: float) -> None:
    """Connect, also where so many peers wait that the window cannot take one more just now."""
    end = time.monotonic() + patience_s
    while True:
        try:
            line.connect(socket_name())
            return
        except BlockingIOError:
            if time.monotonic() > end:
                raise TimeoutError from None
            time.sleep(0.05)


def _through_pipe(message: bytes, patience_s: float) -> bytes:
    with _pipe(patience_s) as pipe:
        pipe.write(message)
        answer = b""
        while not answer.endswith(b"\n") and (part := pipe.read(4096)):
            answer += part
        return answer


def _pipe(patience_s: float) -> FileIO:
    """Return the pipe opened, also where so many peers wait that the window cannot take one more just now."""
    end = time.monotonic() + patience_s
    while True:
        try:
            return Path(rf"\\.\pipe\{socket_name()}").open("r+b", buffering=0)
        except FileNotFoundError:
            raise
        except OSError:
            if time.monotonic() > end:
                raise TimeoutError from None
            time.sleep(0.05)
