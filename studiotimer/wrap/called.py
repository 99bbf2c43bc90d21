"""What a frame can be called by: its whole name, its name without folders, and without its ending."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import PurePosixPath

from studiotimer.wrap.exif import PICTURES


class Called:
    """Frames by what people and other programs call them; the most exact way of calling counts alone."""

    def __init__(self, names: Iterable[str]) -> None:
        self._ways: tuple[dict[str, list[str]], ...] = ({}, {}, {}, {}, {})
        for name in dict.fromkeys(names):
            path = PurePosixPath(name.casefold())
            keys = (name, str(path), path.name, _bare(path), path.stem)
            for way, key in zip(self._ways, keys, strict=True):
                way.setdefault(key, []).append(name)

    def by(self, name: str) -> list[str]:
        """Return the frames called `name`; a raw file and its JPEG, which are one frame, call it alike."""
        path = PurePosixPath(name.casefold())
        keys = [name, str(path), str(path), str(path), str(path)]
        if path.suffix in PICTURES:
            keys[3:] = [_bare(path)] * 2
        return next((found for way, key in zip(self._ways, keys, strict=True) if (found := way.get(key))), [])


def _bare(path: PurePosixPath) -> str:
    return str(path)[: len(str(path)) - len(path.suffix)]
