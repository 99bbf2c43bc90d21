"""What follows from the plan, live beside it: figures, shots, what if, run sheet, cautions, who brings what."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QSize, Qt, Signal
from PySide6.QtWidgets import QFrame, QGridLayout, QPlainTextEdit, QVBoxLayout, QWidget

from studiotimer.prep.cautions import LIMITS
from studiotimer.prep.checklist import Lists
from studiotimer.prep.results import Results
from studiotimer.thermal.charge import CAUTIONS, CAUTIONS_SHORT
from studiotimer.window.prep.facts_row import Figures
from studiotimer.window.prep.fold import Fold
from studiotimer.window.prep.messages_view import Messages
from studiotimer.window.prep.sheet import escaped
from studiotimer.window.prep.trial_line import TrialLine
from studiotimer.window.prep.what_if import WhatIf
from studiotimer.window.prep.will_it_work import WorkTable
from studiotimer.window.spoken import SpokenLabel
from studiotimer.window.style import button, label
from studiotimer.window.theme import SMALL, Theme

LIST_HEIGHT = 190
LEAST_WIDTH = 360
MOST_NOTICES = 4


class Checklist(QWidget):
    """Who brings what: a list to write in for each."""

    edited = Signal(object)

    def __init__(self) -> None:
        super().__init__()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(14)
        self._grid.setVerticalSpacing(6)
        column.addLayout(self._grid)
        self.lists: dict[str, QPlainTextEdit] = {}
        self.again = button("Back to the lists as shipped", lambda: self.edited.emit(None), "link")
        column.addWidget(self.again, 0, Qt.AlignmentFlag.AlignLeft)

    def show_lists(self, lists: Lists, own: bool) -> None:
        """Show the lists; `own` when the plan has its own."""
        self.again.setVisible(own)
        if list(lists) != list(self.lists):
            self._build(list(lists))
        for who, items in lists.items():
            if self._items(who) != items:
                self.lists[who].blockSignals(True)
                self.lists[who].setPlainText("\n".join(items))
                self.lists[who].blockSignals(False)

    def _items(self, who: str) -> list[str]:
        return [line.strip() for line in self.lists[who].toPlainText().splitlines() if line.strip()]

    def _build(self, names: list[str]) -> None:
        while (item := self._grid.takeAt(0)) is not None:
            if (old := item.widget()) is not None:
                old.deleteLater()
        self.lists.clear()
        for number, who in enumerate(names):
            editor = QPlainTextEdit()
            editor.setTabChangesFocus(True)
            editor.setFixedHeight(LIST_HEIGHT)
            editor.setAccessibleName(f"{who} brings, one thing a line")
            editor.textChanged.connect(self._changed)
            self.lists[who] = editor
            row, place = number // 2 * 2, number % 2
            self._grid.addWidget(label(who), row, place)
            self._grid.addWidget(editor, row + 1, place)

    def _changed(self) -> None:
        self.edited.emit({who: self._items(who) for who in self.lists})


class TableLabel(SpokenLabel):
    """A table that can be selected. How high it is at a width is kept: layouts ask for it many times."""

    def __init__(self, name: str) -> None:
        super().__init__(name)
        self._high: dict[int, int] = {}
        self.setTextFormat(Qt.TextFormat.RichText)
        self.setProperty("role", "")
        self.setWordWrap(True)
        by = Qt.TextInteractionFlag
        self.setTextInteractionFlags(by.TextSelectableByMouse | by.TextSelectableByKeyboard)

    def setText(self, words: str) -> None:
        self._high = {}
        super().setText(words)

    def changeEvent(self, event: QEvent) -> None:
        self._high = {}
        super().changeEvent(event)

    def heightForWidth(self, width: int) -> int:
        if width not in self._high:
            self._high[width] = super().heightForWidth(width)
        return self._high[width]


class ResultsView(QWidget):
    """Everything that follows from the plan."""

    shot_chosen = Signal(int)
    checklist_edited = Signal(object)

    def __init__(self, what_if: WhatIf, colours: Theme) -> None:
        super().__init__()
        self.setAccessibleName("what follows from the plan")
        self._results: Results | None = None
        self._colours = colours
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 12)
        column.setSpacing(12)
        self.trial = TrialLine()
        self.notice = label("", "warning", "what to mind about the plan")
        self.figures = Figures()
        self.short = label(f"▲  Dry ice: {CAUTIONS_SHORT}.", "warning", "in short")
        self.work = WorkTable()
        self.work.chosen.connect(self.shot_chosen)
        self.what_if = Fold("What if the room, the light or the cold were different", what_if, unfolded=False)
        self.what_if.toggled.connect(what_if.wake)
        self.run_sheet = TableLabel("run sheet")
        self.product = TableLabel("product to order")
        self.cautions = label("", "warning", "dry ice cautions")
        self.cautions.setText("\n".join(["Dry ice", *(f"▲  {words}" for words in CAUTIONS), f"CO₂ limits: {LIMITS}."]))
        self.messages = Messages()
        self.checklist = Checklist()
        self.checklist.edited.connect(self.checklist_edited)
        for part in (
            self.trial, self.notice, self.work, _rule(), self.figures, _rule(), self.short,
            Fold("Run sheet", self.run_sheet), Fold("Messages", self.messages), self.what_if,
            Fold("Product to order", self.product), self.cautions, Fold("Who brings what", self.checklist),
        ):  # fmt: skip
            column.addWidget(part)
        column.addStretch(1)
        self.notice.hide()

    def minimumSizeHint(self) -> QSize:
        return QSize(LEAST_WIDTH, super().minimumSizeHint().height())

    def show_results(self, results: Results, shot: int, notices: Sequence[str]) -> None:
        """Show what follows from a plan, and the sentences to mind about it."""
        self._results = results
        self.trial.show_results(results)
        lines = [f"{words[0].upper()}{words[1:].rstrip('.')}." for words in notices[:MOST_NOTICES]]
        if len(notices) > MOST_NOTICES:
            lines.append(f"And {len(notices) - MOST_NOTICES} more, beside their fields.")
        self.notice.setText("\n".join(lines))
        self.notice.setVisible(bool(lines))
        self.figures.show_results(results)
        self.messages.show_results(results)
        self.short.setVisible(results.ice is not None)
        self.cautions.setVisible(results.ice is not None)
        self.work.show_results(results, shot)
        self.checklist.show_lists(results.checklist, results.plan.checklist is not None)
        self._show_tables()

    def end(self) -> None:
        """Work nothing more out."""
        self.trial.end()

    def set_theme(self, colours: Theme) -> None:
        """Show all of it in another theme's colours."""
        self._colours = colours
        self.work.set_theme(colours)
        self.figures.set_theme(colours)
        self._show_tables()

    def _show_tables(self) -> None:
        if self._results is not None:
            self.run_sheet.setText(_run_sheet(self._results, self._colours))
            self.product.setText(_product(self._results, self._colours))


def _rule() -> QFrame:
    rule = QFrame()
    rule.setProperty("role", "rule")
    return rule


def _small(words: str, colour: str) -> str:
    return f'<span style="color:{colour}; font-size:{SMALL}px">{escaped(words)}</span>'


def _run_sheet(results: Results, colours: Theme) -> str:
    """Return the run sheet: a head for each day, the shots' heroes and the call in strong type."""
    rows, said, day = [], {""}, None
    for event in results.run_sheet:
        if event.at.date() != day:
            day = event.at.date()
            head = f"<b>{_small(f'{event.at:%a} {event.at.day} {event.at:%B}', colours.accent)}</b>"
            rows.append(f'<tr><td colspan="3" style="padding:8px 0 2px 0">{head}</td></tr>')
        note = "" if event.note in said else f"&nbsp; {_small(event.note, colours.quiet)}"
        said.add(event.note)
        what, at = escaped(event.what), f"{event.at:%H:%M}"
        if event.key == "call" or event.key.startswith("heroes "):
            what, at = f"<b>{what}</b>", f"<b>{at}</b>"
        rows.append(
            f'<tr><td style="padding:2px 16px 3px 0">{at}</td>'
            f'<td style="padding:2px 16px 3px 0">{what}{note}</td>'
            f'<td style="padding:2px 0 3px 0">{_small(event.who, colours.quiet)}</td></tr>'
        )
    return f'<table cellspacing="0" width="100%">{"".join(rows)}</table>'


def _product(results: Results, colours: Theme) -> str:
    heads = ("flavour", "mix", "freezer", "heroes, spares, stand-ins", "pulls", "tubs")
    rows = ["".join(f'<td style="padding:0 16px 4px 0">{_small(head, colours.quiet)}</td>' for head in heads)]
    for each in results.products:
        cells = (
            each.flavour, results.mix_names[each.flavour], results.settings[each.flavour].text,
            f"{each.heroes}, {each.spares}, {each.stand_ins}", each.pulls.text, each.tubs.text,
        )  # fmt: skip
        rows.append("".join(f'<td style="padding:2px 16px 4px 0">{escaped(cell)}</td>' for cell in cells))
    inside = "".join(f'<tr valign="top">{row}</tr>' for row in rows)
    return f'<table cellspacing="0" width="100%">{inside}</table>'
