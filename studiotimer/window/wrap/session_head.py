"""The head of the Wrap page: which session, what can be done with it, and its headline figures."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QFrame, QGridLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from studiotimer.prep.found import Fact
from studiotimer.window import theme
from studiotimer.window.flow import Deeds, turned
from studiotimer.window.style import button, label
from studiotimer.window.wrap.findings_view import Findings
from studiotimer.wrap.report import Report

STRONG = "Write report…"
"""The one strong button of the page."""
NARROWEST = 640
"""Below this width, in logical pixels, the figures stand two in a row."""


class Head(QWidget):
    """Title, deeds and figures; the buttons of the deeds `elsewhere` are made, for the page to place."""

    def __init__(self, deeds: Mapping[str, tuple[str, Callable[[], None]]], elsewhere: Collection[str] = ()) -> None:
        super().__init__()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(theme.GAP)
        row = self._row = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        row.setSpacing(theme.GAP)
        titles = QVBoxLayout()
        titles.setSpacing(0)
        self.title = label("", "title", "session")
        self.subtitle = label("", "quiet", "when")
        titles.addWidget(self.title)
        titles.addWidget(self.subtitle)
        row.addLayout(titles, 1)
        self.deeds = Deeds(theme.GAP)
        self.buttons: dict[str, QPushButton] = {}
        for words, (hint, deed) in deeds.items():
            self.buttons[words] = button(words, deed, "main" if words == STRONG else "", hint=hint)
            if words not in elsewhere:
                self.deeds.add(self.buttons[words])
        row.addWidget(self.deeds)
        column.addLayout(row)
        self.findings = Findings()
        column.addWidget(self.findings)
        self._rules = [QFrame(), QFrame()]
        for rule in self._rules:
            rule.setProperty("role", "rule")
            rule.hide()
        column.addWidget(self._rules[0])
        self._facts = QGridLayout()
        self._facts.setVerticalSpacing(1)
        column.addLayout(self._facts)
        column.addWidget(self._rules[1])
        self._shown: list[tuple[QLabel, QLabel, QLabel]] = []

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
        self._facts.setHorizontalSpacing(2 * theme.GAP if narrow else theme.GUTTER)
        columns = 2 if self.width() < NARROWEST else max(len(self._shown), 1)
        for place, lines in enumerate(self._shown):
            row, column = divmod(place, columns)
            for below, line in enumerate(lines):
                self._facts.addWidget(line, 3 * row + below, column, Qt.AlignmentFlag.AlignTop)
        for column in range(self._facts.columnCount()):
            self._facts.setColumnStretch(column, int(column < columns))
        self.deeds.spread(narrow)

    def show_report(self, report: Report) -> None:
        """Show what a session is called, what it showed, and its figures."""
        self.title.setText(report.title)
        self.subtitle.setText(report.subtitle)
        self.findings.show_report(report)
        for rule in self._rules:
            rule.show()
        self._show_facts(report.facts)

    @property
    def figures(self) -> list[tuple[str, str, str]]:
        """The figures in view, each with what it is and the line under it."""
        return [(f.text(), key.text(), note.text()) for key, f, note in self._shown if not f.isHidden()]

    def _show_facts(self, facts: Sequence[Fact]) -> None:
        while len(self._shown) < len(facts):
            lines = label("", "quiet"), label("", "figure"), label("", "quiet")
            lines[1].setWordWrap(False)
            self._shown.append(lines)
        self._lay_out()
        for place, lines in enumerate(self._shown):
            there = place < len(facts)
            for line in lines:
                line.setVisible(there)
            if there:
                key, figure, note = lines
                key.setText(facts[place].caption)
                figure.setText(facts[place].figure)
                note.setText(facts[place].note)
                figure.setAccessibleName(f"{facts[place].caption}: {facts[place].figure}")
