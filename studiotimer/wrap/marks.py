"""The frames marked as selects: a set of names in a list beside their session, in which one name changes at a time."""

from __future__ import annotations

import threading
from collections.abc import Iterable, Sequence
from pathlib import Path

from studiotimer.files import write_whole
from studiotimer.wrap.called import Called
from studiotimer.wrap.cells import to_csv
from studiotimer.wrap.frames import names_in

SUFFIX = ".selects.csv"


def list_of(session: Path) -> Path:
    """Return where the selects of the session at `session` are kept."""
    return session.with_suffix(SUFFIX)


def kept(session: Path) -> list[str]:
    """Return the names kept as selects, none where there is no list; raises FramesError when it cannot be read."""
    path = list_of(session)
    return names_in(path) if path.exists() else []


class Marks:
    """The selects of one session; may be asked from several threads.

    What was turned is kept in mind until the disk has it, and stored into the list as it stands then, so that names of
    other cards, and those another window marked, stay.
    """

    def __init__(self, session: Path) -> None:
        self.session = session
        self._waiting: list[tuple[str, bool, tuple[str, ...]]] = []
        self._turned: dict[str, bool] = {}
        self._lock = threading.Lock()
        self._storing = threading.Lock()

    @property
    def waiting(self) -> bool:
        """Whether something is not on the disk yet."""
        with self._lock:
            return bool(self._waiting)

    def turn(self, name: str, select: bool, frames: Sequence[str]) -> None:
        """Mark the frame called `name`, or take its mark away; `frames` are the names of all frames that are shown."""
        with self._lock:
            self._waiting.append((name, select, tuple(frames)))
            self._turned[name] = select

    def turned(self, name: str, before: bool) -> bool:
        """Return whether a frame is a select, by what was turned here; `before` where it was not."""
        with self._lock:
            return self._turned.get(name, before)

    def names(self) -> list[str]:
        """Return the names of the selects, those not on the disk yet among them; raises FramesError."""
        with self._lock:
            waiting = list(self._waiting)
        return _after(kept(self.session), waiting)

    def store(self) -> None:
        """Bring what was turned to the disk, whole or not at all.

        Raises OSError, and FramesError when the list that is there cannot be read: it is never written over then.
        """
        with self._storing:
            with self._lock:
                waiting = list(self._waiting)
            if not waiting:
                return
            names = _after(kept(self.session), waiting)
            write_whole(list_of(self.session), to_csv(("frame",), [(name,) for name in names]))
            with self._lock:
                del self._waiting[: len(waiting)]


def _after(names: Iterable[str], turns: Sequence[tuple[str, bool, tuple[str, ...]]]) -> list[str]:
    """Return the names after some were turned; a name that stood for several frames goes on standing for the others."""
    found = dict.fromkeys(names)
    for name, select, frames in turns:
        if select:
            found.setdefault(name)
            continue
        called = Called(frames)
        for each in [one for one in found if name in called.by(one)]:
            del found[each]
            found.update(dict.fromkeys(other for other in called.by(each) if other != name))
    return list(found)
