"""Where the windows stood when they were last closed: four numbers each, and nothing that could be run."""

from __future__ import annotations

import threading
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from pathlib import Path

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtWidgets import QApplication, QWidget

from studiotimer.files import small_json
from studiotimer.places import where_kept
from studiotimer.session import small_files
from studiotimer.window import shelf

USUAL = QSize(1440, 900)
FILE = "window.json"
LARGEST = 65_536
FARTHEST = 100_000
NOTHING: dict[str, object] = {}
Change = Callable[[object], object]
_read: dict[Path, dict[str, object]] = {}
"""What files had when they were read or written last."""
_changes: dict[Path, list[tuple[str, Change]]] = {}
"""What is still to be written in them, by name and in order."""
_lock = threading.Lock()


def keep_place(window: QWidget, name: str) -> None:
    """Remember where a window stands, by its name."""
    place = window.normalGeometry() if window.isMaximized() else window.geometry()
    remember(f"{name}/place", [place.x(), place.y(), place.width(), place.height(), int(window.isMaximized())])


def put_in_place(window: QWidget, name: str) -> None:
    """Put a window where it last stood, if a monitor still is there; the first time in the middle."""
    place = kept(f"{name}/place")
    if isinstance(place, list) and _is_a_place(place):
        stood = QRect(*place[:4])
        if any(screen.availableGeometry().intersects(stood) for screen in QApplication.screens()):
            window.setGeometry(stood)
            if place[4]:
                window.setWindowState(window.windowState() | Qt.WindowState.WindowMaximized)
            return
    room = QApplication.primaryScreen().availableGeometry()
    middle = QRect(room.topLeft(), USUAL.boundedTo(room.size()))
    middle.moveCenter(room.center())
    window.setGeometry(middle)


def remember(name: str, value: object) -> None:
    """Keep a JSON value about the windows by its name; where nothing can be kept it is forgotten with the program."""
    alter(name, lambda _: value)


def alter(name: str, changed: Change) -> None:
    """Keep what `changed` makes of what is kept by a name, now and again when it is written: others may write too."""
    file = _file()
    with _lock:
        _changes.setdefault(file, []).append((name, changed))
    shelf.write(f"windows in {file}", lambda: _save(file))


def kept(name: str) -> object:
    """Return what is kept by a name; None where nothing is. The file is read once."""
    file = _file()
    if file not in _read:
        _read[file] = shelf.read(lambda: _values(file), {}, lambda late: _read.update({file: late}))
    with _lock:
        return _after(_read[file], _changes.get(file, [])).get(name)


def _save(file: Path) -> None:
    """Write what was changed over what the file has now; nothing, where that cannot be read."""
    with _lock:
        changes = list(_changes[file])

    def changed(there: dict[str, object]) -> dict[str, object]:
        return _after(there, changes)

    written = small_files.change(file, _values_of, NOTHING, "where the windows stood", changed, _as_they_are)
    if (values := written[0]) is not None:
        with _lock:
            _read[file] = values
            del _changes[file][: len(changes)]


def _as_they_are(values: dict[str, object]) -> dict[str, object]:
    return values


def _after(values: Mapping[str, object], changes: Sequence[tuple[str, Change]]) -> dict[str, object]:
    changed = dict(values)
    for name, change in changes:
        changed[name] = change(changed.get(name))
    return changed


def _values(file: Path) -> dict[str, object]:
    with suppress(OSError, ValueError):
        return _values_of(small_json(file, LARGEST))
    return {}


def _values_of(values: object) -> dict[str, object]:
    if not isinstance(values, dict):
        raise ValueError("it says nothing of windows")
    return values


def _is_a_place(place: list[object]) -> bool:
    numbers = [one for one in place if type(one) is int and abs(one) <= FARTHEST]
    return len(place) == len(numbers) == 5 and numbers[2] > 0 and numbers[3] > 0


def _file() -> Path:
    return where_kept()[0] / FILE
