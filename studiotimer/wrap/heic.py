"""HEIC and HIF decoded in a process of its own: a broken one ends that process, never the program.

The decoder is C and C++ that reads what strangers wrote; version 1.4.0 of its binding ends the process at a file whose
metadata has no type (measured). The process has a limit of memory and of time.
"""

from __future__ import annotations

import io
import subprocess
import sys
from collections.abc import Sequence
from typing import BinaryIO

from studiotimer.apart import module_line, unseen
from studiotimer.errors import ContentError
from studiotimer.wrap.heif import Box

MEMORY = 2 << 30
SECONDS = 60
TOLD = 3
"""The exit status with which the process says why, in words."""


class HeicError(ContentError):
    """It cannot be decoded; the message is why, in a few words."""


def decoded_apart(data: bytes, part: Box | None = None) -> bytes:
    """Return a small upright JPEG of the picture in a HEIC or HIF file's bytes, or a part of it; raises HeicError."""
    command = module_line("studiotimer.wrap.heic", *(str(each) for each in part or ()))
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


def _limit() -> None:
    if sys.platform != "win32":
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
        resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def main(source: BinaryIO, out: BinaryIO, part: Sequence[str] = ()) -> int:
    """Decode what comes in, and write a small JPEG of it, or of a `part` (four numbers); return the exit status."""
    _limit()
    import pi_heif  # type: ignore[import-untyped]

    from studiotimer.wrap.decoding import NoThumbnailError, check_size, written

    try:
        held = pi_heif.open_heif(io.BytesIO(source.read()))
        check_size(held.size)
        picture = held.to_pillow()
        out.write(written(picture.crop([int(each) for each in part]) if part else picture))
    except NoThumbnailError as error:
        out.write(str(error).encode())
        return TOLD
    except Exception:  # whatever a broken picture made the decoder say
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.stdin.buffer, sys.stdout.buffer, sys.argv[1:]))
