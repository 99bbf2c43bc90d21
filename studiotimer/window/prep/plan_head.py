"""The head of the Prep page: what is planned, and what can be done with the plan."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from studiotimer import units
from studiotimer.prep.draft import Values
from studiotimer.window.flow import Deeds, turned
from studiotimer.window.prep.units_switch import UnitsSwitch
from studiotimer.window.style import button, label
from studiotimer.window.tips import tip

WORKING = "working it out…"
LEAST = 120
SIDES = ("Results", "Plan")


class Head(QWidget):
    """The plan's name and day; units, open, save, print, begin; with little room, the way to the page's other side."""

    open_wanted = Signal()
    save_wanted = Signal()
    begin_wanted = Signal()
    print_wanted = Signal()
    units_chosen = Signal(str)
    side_wanted = Signal()

    def __init__(self, style: units.Style) -> None:
        super().__init__()
        row = self._row = QBoxLayout(QBoxLayout.Direction.LeftToRight, self)
        row.setContentsMargins(0, 0, 0, 0)
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
        self.open = button("Open…", self.open_wanted.emit, hint="Ctrl+O", name="open a plan")
        self.save = button("Save", self.save_wanted.emit, hint="Ctrl+S", name="save the plan")
        self.begin = button("Begin the shoot", self.begin_wanted.emit, "main", hint="a new session from this plan")
        self.print = button("Run sheet…", self.print_wanted.emit, hint="Ctrl+P", name="see and print the run sheet")
        self.side = button(SIDES[0], self.side_wanted.emit, hint="F6")
        self.side.hide()
        self.deeds = Deeds(8)
        for deed in (self.side, self.units, self.open, self.save, self.print, self.begin):
            self.deeds.add(deed)
        row.addWidget(self.deeds)
        self._title, self._said, self._working = "", [""], ""
        self._lay_out()

    def show_side(self, narrow: bool, other: bool) -> None:
        """Offer the side of the page that is out of view, where only one of them has room."""
        self.side.setText(SIDES[other])
        self.side.setAccessibleName(f"show {SIDES[other].lower()}")
        self.side.setVisible(narrow)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._lay_out()
        self._show()

    def _lay_out(self) -> None:
        self.deeds.spread(turned(self._row, self.width()))

    def show_plan(self, draft: Values, path: Path | None, changed: bool, saved: dt.datetime | None) -> None:
        """Show what is planned and when, whether it is saved, and at what time it was."""
        self._title = str(draft.get("title") or "Untitled shoot")
        self._said = _said(str(draft.get("date", "")), str(draft.get("call_time") or ""), path, changed, saved)
        self._show()

    def working(self, busy: bool) -> None:
        """Show whether results are being worked out."""
        self._working = WORKING if busy else ""
        self._show()

    def _show(self) -> None:
        """Show the title as far as it has room, and the longest form of the rest that has."""
        metrics, wide = self.title.fontMetrics(), self.title.width()
        self.title.setText(metrics.elidedText(self._title, Qt.TextElideMode.ElideRight, max(wide, LEAST)))
        self.title.setToolTip(tip(self._title) if self.title.text() != self._title else "")
        forms = [" · ".join(part for part in (form, self._working) if part) for form in self._said]
        metrics, wide = self.about.fontMetrics(), max(self.about.width(), LEAST)
        self.about.setText(next((form for form in forms if metrics.horizontalAdvance(form) <= wide), forms[-1]))
        self.about.setToolTip(tip(forms[0]))


def _said(date: str, call: str, path: Path | None, changed: bool, saved: dt.datetime | None) -> list[str]:
    """Return day, call time and whether the plan is saved, in longer and shorter forms."""
    try:
        day = dt.date.fromisoformat(date)
    except ValueError:
        days = ["no day yet"] * 2
    else:
        days = [units.date_words(day), f"{day:%a} {day.day} {day:%b}"]
    called = [f"call time {call}", call] if call else ["", ""]
    if path is None:
        states = ["not saved yet"] * 2
    elif changed:
        states = [f"changed since it was saved in {path.name}", "changed, not saved"]
    else:
        at = f" at {saved:%H:%M}" if saved else ""
        states = [f"saved in {path.name}{at}", f"saved{at}"]
    forms = ((0, 0, 0), (0, 0, 1), (1, 1, 0), (1, 1, 1))
    return [" · ".join(filter(None, (days[d], called[c], states[s]))) for d, c, s in forms]
