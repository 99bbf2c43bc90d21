"""The start page: a new shoot in four questions, what its scoops would have; in a rail, what was before and demos."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent, QShowEvent
from PySide6.QtWidgets import (
    QBoxLayout,
    QButtonGroup,
    QFileDialog,
    QGridLayout,
    QHBoxLayout,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from studiotimer.errors import SlowError
from studiotimer.mix_table import names
from studiotimer.places import sessions_folder
from studiotimer.prep.looks import USUAL_LOOKS, Look
from studiotimer.session.first_lines import SUFFIX
from studiotimer.units import WARMTH, Question, parse, shown_in
from studiotimer.window import style, theme
from studiotimer.window.aside import LOOK_S, Aside, answered, is_folder
from studiotimer.window.choice import Choice, Offering
from studiotimer.window.demo_rows import DemoRows
from studiotimer.window.flow import flowing, scrolling, turned
from studiotimer.window.life_preview import LifePreview
from studiotimer.window.lights import LIGHT_HINT, LIGHTS
from studiotimer.window.recent import new_session_path, remember_soon, remembered, told
from studiotimer.window.set import guide
from studiotimer.window.start_parts import LookButton, asked, first_try
from studiotimer.window.style import label, rule
from studiotimer.window.tips import tip
from studiotimer.window.typed_lines import TypedNumber

if TYPE_CHECKING:
    from studiotimer.prep.plan import Plan

TIGHT = 600
"""Up to this height of the page its questions stand as close as they may."""
LONGEST = 40
"""How many letters of a session's title are shown; the tip has its file."""


@dataclass(frozen=True)
class Answers:
    """What was answered of a new shoot, as it was written."""

    name: str
    mix: str
    look: Look
    room: str
    light: str

    def plan(self) -> Plan:
        """Return the plan; raises PlanError, UnitError or ValueError with one sentence."""
        if not self.name:
            raise ValueError("flavour: it has no name; write for example vanilla")
        from studiotimer.lamps import parse_light  # these bring the models of plans, which the page opens without
        from studiotimer.prep.plan import quick_plan

        plan = quick_plan(self.name, self.mix, self.look, parse(self.room, WARMTH, "room", shown_in()), self.light)
        parse_light(self.light)
        return plan


class StartPage(QWidget):
    """Three choices: new shoot, open, try a demo; and what a scoop of the new shoot would go through.

    `known` puts into a plan what was learned of its mixes.
    """

    begun = Signal(object, object)
    opened = Signal(object)
    demo_opened = Signal(object)
    demo_planned = Signal(object)
    plan_wanted = Signal(object)
    rehearsed = Signal(object)
    practised = Signal()

    def __init__(self, known: Callable[[Plan], Plan] = lambda plan: plan, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._known = known
        self.setAccessibleName("Start page")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self._dark = False
        self.setStyleSheet(style.style(theme.LIGHT))
        self.recent: list[QPushButton] = []
        self._offered: list[tuple[Path, str]] = []
        self._remembered: list[Path] = []
        self._words: dict[Path, str | None] = {}
        self._looking: dict[Path, Aside] = {}
        self._aside = Aside("recent sessions", self)
        self._recent = QVBoxLayout()
        self._recent.setSpacing(2)
        column = scrolling(self, "how to begin")
        self.life = LifePreview()
        self.life.set_colours(theme.LIGHT)
        sides = self._sides = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        sides.setSpacing(theme.GUTTER)
        self._beside = QWidget()
        self._beside.setLayout(self._rail())
        sides.addLayout(self._new_shoot(), 1)
        sides.addWidget(self._beside)
        column.setContentsMargins(theme.MARGIN, theme.ABOVE, theme.MARGIN - theme.BAR, theme.BELOW)
        column.addLayout(sides)
        column.addStretch(1)
        for line in (self.flavour, self.room, self.light):
            line.textChanged.connect(self._foretell)
            line.textChanged.connect(lambda _: self.say(""))
        self.room.textEdited.connect(self._ask_which)
        self.mix.currentIndexChanged.connect(self._foretell)
        self.look.idToggled.connect(self._foretell)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if turned(self._sides, self.width()):
            self._beside.setFixedWidth(theme.READING)
            self._beside.setMinimumWidth(0)
        else:
            self._beside.setFixedWidth(theme.RAIL)
        self._spread()

    def _spread(self) -> None:
        """Have the figure, its ribbon and what is between the questions grow with the page."""
        beside = self._sides.direction() == QBoxLayout.Direction.LeftToRight
        taken = 2 * theme.MARGIN + (theme.RAIL + theme.GUTTER if beside else 0)
        self.life.fit(self.width() - taken, self.height())
        apart = min(2 * theme.GAP + max(self.height() - TIGHT, 0) // 20, 5 * theme.GAP)
        for column in self._spaced:
            column.setSpacing(apart)

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.room.keep(self.room.kept)
        self._show_recent()
        self._foretell()

    def _show_recent(self) -> None:
        """Offer the sessions and plans of before, the last first, as soon as their disks answer."""
        self._aside.ask("recent sessions", remembered, self._look_for)

    def offer(self, path: Path) -> None:
        """Offer a session before those of before."""
        remember_soon(path)
        self._look_for([path, *(one for one in self._remembered if one != path)])

    def _look_for(self, sessions: list[Path]) -> None:
        self._remembered = sessions
        for path in sessions:
            if path not in self._looking:
                self._looking[path] = Aside("a recent session", self)
            self._looking[path].ask("there", partial(told, path, LONGEST), partial(self._told, path))

    def _told(self, path: Path, words: str | None) -> None:
        """Offer a session that is there, take back the offer of one that is not."""
        self._words[path] = words
        offered = [(one, said) for one in self._remembered if (said := self._words.get(one)) is not None]
        if offered == self._offered:
            return
        self._offered = offered
        for button in self.recent:
            self._recent.removeWidget(button)
            button.hide()
            button.deleteLater()
        self.recent.clear()
        for path, words in offered:
            button = style.button(words.replace("&", "&&"), partial(self.opened.emit, path), "row", words)
            button.setToolTip(tip(str(path)))
            self.recent.append(button)
            self._recent.addWidget(button)

    def _foretell(self, *_: object) -> None:
        """Show what a scoop of the shoot as it is answered would go through."""
        answers = self._answers()
        self.life.show_plan(lambda: self._known(answers.plan()))

    def _ask_which(self) -> None:
        """Ask which units were meant, where the room's temperature could be in either."""
        read = self.room.reading
        if isinstance(read, Question):
            self.say(f"Room: {read.sentence}.")

    def darken(self, dark: bool) -> None:
        """Be dark, or light."""
        if dark != self._dark:
            self._dark = dark
            colours = theme.DARK if dark else theme.LIGHT
            self.setStyleSheet(style.style(colours))
            for look in self.findChildren(LookButton):
                look.colours = colours
                look.update()
            self.life.set_colours(colours)

    def end(self) -> None:
        """Stop what is worked out aside."""
        self.life.end()
        self.demos.end()
        self._aside.end()
        for aside in self._looking.values():
            aside.end()

    def say(self, words: str) -> None:
        """Show a quiet line."""
        self.message.setText(words)

    def _practise(self) -> None:
        self._not_now()
        self.practised.emit()

    def _not_now(self) -> None:
        guide.keep_offered()
        self.first_time.hide()

    def _new_shoot(self) -> QVBoxLayout:
        """Return the new shoot: what a scoop of it would have, and the four questions it follows from."""
        self.flavour, self.mix = QLineEdit("vanilla"), Choice()
        self.mix.setMinimumWidth(150)
        self.mix.fill([(name, name) for name in names()], "premium")
        self.look = QButtonGroup(self)
        looks = QHBoxLayout()
        looks.setSpacing(theme.GAP)
        for number, look in enumerate(USUAL_LOOKS):
            button = LookButton(look)
            button.setChecked(look == "crisp")
            self.look.addButton(button, number)
            looks.addWidget(button)
        self.room = TypedNumber(WARMTH, "22 °C" if shown_in() == "metric" else "72 °F")
        self.light = Offering(LIGHTS, "LED 2000 lx")
        self.light.setToolTip(LIGHT_HINT)
        column = QVBoxLayout()
        self._spaced = [column]
        column.addWidget(label("New shoot", "heading"))
        column.addWidget(self.life)
        column.addLayout(self._questions(looks))
        for name, field in (("flavour", self.flavour), ("mix", self.mix), ("room", self.room), ("light", self.light)):
            field.setAccessibleName(name)
        self.message = label("", "warning", "message")
        column.addWidget(self.message)
        self.begin = style.button("Begin the shoot", self._begin, "main")
        self.begin.setDefault(True)
        self.plan = style.button("Plan the days before", lambda: self.plan_wanted.emit(None))
        column.addWidget(flowing(theme.GAP, self.begin, self.plan))
        for line in (self.flavour, self.room, self.light):
            line.returnPressed.connect(self._begin)
        column.addStretch(1)
        return column

    def _questions(self, looks: QHBoxLayout) -> QHBoxLayout:
        """Return the four questions, no wider than is easy to read."""
        holder = QWidget()
        holder.setMaximumWidth(theme.READING)
        column = QVBoxLayout(holder)
        column.setContentsMargins(0, 0, 0, 0)
        self._spaced.append(column)
        column.addLayout(_two("Ice cream", self.flavour, "Mix: how rich it is", self.mix))
        column.addLayout(asked("Look: what the shot wants", looks))
        column.addLayout(_two(f"Room: {WARMTH.example}", self.room, "Light: lamp and meter reading", self.light))
        row = QHBoxLayout()
        row.addWidget(holder, 1)
        row.addStretch()
        return row

    def _rail(self) -> QVBoxLayout:
        """Return what was before, the demos, and once the first try."""
        column = QVBoxLayout()
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(theme.GAP)
        self.first_time = first_try(self._practise, self._not_now)
        if guide.was_offered():
            self.first_time.hide()
        column.addWidget(self.first_time)
        column.addSpacing(theme.GAP)
        column.addWidget(label("Continue", "heading"))
        column.addWidget(rule())
        column.addLayout(self._recent)
        self._show_recent()
        opener = style.button("Open another file…", self._choose, "link", hint="a session or a plan")
        column.addWidget(opener, 0, Qt.AlignmentFlag.AlignLeft)
        column.addSpacing(2 * theme.GAP)
        column.addWidget(label("Demos", "heading"))
        column.addWidget(rule())
        signals = {"Plan": self.demo_planned.emit, "Try": self.demo_opened.emit, "Watch": self.rehearsed.emit}
        self.demos = DemoRows(signals)
        column.addWidget(self.demos)
        self.practise = style.button(
            "A first try, one call after another", self._practise, "link", "begin a first try, one call after another"
        )
        column.addWidget(self.practise, 0, Qt.AlignmentFlag.AlignLeft)
        column.addStretch(1)
        return column

    def _begin(self) -> None:
        try:
            plan = self._answers().plan()
        except ValueError as error:
            self.say(str(error))
            return
        try:
            path = answered("a look there", lambda: new_session_path(plan.title, datetime.now()), LOOK_S)
        except SlowError as error:
            self.say(str(error))
        else:
            self.begun.emit(plan, path)

    def _answers(self) -> Answers:
        look = USUAL_LOOKS[self.look.checkedId()]
        name, light = self.flavour.text().strip(), self.light.text().strip()
        return Answers(name, self.mix.currentText(), look, self.room.kept, light)

    def _choose(self) -> None:
        folder = sessions_folder()
        name, _ = QFileDialog.getOpenFileName(
            self,
            "Open a session or a plan",
            str(folder if is_folder(folder) else Path.home()),
            f"Sessions and plans (*{SUFFIX} *.json)",
        )
        if name:
            self.opened.emit(Path(name))


def _two(words: str, field: QWidget, others: str, other: QWidget) -> QGridLayout:
    """Return two fields side by side, each under what it asks."""
    grid = QGridLayout()
    grid.setHorizontalSpacing(2 * theme.GAP)
    grid.setVerticalSpacing(4)
    for place, (asks, each) in enumerate(((words, field), (others, other))):
        grid.addWidget(label(asks, "ask"), 0, place)
        grid.addWidget(each, 1, place)
        grid.setColumnStretch(place, 1)
    return grid
