"""The small pieces the settings are made of: buttons, words, numbers stepped up and down."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLayout,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from studiotimer.window.settings.remembered import Remembered
from studiotimer.window.spoken import SpokenLabel

SPACE = 6


class Section(QWidget):
    """One group of settings."""

    def __init__(self, kept: Remembered, whole: bool = False) -> None:
        """Make it low and wide, to stand under a clock, or, with `whole`, for a page of its own."""
        super().__init__()
        self.kept, self.whole = kept, whole
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 0, 0, 0)
        self.column.setSpacing(SPACE)

    def show_kept(self) -> None:
        """Show what is kept now."""
        raise NotImplementedError


def press(words: str, deed: Callable[[], object], name: str = "", on: bool | None = None) -> QPushButton:
    """Return a button; Return presses it as Space does. With `on` it stays pressed or not."""
    button = QPushButton(words)
    button.setAutoDefault(True)
    button.setAccessibleName(name or words)
    if on is not None:
        button.setCheckable(True)
        button.setChecked(on)
    button.clicked.connect(lambda _=False: deed())
    return button


def say(words: str = "", role: str = "", name: str = "", news: bool = False) -> QLabel:
    """Return plain words; `name` is what a screen reader calls them, and `news` are told when they change."""
    label = SpokenLabel(name, words, news)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setProperty("role", role)
    return label


def row(*parts: QWidget, wide: QWidget | None = None) -> QHBoxLayout:
    """Return parts side by side; the one that is `wide` takes the room that is left, else it stays behind them."""
    line = QHBoxLayout()
    line.setSpacing(SPACE)
    for part in parts:
        line.addWidget(part, 1 if part is wide else 0)
    if wide is None:
        line.addStretch(1)
    return line


def ruled(table: QGridLayout, *parts: QWidget) -> None:
    """Put a row into a table of a page: what it is, its control, and what that does; a line below it."""
    place = table.rowCount()
    for number, part in enumerate(parts):
        table.addWidget(part, place, number, Qt.AlignmentFlag.AlignVCenter)
    line = QFrame()
    line.setProperty("role", "rule")
    table.addWidget(line, place + 1, 0, 1, -1)


def quiet(words: str) -> QLabel:
    """Return a quiet line that wraps."""
    line = say(words, "quiet")
    line.setWordWrap(True)
    return line


def halves(*buttons: QPushButton) -> QFrame:
    """Return buttons of which one is pressed in one piece."""
    frame = QFrame()
    frame.setProperty("role", "halves")
    frame.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
    line = QHBoxLayout(frame)
    line.setContentsMargins(3, 3, 3, 3)
    line.setSpacing(0)
    for button in buttons:
        button.setProperty("role", "half")
        line.addWidget(button)
    return frame


def column(*parts: QWidget) -> QWidget:
    """Return parts under each other."""
    held = QWidget()
    inside = QVBoxLayout(held)
    inside.setContentsMargins(0, 0, 0, 0)
    inside.setSpacing(SPACE)
    for part in parts:
        inside.addWidget(part)
    return held


class Stepped(QWidget):
    """A value between a button for less and one for more; a held button goes on."""

    def __init__(self, name: str, step: Callable[[int], object], less: str = "less", more: str = "more") -> None:
        super().__init__()
        line = QHBoxLayout(self)
        line.setContentsMargins(0, 0, 0, 0)
        line.setSpacing(SPACE)
        self._name = name
        self.less = press("−", lambda: step(-1), f"{name}, {less}")
        self.more = press("+", lambda: step(1), f"{name}, {more}")
        self.value = say()
        self.value.setAlignment(Qt.AlignmentFlag.AlignCenter)
        for button in (self.less, self.more):
            going_on(button)
        for part in (self.less, self.value, self.more):
            line.addWidget(part)

    def show_value(self, words: str) -> None:
        """Show the value."""
        self.value.setText(words)
        self.value.setAccessibleName(f"{self._name} {words}")


def going_on(button: QPushButton) -> None:
    """Let a button go on while it is held."""
    button.setAutoRepeat(True)
    button.setAutoRepeatInterval(120)


def cleared(layout: QLayout) -> None:
    """Take everything out of a layout."""
    while (item := layout.takeAt(0)) is not None:
        if (widget := item.widget()) is not None:
            widget.hide()
            widget.deleteLater()


def grid(gap: int = SPACE) -> QGridLayout:
    """Return an empty grid."""
    made = QGridLayout()
    made.setHorizontalSpacing(gap * 2)
    made.setVerticalSpacing(gap)
    return made
