"""Where the windows stood when they were last closed."""

from __future__ import annotations

from PySide6.QtCore import QRect, QSettings, QSize
from PySide6.QtWidgets import QApplication, QWidget

from studiotimer.places import config_folder

USUAL = QSize(1440, 900)


def keep_place(window: QWidget, name: str) -> None:
    """Remember where a window stands, by its name."""
    _settings().setValue(f"{name}/geometry", window.saveGeometry())


def put_in_place(window: QWidget, name: str) -> None:
    """Put a window where it last stood; the first time in the middle."""
    geometry = _settings().value(f"{name}/geometry")
    if geometry is not None and window.restoreGeometry(geometry):
        return
    room = QApplication.primaryScreen().availableGeometry()
    size = USUAL.boundedTo(room.size())
    place = QRect(room.topLeft(), size)
    place.moveCenter(room.center())
    window.setGeometry(place)


def remember(name: str, value: object) -> None:
    """Keep something about the windows by its name."""
    _settings().setValue(name, value)


def kept(name: str) -> object:
    """Return what is kept by a name; None where nothing is."""
    return _settings().value(name)


def _settings() -> QSettings:
    return QSettings(str(config_folder() / "window.ini"), QSettings.Format.IniFormat)
