"""The Qt window: reads state, makes calls; nothing below imports it."""

import builtins

from studiotimer.apart import fill_in

_IMPORT = builtins.__import__

fill_in()

import PySide6.QtCore  # noqa: E402, F401

# Qt for Python puts an import of its own in place, which reads the source of every module that is imported from then
# on, and keeps it, to see whether that asks for other names of Qt's functions. None of ours does, and pydantic cannot
# always be read so, and fails to load. No other thread may be loading anything here: it would put that import back.
builtins.__import__ = _IMPORT
