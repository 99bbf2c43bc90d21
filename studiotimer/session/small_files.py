"""Small JSON files kept between sessions: read whole or not at all, a damaged one set aside, written whole.

What is changed is what the file has at that moment, and nothing is written over what could not be read.
"""

from __future__ import annotations

import contextlib
import json
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import TypeVar

from studiotimer.files import PRIVATE_FOLDER, again, free_path, make_folder, rename, write_whole
from studiotimer.session.locking import FileLock, HeldError, take_lock

LARGEST_BYTES = 4_000_000

T = TypeVar("T")
V = TypeVar("V")
_TRIES, _TRY_AGAIN_S = 200, 0.005


def load(path: Path, made: Callable[[object], T], usual: T, what: str) -> tuple[T, str | None]:
    """Return what `made` makes of the JSON in `path`, else `usual` and a sentence that says why.

    `made` raises ValueError for values it cannot use; that file is set aside beside its place. A file that was never
    written is no trouble. `what` names the contents in the sentence: "the settings".
    """
    try:
        found, words, _ = _read(path, made, what)
    except OSError as error:
        return usual, f"{_start(what)} in {path.name} cannot be read ({_why(error)}); the usual ones hold."
    return (usual if found is None else found), words


def change(
    path: Path,
    made: Callable[[object], T],
    usual: T,
    what: str,
    changed: Callable[[T], T],
    values_of: Callable[[T], object],
) -> tuple[T | None, str | None]:
    """Write what `changed` makes of what `path` has now, and return that; None and a sentence where that cannot be.

    Another window may have written it since it was read here. What cannot be read is never written over.
    """
    with _alone(path):
        try:
            found, words, may_write = _read(path, made, what)
        except OSError as error:
            return None, (
                f"{path.name} cannot be read ({_why(error)}), so nothing is written over it; "
                "the change holds until the program ends."
            )
        if not may_write:
            return None, words
        value = changed(usual if found is None else found)
        trouble = save(path, values_of(value))
        return (None, trouble) if trouble is not None else (value, words)


def save(path: Path, values: object) -> str | None:
    """Write `values` to `path` whole or not at all; return a sentence when the disk refuses."""
    text = json.dumps(values, ensure_ascii=False, indent=2, allow_nan=False) + "\n"
    try:
        make_folder(path.parent, PRIVATE_FOLDER)
        write_whole(path, text.encode("utf-8"), private=True)
    except OSError as error:
        return f"{path.name} cannot be kept ({_why(error)}); the change holds until the program ends."
    return None


def merged(base: Mapping[str, V], mine: Mapping[str, V], theirs: Mapping[str, V]) -> dict[str, V]:
    """Return `theirs` with what differs in `mine` from `base`, which both were once."""
    kept = {key: value for key, value in theirs.items() if key in mine or key not in base}
    return kept | {key: value for key, value in mine.items() if key not in base or value != base[key]}


def _read(path: Path, made: Callable[[object], T], what: str) -> tuple[T | None, str | None, bool]:
    """Return what a file has, a sentence when it had to be set aside, and whether its place may be written.

    Raises OSError when it cannot be read.
    """
    try:
        if not path.exists():
            return None, None, True
        if not path.is_file() or path.stat().st_size > LARGEST_BYTES:
            raise ValueError("it is no such file")
        text = path.read_text(encoding="utf-8")
    except ValueError:
        return None, *_set_aside(path, what, "it is no text of the program's")
    try:
        return made(json.loads(text)), None, True
    except (ValueError, RecursionError) as error:
        broken = isinstance(error, json.JSONDecodeError | RecursionError)
        return None, *_set_aside(path, what, "its text is broken" if broken else str(error))


@contextmanager
def _alone(path: Path) -> Iterator[None]:
    """Keep other windows from writing a file meanwhile, as far as they can be kept and for as long as that is short."""
    held: FileLock | None = None
    with contextlib.suppress(OSError):
        for _ in range(_TRIES):
            try:
                held = take_lock(path.with_name(path.name + ".lock"))
                break
            except HeldError:
                time.sleep(_TRY_AGAIN_S)
    try:
        yield
    finally:
        if held is not None:
            held.release()


def _set_aside(path: Path, what: str, why: str) -> tuple[str, bool]:
    """Move a damaged file beside its place; return what is said of it, and whether its place is free."""
    beside = free_path(path.parent, lambda number: f"{path.stem}.damaged{again(number)}{path.suffix}")
    try:
        rename(path, beside)
    except OSError:
        return f"{_start(what)} in {path.name} cannot be used ({why}); the usual ones hold.", False
    return (
        f"{_start(what)} in {path.name} cannot be used ({why}); it was set aside as {beside.name}, the usual ones hold."
    ), True


def _why(error: OSError) -> str:
    return error.strerror or type(error).__name__


def _start(what: str) -> str:
    return f"{what[:1].upper()}{what[1:]}"
