"""Where the windows stood when they were last closed: four numbers each, and nothing that could be run."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtWidgets import QApplication, QWidget

from studiotimer.files import small_json
from studiotimer.places import config_folder
from studiotimer.session import keeping

USUAL = QSize(1440, 900)
FILE = "window.json"
LARGEST = 65_536
FARTHEST = 100_000


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
    """Keep a JSON value about the windows by its name; where nothing can be kept it is forgotten."""
    keeping.save(_file(), _all() | {name: value})


def kept(name: str) -> object:
    """Return what is kept by a name; None where nothing is."""
    return _all().get(name)


def _all() -> dict[str, object]:
    try:
        values = small_json(_file(), LARGEST)
    except (OSError, ValueError):
        return {}
    return values if isinstance(values, dict) else {}


def _is_a_place(place: list[object]) -> bool:
    numbers = [one for one in place if type(one) is int and abs(one) <= FARTHEST]
    return len(place) == len(numbers) == 5 and numbers[2] > 0 and numbers[3] > 0


def _file() -> Path:
    return config_folder() / FILE
