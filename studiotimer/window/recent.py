"""The sessions opened last, and where a new one is kept."""

from __future__ import annotations

import contextlib
import json
from datetime import datetime
from pathlib import Path

from studiotimer.files import again, free_path, small_json, write_whole
from studiotimer.places import config_folder, demo_copies, file_name, sessions_folder
from studiotimer.plain import plain, short
from studiotimer.session.first_lines import SUFFIX
from studiotimer.session.titles import title_of
from studiotimer.units import moment_words
from studiotimer.working import Worker

RECENT_FILE = "recent.json"
MOST_RECENT = 6
_worker = Worker("recents")


def _nothing(_: object) -> None:
    return None


def recent_sessions() -> list[Path]:
    """Return the sessions opened last that are still there, newest first."""
    try:
        return [path for path in remembered() if path.exists()][:MOST_RECENT]
    except OSError:
        return []


def remembered() -> list[Path]:
    """Return the sessions opened last, newest first, whether or not they are there; none is looked at."""
    try:
        names = small_json(config_folder() / RECENT_FILE)
        return [Path(name) for name in names if isinstance(name, str)][:MOST_RECENT]
    except (OSError, ValueError, TypeError):
        return []


def called(path: Path, longest: int) -> str:
    """Return what a session or a plan is called and when it was written last: "Three in a coupe, 25 Nov, 16:14"."""
    try:
        title = title_of(path) if path.suffix == SUFFIX else str(small_json(path)["title"])
        written = datetime.fromtimestamp(path.stat().st_mtime)
    except (OSError, ValueError, TypeError, KeyError, OverflowError):
        return plain(path.stem)[:longest]
    return f"{short(plain(title), longest)}, {'' if path.suffix == SUFFIX else 'a plan, '}{moment_words(written)}"


def told(path: Path, longest: int) -> str | None:
    """Return what a recent session is called, None where it is not there any more."""
    return called(path, longest) if path.exists() else None


def remember_soon(path: Path) -> None:
    """Put a session first among the recent ones, aside: those before it may lie on disks that do not answer."""
    _worker.ask(str(path), lambda: remember(path), _nothing, _nothing)


def remember(path: Path) -> None:
    """Put a session first among the recent ones; the copy of a demo is none of them."""
    if demo_copies().resolve() in path.resolve().parents:
        return
    names = [str(path.resolve()), *[str(one) for one in recent_sessions() if one != path.resolve()]]
    with contextlib.suppress(OSError):
        write_whole(config_folder() / RECENT_FILE, json.dumps(names[:MOST_RECENT]).encode(), private=True)


def new_session_path(title: str, now: datetime) -> Path:
    """Return a free path for a new session, named by day and title."""
    base = f"{now:%Y-%m-%d}-{file_name(title)}"
    return free_path(sessions_folder(), lambda number: f"{base}{again(number)}{SUFFIX}")
