"""The capture folder while a shoot runs: each new picture once, when it is finished; the folder is only read."""

from __future__ import annotations

import datetime as dt
import os
from dataclasses import dataclass, field
from pathlib import Path

from studiotimer.wrap.camera import Taken
from studiotimer.wrap.exif import PICTURES, NoTimeError, taken_of

PATIENCE = 15
"""How many looks a picture that cannot be read is given before it is taken for broken."""

Identity = tuple[int, int]


@dataclass(frozen=True, slots=True)
class NewFrame:
    """A picture that came into the folder, and the instant it was taken at (UTC)."""

    name: str
    at: dt.datetime


@dataclass(slots=True)
class _Coming:
    size: int
    changed_ns: int
    looks: int = 0


@dataclass
class FolderWatch:
    """Looks into a folder; pictures there before the first look are not new.

    `ahead_s` is by how much the camera's clock is ahead of this machine's. A picture counts once its size stands
    still and its EXIF time can be read; renamed afterwards it is still the same picture.
    """

    folder: Path
    ahead_s: float = 0.0
    trouble: str | None = None
    unreadable: list[str] = field(default_factory=list)
    _known: set[Identity] | None = None
    _coming: dict[Identity, _Coming] = field(default_factory=dict)

    def look(self) -> list[NewFrame]:
        """Return the pictures finished since the last look, in order of time; `trouble` says when it cannot look."""
        try:
            with os.scandir(self.folder) as listing:
                there = {(item.name, *_state(item)) for item in listing if Path(item.name).suffix.lower() in PICTURES}
        except OSError as error:
            self.trouble = f"the capture folder {self.folder.name} cannot be read: {error.strerror}"
            return []
        self.trouble = None
        if self._known is None:
            self._known = {identity for _, identity, _, _ in there}
            return []
        frames = []
        for name, identity, size, changed_ns in sorted(there):
            if identity not in self._known and (frame := self._looked_at(name, identity, size, changed_ns)):
                frames.append(frame)
        present = {identity for _, identity, _, _ in there}
        self._coming = {identity: one for identity, one in self._coming.items() if identity in present}
        return sorted(frames, key=lambda frame: frame.at)

    def _looked_at(self, name: str, identity: Identity, size: int, changed_ns: int) -> NewFrame | None:
        assert self._known is not None
        before = self._coming.get(identity)
        if before is None or (before.size, before.changed_ns) != (size, changed_ns):
            self._coming[identity] = _Coming(size, changed_ns)
            return None
        before.looks += 1
        try:
            taken = taken_of(self.folder / name)
        except (OSError, NoTimeError) as error:
            if before.looks >= PATIENCE:
                self._known.add(identity)
                self.unreadable.append(f"{name}: {error if isinstance(error, NoTimeError) else error.strerror}")
            return None
        self._known.add(identity)
        return NewFrame(name, instant(taken) - dt.timedelta(seconds=self.ahead_s))


def instant(taken: Taken) -> dt.datetime:
    """Return when a picture was taken by the camera's clock; one that names no offset is set to this machine's zone."""
    if taken.offset is not None:
        return taken.instant(None, "")
    return taken.local.astimezone(dt.UTC)


def _state(item: os.DirEntry[str]) -> tuple[Identity, int, int]:
    """Return what tells a file from others whatever it is called, its size, and when it was last written."""
    about = item.stat()
    if about.st_ino:
        return (about.st_dev, about.st_ino), about.st_size, about.st_mtime_ns
    return (hash(item.name), 0), about.st_size, about.st_mtime_ns
