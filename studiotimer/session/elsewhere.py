"""Another file to go on in: while the disk of an open session refuses, or when its own file is damaged."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import Protocol, TypeVar

from studiotimer import hops
from studiotimer.errors import PlaceError, SlowError
from studiotimer.files import free_path
from studiotimer.places import data_folder, sessions_folder, shortened
from studiotimer.plain import shown
from studiotimer.session.first_lines import SUFFIX, SessionFileError
from studiotimer.session.journal import copy_readable
from studiotimer.session.live import Session
from studiotimer.session.reading import read
from studiotimer.session.together import base_of, joined
from studiotimer.session.writer import Beside

T = TypeVar("T")


class NowhereError(PlaceError):
    """No place takes the session; the message says why."""


def at_once(work: Callable[[], T], _late: Callable[[T], object]) -> T:
    """Do work here and now, however long it takes."""
    return work()


class Doing(Protocol):
    """How work is done that a disk may hold up: raises SlowError when that takes too long.

    What it comes to after all is given to `late`.
    """

    def __call__(self, work: Callable[[], T], late: Callable[[T], object], /) -> T:
        """Return what `work` comes to."""


def go_on_elsewhere(session: Session, do: Doing = at_once) -> Path:
    """Go on in a new file where sessions are kept, else in the user's own data, and return its path.

    Raises NowhereError when neither takes it; the session then goes on where it was.
    """

    def put(path: Callable[[], Path]) -> Path:
        written = do(lambda: session.written_at(path()), lambda late: late.journal.close())
        session.go_on_with(written)
        return written.journal.path

    return _tried(session.path.stem, "moved", put)


def copy_elsewhere(damaged: Path, do: Doing = at_once) -> Path:
    """Write what is readable of a damaged session to a new file, in the same places, and return its path.

    Raises NowhereError when neither takes it; the damaged file is left as it is.
    """
    return somewhere(damaged.stem, "copy", lambda path: copy_readable(read(damaged), path), do=do)


def join_elsewhere(one: Path, other: Path, do: Doing = at_once) -> Path:
    """Return the path of two files of one session joined, beside them, else in the same places as a copy.

    Raises NowhereError when no place takes it; both are left as they are.
    """
    stem = base_of(one)
    return somewhere(stem, "joined", lambda path: joined(one, other, lambda: path), (lambda: one.parent,), do)


def beside_words(beside: Beside) -> str:
    """Return what the crew is told when the session goes on beside its own file."""
    why = f"{beside.why[:1].upper()}{beside.why[1:]}"
    return f"{why}: it is left as it is. The whole session is on disk and goes on in {shown(beside.path.name, 80)}."


def somewhere(
    stem: str,
    mark: str,
    put: Callable[[Path], Path | None],
    first: Sequence[Callable[[], Path]] = (),
    do: Doing = at_once,
) -> Path:
    """Put a file in `first`, else where sessions are kept, else in the user's own data, and return its path.

    `put` may say that it is another. Raises NowhereError with why, when none of them takes it.
    """

    def done(path: Callable[[], Path]) -> Path:
        def work() -> Path:
            free = path()
            return put(free) or free

        return do(work, lambda _: None)

    return _tried(stem, mark, done, first)


def _tried(
    stem: str, mark: str, put: Callable[[Callable[[], Path]], Path], first: Sequence[Callable[[], Path]] = ()
) -> Path:
    """Return what `put` comes to with a free path in the first folder that takes it."""
    whys = []
    for folder in (*first, sessions_folder, _own_folder):
        try:
            path = put(partial(_free_path, folder, stem, mark))
            hops.note("disk", "%s goes on elsewhere, in %s", stem, path.name)
            return path
        except (SessionFileError, SlowError) as error:
            whys.append(str(error))
        except OSError as error:
            whys.append(str(error.strerror or error))
    raise NowhereError(f"no other place takes the session: {'; '.join(dict.fromkeys(whys))}")


def moved_words(path: Path) -> str:
    """Return what the crew is told once the session goes on at `path`."""
    name, folder = shown(path.name, 80), shown(str(path.parent), 160)
    return f"The whole session is on disk and goes on in {name}, in the folder {folder}."


def _own_folder() -> Path:
    return data_folder() / "sessions"


def _free_path(folder: Callable[[], Path], stem: str, mark: str) -> Path:
    start = shortened(stem, 80)
    base = start.rpartition(f"-{mark}-")[0] or start
    return free_path(folder(), lambda number: f"{base}-{mark}-{number}{SUFFIX}")
