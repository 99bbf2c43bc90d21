"""The head of the Wrap page: which session, what can be done with it, and its headline figures."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QGridLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from studiotimer.prep.found import Fact
from studiotimer.window.flow import Deeds, turned
from studiotimer.window.style import button, label

NARROWEST = 640
"""Below this width, in logical pixels, the figures stand two in a row."""


class Head(QWidget):
    """Title, deeds and figures."""

    def __init__(self, deeds: Mapping[str, tuple[str, Callable[[], None]]]) -> None:
        super().__init__()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        row = self._row = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        row.setSpacing(6)
        titles = QVBoxLayout()
        titles.setSpacing(0)
        self.title = label("", "title", "session")
        self.subtitle = label("", "quiet", "when")
        titles.addWidget(self.title)
        titles.addWidget(self.subtitle)
        row.addLayout(titles, 1)
        self.deeds = Deeds(6)
        self.buttons: dict[str, QPushButton] = {}
        for words, (hint, deed) in deeds.items():
            self.buttons[words] = button(words, deed, "choice", hint=hint)
            self.deeds.add(self.buttons[words])
        row.addWidget(self.deeds)
        column.addLayout(row)
        self._facts = QGridLayout()
        self._facts.setVerticalSpacing(1)
        column.addLayout(self._facts)
        self._shown: list[tuple[QLabel, QLabel]] = []

    def offer(self, names: Collection[str]) -> None:
        """Show these deeds only."""
        for name, each in self.buttons.items():
            each.setVisible(name in names)
        self._lay_out()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._lay_out()

    def _lay_out(self) -> None:
        narrow = turned(self._row, self.width())
        self._facts.setHorizontalSpacing(12 if narrow else 28)
        columns = 2 if self.width() < NARROWEST else max(len(self._shown), 1)
        for place, (figure, caption) in enumerate(self._shown):
            row, column = divmod(place, columns)
            self._facts.addWidget(figure, 2 * row, column)
            self._facts.addWidget(caption, 2 * row + 1, column, Qt.AlignmentFlag.AlignTop)
        for column in range(self._facts.columnCount()):
            self._facts.setColumnStretch(column, int(column < columns))
        self.deeds.spread(narrow)

    def show_facts(self, facts: Sequence[Fact]) -> None:
        """Show the headline figures."""
        while len(self._shown) < len(facts):
            figure, caption = label("", "figure"), label("", "quiet")
            figure.setWordWrap(False)
            self._shown.append((figure, caption))
        self._lay_out()
        for place, (figure, caption) in enumerate(self._shown):
            there = place < len(facts)
            figure.setVisible(there)
            caption.setVisible(there)
            if there:
                figure.setText(facts[place].figure)
                caption.setText(facts[place].caption)
                figure.setAccessibleName(f"{facts[place].figure}: {facts[place].caption}")
