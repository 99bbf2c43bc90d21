"""Will it work: each shot's windows on one axis, the frames that fit, one word, and what helps most."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from studiotimer.prep.found import Found, counted
from studiotimer.prep.results import Results
from studiotimer.prep.shots import ShotResult
from studiotimer.window.prep.axis import axis_of
from studiotimer.window.prep.how import HOW, LINK, How
from studiotimer.window.prep.shot_rows import AxisHead, Columns, Legend, ShotRow
from studiotimer.window.style import button, label
from studiotimer.window.theme import LIGHT, Theme


class WorkTable(QWidget):
    """A row for each shot; pressing it chooses it, and says how its windows were found one press further."""

    chosen = Signal(int)

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName("will it work")
        self._shots: tuple[ShotResult, ...] = ()
        self._wanted: list[int] = []
        self._number = 0
        self._colours: Theme = LIGHT
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        self.head, self.legend = AxisHead(), Legend()
        column.addWidget(self.head)
        self._rows = QVBoxLayout()
        self._rows.setSpacing(0)
        column.addLayout(self._rows)
        column.addSpacing(4)
        below = QHBoxLayout()
        below.setSpacing(8)
        self.link = button("", self._turn, "link")
        below.addWidget(self.legend, 1)
        below.addWidget(self.link, 0, Qt.AlignmentFlag.AlignRight)
        column.addLayout(below)
        self.how = How()
        column.addWidget(self.how)
        self.names: list[ShotRow] = []
        self._verdicts: list[QLabel] = []
        self._told: list[QLabel] = []
        self._rules: list[QFrame] = []

    def set_theme(self, colours: Theme) -> None:
        """Draw in another theme's colours."""
        self._colours = colours
        self.head.colours = self.legend.colours = colours
        for name in self.names:
            name.colours = colours
        for widget in (self.head, self.legend, *self.names):
            widget.update()

    def show_results(self, results: Results, number: int) -> None:
        """Show every shot's row; `number` is the chosen one."""
        self._shots = results.shots
        self._wanted = [shot.frames for shot in results.plan.shots]
        self.legend.show_boxed(results.plan.dry_ice.used, results.plan.dry_ice.holding_box)
        while len(self.names) < len(self._shots):
            self._add_row()
        for row, name in enumerate(self.names):
            there = row < len(self._shots)
            name.setVisible(there)
            self._rules[row].setVisible(there)
            for said in (self._verdicts[row], self._told[row]):
                said.hide()
            if there:
                name.show_shot(self._shots[row], self._wanted[row])
        self._scale()
        self.choose(number)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._scale()

    def _scale(self) -> None:
        """Give all rows the axis that their width has room for."""
        axis = axis_of(self._shots, Columns.of(self.width()).axis_width)
        self.head.show_axis(axis)
        for name in self.names:
            name.show_axis(axis)

    def choose(self, number: int) -> None:
        """Mark the chosen shot, and say what is told of it."""
        self._number = min(number, max(len(self._shots) - 1, 0))
        for row, (name, shot) in enumerate(zip(self.names, self._shots, strict=False)):
            name.setChecked(row == self._number)
            self._say(row, shot, told=row == self._number)
        if self._shots:
            self._tell(not self.how.isHidden())

    def _say(self, row: int, shot: ShotResult, told: bool) -> None:
        """Say what helps a shot that does not work; of the chosen one also what its foot and its sauces do."""
        for shown, lines in (
            (self._verdicts[row], [] if shot.works else [shot.verdict]),
            (self._told[row], [found.text for found in shot.said] if told else []),
        ):
            shown.setText("\n".join(f"{each[0].upper()}{each[1:]}." for each in lines))
            shown.setVisible(bool(lines))

    def _add_row(self) -> None:
        row = ShotRow()
        row.colours = self._colours
        row.clicked.connect(partial(self._pressed, len(self.names)))
        verdict = label("", "danger", "what helps most")
        told = label("", "quiet", "what its foot and sauces do")
        for each in (verdict, told):
            each.setContentsMargins(8, 0, 0, 6)
        rule = QFrame()
        rule.setProperty("role", "rule")
        for widget in (row, verdict, told, rule):
            self._rows.addWidget(widget)
        self.names.append(row)
        self._verdicts.append(verdict)
        self._told.append(told)
        self._rules.append(rule)

    def _pressed(self, number: int) -> None:
        self.choose(number)
        self.chosen.emit(number)

    def _turn(self) -> None:
        self._tell(self.how.isHidden())

    def _tell(self, unfolded: bool) -> None:
        shot = self._shots[self._number]
        self.link.setText(LINK + ("  ▴" if unfolded else ""))
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
