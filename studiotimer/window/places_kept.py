"""Where the windows stood when they were last closed."""

from __future__ import annotations

from PySide6.QtCore import QRect, QSettings, QSize
from PySide6.QtWidgets import QApplication, QWidget

from studiotimer.places import config_folder

USUAL = QSize(1440, 900)


def keep_place(window: QWidget, name: str) -> None:
    """Remember where a window stands, by its name."""
    _settings().setValue(f"{name}/geometry", window.saveGeometry())


def put_in_place(window: QWidget, name: str, second_monitor: bool = False) -> None:
    """Put a window where it last stood; the first time in the middle, or filling a second monitor if there is one."""
    geometry = _settings().value(f"{name}/geometry")
    if geometry is not None and window.restoreGeometry(geometry):
        return
    screens = QApplication.screens()
    main = QApplication.primaryScreen()
    other = next((screen for screen in screens if screen is not main), None)
    if second_monitor and other is not None:
        window.setGeometry(other.availableGeometry())
        return
    room = main.availableGeometry()
    size = USUAL.boundedTo(room.size())
    place = QRect(room.topLeft(), size)
    place.moveCenter(room.center())
    window.setGeometry(place)


def _settings() -> QSettings:
    return QSettings(str(config_folder() / "window.ini"), QSettings.Format.IniFormat)
