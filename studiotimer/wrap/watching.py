"""The capture folder while a shoot runs: each new picture once, when it is finished; the folder is only read."""

from __future__ import annotations

import os
import stat
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path, PurePath

from studiotimer.session.clock import steady_seconds
from studiotimer.wrap.camera import Taken
from studiotimer.wrap.exif import PICTURES, NoTimeError, taken_of

PATIENCE = 15
"""How many looks a picture that cannot be read is given before it is taken for broken."""


@dataclass(frozen=True, slots=True)
class Came:
    """A picture that came into the folder: when its camera says it was taken, and the second it was first seen at."""

    name: str
    taken: Taken
    seen: float


@dataclass(frozen=True, slots=True)
class _Item:
    name: str
    inode: tuple[int, int]
    size: int
    changed_ns: int

    def as_before(self, other: _Item) -> bool:
        """Whether nothing was written since `other`, whatever it is called."""
        return (self.inode, self.size, self.changed_ns) == (other.inode, other.size, other.changed_ns)


@dataclass(slots=True)
class _Coming:
    item: _Item
    seen: float
    looks: int = 0


@dataclass(slots=True)
class _Known:
    item: _Item
    taken: Taken | None = None
    before: bool = False


@dataclass
class FolderWatch:
    """Looks into a folder; pictures there before the first look are not new.

    A picture counts once its size stands still and its EXIF time can be read. Renamed, or written anew with the same
    time, it is still the same picture; another one that was given the place on disk of a deleted one is new. What is
    no file (a link that leads nowhere, a pipe) is passed over. `now` gives seconds on a clock that nobody sets.
    """

    folder: Path
    now: Callable[[], float] = steady_seconds
    trouble: str | None = None
    unreadable: list[str] = field(default_factory=list)
    _begun: bool = False
    _by_inode: dict[tuple[int, int], _Known] = field(default_factory=dict)
    _by_name: dict[str, _Known] = field(default_factory=dict)
    _coming: dict[tuple[int, int], _Coming] = field(default_factory=dict)
    _frames: dict[str, list[tuple[str, Taken]]] = field(default_factory=dict)

    def look(self) -> list[Came]:
        """Return the pictures finished since the last look, in order of name; `trouble` says when it cannot look."""
        try:
            with os.scandir(self.folder) as listing:
                items = sorted(filter(None, map(_item, listing)), key=lambda item: item.name)
        except OSError as error:
            self.trouble = f"the capture folder {self.folder.name} cannot be read: {error.strerror}"
            return []
        self.trouble = None
        if not self._begun:
            self._begun = True
            for item in items:
                self._learn(_Known(item, before=True))
            return []
        there = {item.inode for item in items}
        self._by_inode = {inode: one for inode, one in self._by_inode.items() if inode in there}
        self._coming = {inode: one for inode, one in self._coming.items() if inode in there}
        return [came for item in items if not self._same(item) and (came := self._looked_at(item)) is not None]

    def _learn(self, known: _Known) -> None:
        self._by_inode[known.item.inode] = self._by_name[known.item.name] = known

    def _same(self, item: _Item) -> bool:
        """Whether a file is, without opening it, a picture that is known."""
        known = self._by_inode.get(item.inode)
        if known is not None and item.as_before(known.item):
            self._by_name[item.name] = known
            return True
        named = self._by_name.get(item.name)
        return named is not None and named.before

    def _looked_at(self, item: _Item) -> Came | None:
        coming = self._coming.get(item.inode)
        if coming is None or not item.as_before(coming.item):
            again = coming is not None and item.changed_ns >= coming.item.changed_ns and item.size >= coming.item.size
            self._coming[item.inode] = _Coming(item, coming.seen if coming is not None and again else self.now())
            return None
        coming.looks += 1
        try:
            taken = taken_of(self.folder / item.name)
        except (OSError, NoTimeError) as error:
            if coming.looks >= PATIENCE:
                self._learn(_Known(item))
                self.unreadable.append(f"{item.name}: {error if isinstance(error, NoTimeError) else error.strerror}")
            return None
        del self._coming[item.inode]
        named = self._by_name.get(item.name)
        self._learn(_Known(item, taken))
        if (named is not None and named.taken == taken) or self._of_a_frame(item.name, taken):
            return None
        return Came(item.name, taken, coming.seen)

    def _of_a_frame(self, name: str, taken: Taken) -> bool:
        """Whether a picture is another file of a frame that came: its raw file, or the JPEG beside that."""
        path = PurePath(name.casefold())
        others = self._frames.setdefault(path.stem, [])
        same = any(
            suffix != path.suffix and taken.local.replace(microsecond=0) == one.local.replace(microsecond=0)
            for suffix, one in others
        )
        others.append((path.suffix, taken))
        return same


def _item(entry: os.DirEntry[str]) -> _Item | None:
    """Return what tells a file from others; None for what is no picture file, or is going just now."""
    if PurePath(entry.name).suffix.lower() not in PICTURES or entry.name.startswith("."):
        return None
    try:
        about = os.stat(entry.path) if os.name == "nt" else entry.stat()  # noqa: PTH116 - an entry has no inode there
    except OSError:
        return None
    if not stat.S_ISREG(about.st_mode):
        return None
    return _Item(entry.name, (about.st_dev, about.st_ino), about.st_size, about.st_mtime_ns)
