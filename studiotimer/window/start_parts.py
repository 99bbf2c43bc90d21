"""What the start page is made of: the looks to choose from, the demos' rows, the offer of a first try."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLayout,
    QPushButton,
    QSizePolicy,
    QStyle,
    QStyleOptionButton,
    QVBoxLayout,
)

from studiotimer.prep.looks import Look
from studiotimer.session.reading import title_of
from studiotimer.window import theme
from studiotimer.window.demos import demos
from studiotimer.window.look_words import LOOK_WORDS
from studiotimer.window.style import button, label

LOOK_HEIGHT = 56
DEEDS = {"Plan": "its plan, in Prep", "Try": "stops before its first hero: from there, the calls are yours",
         "Watch": "plays the day 20 times as fast"}  # fmt: skip


class LookButton(QPushButton):
    """A look to choose, with what it is under its name."""

    def __init__(self, look: Look) -> None:
        super().__init__(look)
        self.setCheckable(True)
        self._name, _, self._about = LOOK_WORDS[look].partition(": ")
        self.colours: theme.Theme = theme.LIGHT
        self.setToolTip(LOOK_WORDS[look])
        self.setAccessibleName(f"look {LOOK_WORDS[look]}")
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        return QSize(150, LOOK_HEIGHT)

    def minimumSizeHint(self) -> QSize:
        return QSize(100, LOOK_HEIGHT)

    def paintEvent(self, event: QPaintEvent) -> None:
        option = QStyleOptionButton()
        self.initStyleOption(option)
        option.text = ""
        painter = QPainter(self)
        self.style().drawControl(QStyle.ControlElement.CE_PushButton, option, painter, self)
        inner = QRectF(self.rect()).adjusted(14, 8, -8, -8)
        painter.setPen(self.colours.colour("ground" if self.isChecked() else "text"))
        painter.setFont(theme.font(theme.BODY, "strong"))
        painter.drawText(inner, Qt.AlignmentFlag.AlignTop, self._name)
        small = theme.font(theme.SMALL)
        painter.setFont(small)
        if not self.isChecked():
            painter.setPen(self.colours.colour("quiet"))
        painter.drawText(inner, Qt.AlignmentFlag.AlignBottom, self._about)


def rule() -> QFrame:
    """Return a line between two rows."""
    line = QFrame()
    line.setProperty("role", "rule")
    return line


def asked(words: str, field: QLayout) -> QVBoxLayout:
    """Return a field under what it asks."""
    column = QVBoxLayout()
    column.setSpacing(4)
    column.addWidget(label(words, "ask"))
    column.addLayout(field)
    return column


def first_try(practise: Callable[[], None], not_now: Callable[[], None]) -> QFrame:
    """Return the offer of a first try."""
    panel = QFrame()
    panel.setProperty("role", "how")
    column = QVBoxLayout(panel)
    column.setContentsMargins(18, 14, 18, 14)
    column.setSpacing(6)
    column.addWidget(label("First time here?", "strong"))
    column.addWidget(label("One minute and six key presses show the calls.", "quiet"))
    row = QHBoxLayout()
    row.setSpacing(12)
    row.addWidget(button("Try it for a minute", practise, "ask"))
    row.addWidget(button("Cancel", not_now, "link", hint="it stays at the end of the demos"))
    row.addStretch(1)
    column.addLayout(row)
    return panel


def demo_rows(column: QVBoxLayout, deeds: dict[str, Callable[[Path], None]]) -> list[QPushButton]:
    """Put a row for each demo into a column, with a link for each deed; return the links."""
    links = []
    for path in demos():
        words = title_of(path)
        row = QHBoxLayout()
        row.setSpacing(4)
        row.addWidget(label(words), 1)
        for verb, deed in deeds.items():
            link = button(verb, partial(deed, path), "link", f"{verb.lower()} the demo {words}", DEEDS[verb])
            links.append(link)
            row.addWidget(link)
        column.addLayout(row)
        column.addWidget(rule())
    return links
