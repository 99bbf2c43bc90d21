"""The head of the Prep page: what is planned, and what can be done with the plan."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from studiotimer import units
from studiotimer.prep.draft import Values
from studiotimer.window.flow import Deeds, turned
from studiotimer.window.prep.units_switch import UnitsSwitch
from studiotimer.window.style import button, label

WORKING = "working it out…"
SIDES = ("Results", "Plan")


class Head(QWidget):
    """The plan's name and day; units, open, save, begin, print; with little room, the way to the page's other side."""

    open_wanted = Signal()
    save_wanted = Signal()
    begin_wanted = Signal()
    print_wanted = Signal()
    units_chosen = Signal(str)
    side_wanted = Signal()

    def __init__(self, style: units.Style) -> None:
        super().__init__()
        row = self._row = QBoxLayout(QBoxLayout.Direction.LeftToRight, self)
        row.setContentsMargins(0, 0, 8, 0)
        row.setSpacing(8)
        words = QVBoxLayout()
        words.setSpacing(0)
        self.title = label("", "title", "what is planned")
        self.about = label("", "quiet", "day of the shoot")
        for each in (self.title, self.about):
            each.setWordWrap(False)
            each.setMinimumWidth(1)
            each.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
            words.addWidget(each)
        row.addLayout(words, 1)
        self.units = UnitsSwitch(style)
        self.units.chosen.connect(self.units_chosen)
        self.open = button("Open", self.open_wanted.emit, hint="Ctrl+O", name="open a plan")
        self.save = button("Save", self.save_wanted.emit, hint="Ctrl+S", name="save the plan")
        self.begin = button("Begin the shoot", self.begin_wanted.emit, hint="a new session from this plan")
        self.print = button("Print the sheet", self.print_wanted.emit, "main", hint="Ctrl+P")
        self.side = button(SIDES[0], self.side_wanted.emit, hint="F6")
        self.side.hide()
        self.deeds = Deeds(8)
        for deed in (self.side, self.units, self.open, self.save, self.begin, self.print):
            self.deeds.add(deed)
        row.addWidget(self.deeds)
        self._plan, self._working = "", ""

    def show_side(self, narrow: bool, other: bool) -> None:
        """Offer the side of the page that is out of view, where only one of them has room."""
        self.side.setText(SIDES[other])
        self.side.setAccessibleName(f"show {SIDES[other].lower()}")
        self.side.setVisible(narrow)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._lay_out()

    def _lay_out(self) -> None:
        self.deeds.spread(turned(self._row, self.width()))

    def show_plan(self, draft: Values, path: Path | None, changed: bool) -> None:
        """Show what is planned, when, and whether it is saved."""
        self.title.setText(str(draft.get("title") or "Untitled shoot"))
        state = "not saved yet" if path is None else f"{path.name}, changed" if changed else path.name
        self._plan = f"{_day(str(draft.get('date', '')))}, {state}"
        self._show()

    def working(self, busy: bool) -> None:
        """Show whether results are being worked out."""
        self._working = WORKING if busy else ""
        self._show()

    def _show(self) -> None:
        self.about.setText(",  ".join(part for part in (self._plan, self._working) if part))


def _day(text: str) -> str:
    try:
        day = dt.date.fromisoformat(text)
    except ValueError:
        return "no day yet"
    return units.date_words(day)
