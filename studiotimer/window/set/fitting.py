"""A cue in the room there is: a long name is shortened, the time never."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QFontMetricsF
from PySide6.QtWidgets import QWidget


def fitted(words: str, time: str, widget: QWidget) -> str:
    """Return `words` and `time` as `widget` has room for them on one line."""
    return fitted_to(words, time, QFontMetricsF(widget.font()), widget.width())


def fitted_to(words: str, time: str, metrics: QFontMetricsF, room: float) -> str:
    """Return `words` and `time`, at most `room` wide, unless `time` alone is wider."""
    after = f" {time}" if time else ""
    left = room - metrics.horizontalAdvance(after)
    return metrics.elidedText(words, Qt.TextElideMode.ElideRight, left) + after if left > 0 else time
