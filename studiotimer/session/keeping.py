"""Small JSON files kept between sessions: read whole or not at all, a damaged one set aside, written whole."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

from studiotimer.files import PRIVATE_FOLDER, again, free_path, make_folder, rename, write_whole

LARGEST_BYTES = 4_000_000

T = TypeVar("T")


def load(path: Path, made: Callable[[Any], T], usual: T, what: str) -> tuple[T, str | None]:
    """Return what `made` makes of the JSON in `path`, else `usual` and a sentence that says why.

    `made` raises ValueError for values it cannot use; that file is set aside beside its place. A file that was never
    written is no trouble. `what` names the contents in the sentence: "the settings".
    """
    try:
        if not path.exists():
            return usual, None
        if not path.is_file() or path.stat().st_size > LARGEST_BYTES:
            raise ValueError("it is no such file")
        text = path.read_text(encoding="utf-8")
    except OSError as error:
        why = error.strerror or type(error).__name__
        return usual, f"{_start(what)} in {path.name} cannot be read ({why}); the usual ones hold."
    except ValueError:
        return usual, _set_aside(path, what, "it is no text of the program's")
    try:
        return made(json.loads(text)), None
    except (ValueError, RecursionError) as error:
        broken = isinstance(error, json.JSONDecodeError | RecursionError)
        return usual, _set_aside(path, what, "its text is broken" if broken else str(error))


def save(path: Path, values: Any) -> str | None:
    """Write `values` to `path` whole or not at all; return a sentence when the disk refuses."""
    text = json.dumps(values, ensure_ascii=False, indent=2, allow_nan=False) + "\n"
    try:
        make_folder(path.parent, PRIVATE_FOLDER)
        write_whole(path, text.encode("utf-8"), private=True)
    except OSError as error:
        return f"{path.name} cannot be kept ({error.strerror or error}); the change holds until the program ends."
    return None


def _set_aside(path: Path, what: str, why: str) -> str:
    """Move a damaged file beside its place and say so."""
    beside = free_path(path.parent, lambda number: f"{path.stem}.damaged{again(number)}{path.suffix}")
    try:
        rename(path, beside)
    except OSError:
        return f"{_start(what)} in {path.name} cannot be used ({why}); the usual ones hold."
    return (
        f"{_start(what)} in {path.name} cannot be used ({why}); it was set aside as {beside.name}, the usual ones hold."
    )


def _start(what: str) -> str:
    return f"{what[:1].upper()}{what[1:]}"
