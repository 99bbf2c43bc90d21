"""What the start page is made of: the looks to choose from, the questions, the offer of a first try."""

from __future__ import annotations

from collections.abc import Callable

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
from studiotimer.window import theme
from studiotimer.window.look_words import LOOK_WORDS
from studiotimer.window.style import button, label

LOOK_HEIGHT = 56


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
    column.setContentsMargins(2 * theme.GAP, 2 * theme.GAP, 2 * theme.GAP, 2 * theme.GAP)
    column.setSpacing(theme.GAP)
    column.addWidget(label("First time here?", "strong"))
    column.addWidget(label("A minute, six steps: what to call and when.", "quiet"))
    row = QHBoxLayout()
    row.setSpacing(2 * theme.GAP)
    row.addWidget(button("Try it for a minute", practise, "ask"))
    row.addWidget(button("Cancel", not_now, "link", hint="it stays at the end of the demos"))
    row.addStretch(1)
    column.addLayout(row)
    return panel
