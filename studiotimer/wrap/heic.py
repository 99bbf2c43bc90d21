"""HEIC and HIF decoded in a process of its own: a broken one ends that process, never the program.

The decoder is C and C++ that reads what strangers wrote; version 1.4.0 of its binding ends the process at a file whose
metadata has no type (measured). The process has a limit of memory and of time.
"""

from __future__ import annotations

import subprocess

from studiotimer.apart import module_line, unseen
from studiotimer.errors import ContentError
from studiotimer.wrap.heif import Box

SECONDS = 60
"""What the process may take of the processor and of the clock."""
TOLD = 3
"""The exit status with which the process says why, in words."""


class HeicError(ContentError):
    """It cannot be decoded; the message is why, in a few words."""


def decoded_apart(data: bytes, part: Box | None = None) -> bytes:
    """Return a small upright JPEG of the picture in a HEIC or HIF file's bytes, or a part of it; raises HeicError."""
    command = module_line("studiotimer.wrap.heic_process", *(str(each) for each in part or ()))
    try:
        done = subprocess.run(
            command, input=data, capture_output=True, timeout=SECONDS, check=False, creationflags=unseen()
        )
    except (OSError, subprocess.TimeoutExpired):
        raise HeicError("it takes too long to decode") from None
    if done.returncode == TOLD:
        raise HeicError(done.stdout.decode("utf-8", "replace"))
    if done.returncode != 0 or not done.stdout:
        raise HeicError("broken picture")
    return done.stdout
