"""A plan that was not saved when the window closed, kept as it was written until it is saved."""

from __future__ import annotations

import contextlib
import json
from dataclasses import dataclass
from pathlib import Path

from studiotimer.errors import SlowError
from studiotimer.files import again, free_path, remove, rename, small_json, write_whole
from studiotimer.places import data_folder
from studiotimer.prep.draft import Values, draft_of, file_values
from studiotimer.prep.plan import parse_plan
from studiotimer.window import shelf
from studiotimer.window.aside import LOOK_S, answered

NAME = "unsaved-plan.json"
_seen = True
"""Whether it was seen what is kept, so that it may be written over."""


@dataclass(frozen=True)
class Unsaved:
    """A draft, the last one of which every value could be used, and the file it is from, if it is from one."""

    draft: Values
    good: Values
    path: Path | None


def keep(unsaved: Unsaved) -> None:
    """Keep a draft, aside; where nothing can be kept it is lost, as it was said."""
    values = {"draft": unsaved.draft, "good": unsaved.good, "path": str(unsaved.path) if unsaved.path else None}
    data = json.dumps(values, ensure_ascii=False).encode("utf-8")

    def write() -> None:
        with contextlib.suppress(OSError):
            if not _seen:
                _set_aside()
            write_whole(data_folder() / NAME, data, private=True)

    shelf.write(NAME, write)


def kept() -> Unsaved | None:
    """Return the draft that was kept; None when there is none, or what is there is none, or its disk is silent."""
    global _seen
    _seen = False
    with contextlib.suppress(SlowError):
        found, _seen = answered("the plan that was not saved", _kept, LOOK_S)
        return found
    return None


def _kept() -> tuple[Unsaved | None, bool]:
    """Return the draft, and whether it was seen what is there."""
    try:
        values = small_json(data_folder() / NAME)
        draft, good, path = values["draft"], values["good"], values["path"]
        draft_of(parse_plan(file_values(good)))
        file_values(draft)
        return Unsaved(draft, good, Path(path) if path else None), True
    except FileNotFoundError:
        return None, True
    except (OSError, ValueError, TypeError, KeyError, IndexError, AttributeError):
        return None, False


def _set_aside() -> None:
    """Put a draft that nobody could read beside its place."""
    path = data_folder() / NAME
    if path.exists():
        rename(path, free_path(path.parent, lambda number: f"{path.stem}.not-read{again(number)}{path.suffix}"))


def forget(taken_up: bool) -> None:
    """Forget the draft that was kept, where it is the one that was taken up."""
    if not taken_up:
        return

    def gone() -> None:
        with contextlib.suppress(OSError):
            remove(data_folder() / NAME)

    shelf.write(NAME, gone)
