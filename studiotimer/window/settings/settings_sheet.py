"""All settings on one page in two columns, what each does beside it."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QFrame, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from studiotimer.window import theme
from studiotimer.window.flow import Scrolled, turned
from studiotimer.window.settings.setting_parts import Section, say

COLUMNS = (("Display", "Sound"), ("Learned", "Folders"))
HEADS = {
    "Display": ("Units and display", ""), "Sound": ("Sound", ""), "Folders": ("Folders", ""),
    "Learned": ("Learned", "how much longer or shorter than forecast each mix lasted"),
    "Keys": ("Keys", ""),
}  # fmt: skip
SAID = "Every change holds at once and is kept on this machine"


class SettingsSheet(QWidget):
    """A head with the way back and what can be undone; the sections below it, of which only the page scrolls."""

    def __init__(self, sections: Mapping[str, Section], undo: QPushButton, back: QPushButton, message: QWidget) -> None:
        super().__init__()
        inside = QWidget()
        self.area = Scrolled(inside, "the settings")
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(theme.GAP)
        titles = QVBoxLayout()
        titles.setSpacing(0)
        titles.addWidget(say("Settings", "title"))
        titles.addWidget(say(SAID, "quiet"))
        head = QHBoxLayout()
        head.setContentsMargins(0, 0, theme.MARGIN, 0)
        head.setSpacing(theme.GAP)
        head.addLayout(titles, 1)
        back.setProperty("role", "main")
        head.addWidget(undo)
        head.addWidget(back)
        whole.addLayout(head)
        whole.addWidget(message)
        whole.addWidget(self.area, 1)
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, theme.MARGIN - theme.BAR, 0)
        column.setSpacing(2 * theme.GAP)
        self._sides = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        self._sides.setSpacing(theme.GUTTER)
        for names in COLUMNS:
            side = QVBoxLayout()
            side.setSpacing(2 * theme.GAP)
            for name in names:
                side.addLayout(_headed(name, sections[name]))
            side.addStretch(1)
            self._sides.addLayout(side, 1)
        column.addLayout(self._sides)
        column.addLayout(_headed("Keys", sections["Keys"]))
        column.addStretch(1)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        turned(self._sides, self.width())


def _headed(name: str, section: Section) -> QVBoxLayout:
    """Return a section under its name."""
    words, about = HEADS[name]
    column = QVBoxLayout()
    column.setSpacing(theme.GAP)
    row = QHBoxLayout()
    row.setSpacing(theme.GAP)
    row.addWidget(say(words, "strong"))
    row.addWidget(say(about, "quiet"))
    row.addStretch(1)
    column.addLayout(row)
    line = QFrame()
    line.setProperty("role", "rule")
    column.addWidget(line)
    column.addWidget(section)
    return column
