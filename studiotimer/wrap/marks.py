"""The frames marked as selects, kept in a list beside their session."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from studiotimer.prep.plan import write_whole
from studiotimer.wrap.frames import names_in
from studiotimer.wrap.tables import to_csv

SUFFIX = ".selects.csv"


def list_of(session: Path) -> Path:
    """Return where the selects of the session at `session` are kept."""
    return session.with_suffix(SUFFIX)


def keep(session: Path, names: Iterable[str]) -> None:
    """Keep the names of the frames that are selects, whole or not at all; raises OSError."""
    write_whole(list_of(session), to_csv(("frame",), [(name,) for name in names]))


def kept(session: Path) -> list[str]:
    """Return the names kept as selects, none where there is no list; raises FramesError."""
    path = list_of(session)
    return names_in(path) if path.exists() else []
