"""The demos shipped with the program, and copies of them that may be written in."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from studiotimer.places import demo_copies, demo_sessions
from studiotimer.plain import reason
from studiotimer.prep.plan import write_whole
from studiotimer.session.reading import SUFFIX, SessionFileError, read
from studiotimer.session.taken_up import take_up

SELECTS = "selects.csv"


class NoCopyError(Exception):
    """A demo cannot be copied; the message is one sentence."""


def demos() -> list[Path]:
    """Return the demo sessions shipped with the program."""
    return sorted(demo_sessions().glob(f"*/*{SUFFIX}"))


def session_copy(demo: Path, now: datetime) -> Path:
    """Return a copy of a demo's session to call on, as if its first hero were next; raises NoCopyError."""
    copy = demo_copies() / f"{now:%Y-%m-%d-%H%M%S}-{demo.name}"
    try:
        return take_up(read(demo), copy, now.astimezone())
    except SessionFileError as error:
        raise NoCopyError(f"The demo cannot be copied to {copy.parent}: {error}.") from None


def wrapped_copy(demo: Path) -> Path:
    """Return the copy of a demo's session that Wrap works in, with its frames beside it; raises NoCopyError.

    What was marked in it before stays; the demo's own selects are there the first time.
    """
    folder = demo_copies() / f"wrap-{demo.parent.name}"
    for file in sorted(demo.parent.rglob("*")):
        own = f"{demo.stem}.{file.name}" if file.name == SELECTS else file.relative_to(demo.parent)
        copy = folder / own
        if file.is_file() and not copy.exists():
            _copied(file, copy)
    return folder / demo.name


def _copied(file: Path, copy: Path) -> None:
    try:
        copy.parent.mkdir(parents=True, exist_ok=True)
        write_whole(copy, file.read_bytes())
    except OSError as error:
        raise NoCopyError(f"The demo cannot be copied to {copy.parent}: {reason(error)}.") from None
