"""What is kept between sessions, read once all that was changed is written and told."""

from PySide6.QtCore import QCoreApplication

from studiotimer.session import memory
from studiotimer.window import keys, shelf
from studiotimer.window.settings import values


def settled():
    """Wait until everything is written, and take in what is told of it."""
    assert shelf.drained(30)
    QCoreApplication.processEvents()


def load_settings():
    settled()
    return values.load_settings()


def load_keys():
    settled()
    return keys.load_keys()


def load_memory():
    settled()
    return memory.load_memory()
