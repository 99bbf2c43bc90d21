"""Will it work: each shot's window, the frames that fit, the heroes it needs, and what helps most."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFrame, QGridLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from studiotimer.plain import short
from studiotimer.prep.found import Found, counted
from studiotimer.prep.results import Results
from studiotimer.prep.shots import ShotResult
from studiotimer.window.prep.figures import HOW, LINK, How
from studiotimer.window.style import button, label, restyle
from studiotimer.window.tips import tip

FINE, LACKING = "fine", "short"
COLUMNS = ("shot", "look", "window", "with dry ice", "frames", "heroes", "")
NARROW = 640
LONGEST, LONGEST_NARROW, SHORT = 34, 18, 15


class WorkTable(QWidget):
    """A row for each shot; pressing its name chooses it."""

    chosen = Signal(int)

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName("will it work")
        self._shots: tuple[ShotResult, ...] = ()
        self._number = 0
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(10)
        self._grid.setVerticalSpacing(3)
        self._grid.setColumnStretch(0, 1)
        column.addLayout(self._grid)
        self._heads = [label(words, "quiet") for words in COLUMNS]
        for head in self._heads:
            head.setWordWrap(False)
        for place, head in enumerate(self._heads):
            self._grid.addWidget(head, 0, place, Qt.AlignmentFlag.AlignBottom)
        self._rule(1)
        self.names: list[QPushButton] = []
        self._cells: list[list[QLabel]] = []
        self._verdicts: list[QLabel] = []
        self._rules: list[QFrame] = []
        self.link = button("", self._turn, "link")
        column.addWidget(self.link, 0, Qt.AlignmentFlag.AlignLeft)
        self.how = How()
        column.addWidget(self.how)

    def show_results(self, results: Results, number: int) -> None:
        """Show every shot's row; `number` is the chosen one."""
        self._shots = results.shots
        while len(self.names) < len(self._shots):
            self._add_row()
        for row, name in enumerate(self.names):
            there = row < len(self._shots)
            for widget in (name, *self._cells[row][1:], self._rules[row]):
                widget.setVisible(there)
            self._verdicts[row].setVisible(there and not (self._shots[row].works and not self._shots[row].said))
            if there:
                self._show_row(row, self._shots[row])
        self.choose(number)
        self._fit()

    def choose(self, number: int) -> None:
        """Mark the chosen shot."""
        self._number = min(number, max(len(self._shots) - 1, 0))
        for row, name in enumerate(self.names):
            name.setChecked(row == self._number)
        if self._shots:
            self._tell(not self.how.isHidden())

    def _show_row(self, row: int, shot: ShotResult) -> None:
        iced = shot.iced.text if shot.iced else "none planned"
        texts = (shot.look, shot.plain.text, iced, shot.frames_fit.text.split()[0], shot.groups.text)
        self.names[row].setToolTip(tip(shot.name))
        self.names[row].setAccessibleName(
            f"{shot.name}: window {shot.plain.text}, with dry ice {iced}, {shot.frames_fit.text} fit, "
            f"heroes needed {shot.groups.text}, {shot.verdict}"
        )
        told = (*texts, FINE if shot.works else LACKING)
        for cell, head, text in zip(self._cells[row], COLUMNS[1:], told, strict=True):
            cell.setText(text)
            cell.setWordWrap(len(text) > SHORT)
            cell.setAccessibleName(f"{shot.name}, {head or 'verdict'}")
            bad = not shot.works and head in ("", "frames", "with dry ice" if shot.iced else "window")
            restyle(cell, "bad", "true" if bad else "false")
        said = [] if shot.works else [shot.verdict]
        said += [found.text for found in shot.said]
        self._verdicts[row].setText("\n".join(f"{each[0].upper()}{each[1:]}." for each in said))
        restyle(self._verdicts[row], "role", "quiet" if shot.works else "danger")

    def _add_row(self) -> None:
        row = len(self.names)
        top = 2 + 3 * row
        name = button("", partial(self.chosen.emit, row), "row")
        name.setCheckable(True)
        self.names.append(name)
        self._grid.addWidget(name, top, 0)
        cells = [label() for _ in COLUMNS[1:]]
        for place, cell in enumerate(cells, 1):
            self._grid.addWidget(cell, top, place)
        self._cells.append(cells)
        verdict = label("", "danger", "what helps most")
        self._grid.addWidget(verdict, top + 1, 0, 1, len(COLUMNS))
        verdict.setContentsMargins(7, 0, 0, 4)
        self._verdicts.append(verdict)
        self._rules.append(self._rule(top + 2))

    def _rule(self, row: int) -> QFrame:
        rule = QFrame()
        rule.setProperty("role", "rule")
        self._grid.addWidget(rule, row, 0, 1, len(COLUMNS))
        return rule

    def _turn(self) -> None:
        self._tell(self.how.isHidden())

    def _tell(self, unfolded: bool) -> None:
        shot = self._shots[self._number]
        self.link.setText(f"{shot.name}: {LINK}" + ("  ▴" if unfolded else ""))
        self.link.setAccessibleName(f"{shot.name}: {HOW}, {'unfolded' if unfolded else 'folded'}")
        found = [("window", shot.plain)]
        if shot.iced:
            found.append(("with dry ice", shot.iced))
        found += [("frames", shot.frames_fit), ("heroes", shot.groups)]
        found += [("foot", shot.foot)] if shot.foot else []
        found += [("sauce", sauce) for sauce in shot.sauces]
        if shot.tried:
            said = "; ".join(f"{each.what} gives {counted(each.window.frames, 'frame')}" for each in shot.tried)
            found.insert(len(found) - 1, ("tried", Found(None, "", said, shot.frames_fit.source)))
        self.how.tell(shot.name, found)
        self.how.setVisible(unfolded)

    def _fit(self) -> None:
        """Leave the look out and shorten names where there is little room: the inputs say both."""
        longest = LONGEST if self.width() >= NARROW else LONGEST_NARROW
        for name, shot in zip(self.names, self._shots, strict=False):
            name.setText(short(shot.name, longest))
        wide = self.width() >= NARROW
        self._heads[1].setVisible(wide)
        for row, cells in enumerate(self._cells):
            cells[0].setVisible(wide and row < len(self._shots))

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._fit()
        super().resizeEvent(event)
