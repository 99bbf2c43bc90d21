"""A plan that was not saved when the window closed, kept as it was written until it is saved."""

from __future__ import annotations

import contextlib
import json
from dataclasses import dataclass
from pathlib import Path

from studiotimer.files import remove, small_json, write_whole
from studiotimer.places import data_folder
from studiotimer.prep.draft import Values, draft_of, file_values
from studiotimer.prep.plan import parse_plan

NAME = "unsaved-plan.json"


@dataclass(frozen=True)
class Unsaved:
    """A draft, the last one of which every value could be used, and the file it is from, if it is from one."""

    draft: Values
    good: Values
    path: Path | None


def keep(unsaved: Unsaved) -> None:
    """Keep a draft; where nothing can be kept it is lost, as it was said."""
    values = {"draft": unsaved.draft, "good": unsaved.good, "path": str(unsaved.path) if unsaved.path else None}
    with contextlib.suppress(OSError):
        write_whole(data_folder() / NAME, json.dumps(values, ensure_ascii=False).encode("utf-8"), private=True)


def kept() -> Unsaved | None:
    """Return the draft that was kept; None when there is none, or what is there is none."""
    try:
        values = small_json(data_folder() / NAME)
        draft, good, path = values["draft"], values["good"], values["path"]
        draft_of(parse_plan(file_values(good)))
        file_values(draft)
        return Unsaved(draft, good, Path(path) if path else None)
    except (OSError, ValueError, TypeError, KeyError, IndexError, AttributeError):
        return None


def forget(taken_up: bool) -> None:
    """Forget the draft that was kept, where it is the one that was taken up."""
    if not taken_up:
        return
    with contextlib.suppress(OSError):
        remove(data_folder() / NAME)
