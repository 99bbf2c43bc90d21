"""What decodes a HEIC or HIF file in a process of its own, within a limit of memory and of time (`heic` begins it)."""

from __future__ import annotations

import io
import sys
from collections.abc import Sequence
from typing import BinaryIO

from studiotimer.wrap.decoding import NoThumbnailError, check_size, written
from studiotimer.wrap.heic import SECONDS, TOLD

MEMORY = 2 << 30


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
