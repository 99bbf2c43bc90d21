"""What is kept between sessions, read once all that was changed is written and told."""

from PySide6.QtCore import QCoreApplication

from studiotimer.places import config_folder
from studiotimer.session import memory, small_files
from studiotimer.window import keys, shelf
from studiotimer.window.settings import values


def settled():
    """Wait until everything is written, and take in what is told of it."""
    assert shelf.drained(90)
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


def save_settings(settings):
    """Write the settings as if that was kept before."""
    assert small_files.save(values.settings_file(), values._values_of(settings)) is None


def save_keys(of):
    assert small_files.save(config_folder() / keys.FILE, of.changed()) is None


def save_memory(learned):
    assert small_files.save(memory.memory_file(), memory.values_of(learned)) is None
