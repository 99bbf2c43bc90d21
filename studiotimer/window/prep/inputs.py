"""The inputs of the Prep page: everything a plan says, in folding sections."""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterable
from functools import partial

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtWidgets import QApplication, QButtonGroup, QLineEdit, QVBoxLayout, QWidget

from studiotimer.prep.draft import Path, Values, Wrong, free_name
from studiotimer.window.flow import FlowLayout
from studiotimer.window.prep import questions
from studiotimer.window.prep.fields import Ask, Field
from studiotimer.window.prep.flavours import Flavours
from studiotimer.window.prep.parts import SPACING, Fold, Form, Heroes, TubForm
from studiotimer.window.prep.steps import Steps
from studiotimer.window.style import button

LEAST_WIDTH = 300
Change = Callable[[Values], None]


class Shots(QWidget):
    """The shots by name, and the chosen one's fields."""

    edited = Signal()
    changed_shape = Signal(object, str)
    chosen = Signal(int)

    def __init__(self, draft: Values, number: int) -> None:
        super().__init__()
        self._draft, self.number = draft, number
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 0, 0, 0)
        self.column.setSpacing(SPACING)
        names = QWidget()
        flow = FlowLayout(6)
        names.setLayout(flow)
        self._group = QButtonGroup(self)
        self.names = []
        for each, shot in enumerate(draft["shots"]):
            name = button("", partial(self.chosen.emit, each), "choice")
            name.setCheckable(True)
            name.setChecked(each == number)
            self._group.addButton(name)
            self.names.append(name)
            _name_shot(name, str(shot.get("name", "")))
            flow.addWidget(name)
        self.column.addWidget(names)
        names.setVisible(len(draft["shots"]) > 1)
        self.form = Form(draft, [ask.at("shots", number) for ask in questions.SHOT], f"shot {number + 1}, ")
        self.form.edited.connect(self._edited)
        self.heroes = Heroes(draft, number)
        self.heroes.edited.connect(self.edited)
        self.heroes.changed_shape.connect(lambda: self.changed_shape.emit(_as_it_is, "scoop"))
        self.form.column.insertWidget(3, self.heroes)
        self.column.addWidget(self.form)
        self.steps = Steps(draft, number)
        self.steps.edited.connect(self.edited)
        self.steps.changed_shape.connect(lambda: self.changed_shape.emit(_as_it_is, "step"))
        self.column.addWidget(self.steps)
        dressing = self.form.fields["shots", number, "dressing"]
        dressing.setEnabled(not self.steps.removes)
        dressing.editor.setToolTip("the sum of its steps" if self.steps.removes else dressing.ask.example)
        below = QWidget()
        below_flow = FlowLayout(6)
        below.setLayout(below_flow)
        self.more = button("Add a shot", self.add, "link", hint="Ctrl+Return while writing a shot")
        self.remove_it = button("Take this shot out", self.remove, "link", hint="Ctrl+Shift+Delete while writing it")
        self.remove_it.setEnabled(len(draft["shots"]) > 1)
        for link in (self.more, self.remove_it):
            below_flow.addWidget(link)
        self.column.addWidget(below)

    def add(self) -> None:
        """Add a shot like this one, under a free name."""
        shots = self._draft["shots"]
        name = free_name(f"Shot {len(shots) + 1}", [str(shot.get("name", "")) for shot in shots])
        new = copy.deepcopy(shots[self.number]) | {"name": name}
        self.changed_shape.emit(lambda draft: draft["shots"].append(copy.deepcopy(new)), "shot")

    def remove(self) -> None:
        """Take the chosen shot out."""
        if len(self._draft["shots"]) > 1:
            self.changed_shape.emit(lambda draft: draft["shots"].pop(self.number), "shot")

    def focus_name(self) -> None:
        """Give the keys to the shot's name, all of it ready to be written over."""
        line = self.form.fields["shots", self.number, "name"].editor
        assert isinstance(line, QLineEdit)
        line.setFocus()
        line.selectAll()

    def _edited(self) -> None:
        _name_shot(self.names[self.number], str(self._draft["shots"][self.number].get("name", "")))
        self.edited.emit()


class Inputs(QWidget):
    """The whole plan as fields over a draft."""

    edited = Signal()
    changed_shape = Signal()
    shot_chosen = Signal(int)
    file_wanted = Signal(int)
    rebuilt = Signal()

    def __init__(self, draft: Values, good: Values, shot: int = 0) -> None:
        super().__init__()
        self.draft, self.good, self.shot = draft, good, shot
        self.setAccessibleName("the plan")
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 10, 20)
        self._column.setSpacing(SPACING * 3)
        self.forms: list[Form] = []
        self._form("The day", questions.DAY)
        self._form("Studio", questions.STUDIO)
        self._flavours_at, self._shots_at = self._column.count(), self._column.count() + 1
        self._column.addWidget(QWidget())
        self._column.addWidget(QWidget())
        tubs = Form(draft)
        tubs.join(TubForm(draft, ("tub",)))
        for ask in questions.PULLS:
            tubs.add(ask)
        self._section("Tubs and pulls", tubs)
        self._form("Dry ice", [ask.at("dry_ice") for ask in questions.ICE])
        self._form("More about the day", questions.MORE, unfolded=False)
        self._column.addStretch(1)
        self._parts()

    def minimumSizeHint(self) -> QSize:
        return QSize(LEAST_WIDTH, super().minimumSizeHint().height())

    def show_draft(self) -> None:
        """Show what the draft has now."""
        for form in self.forms:
            form.show_draft()

    def choose_shot(self, number: int) -> None:
        """Show the fields of a shot."""
        if number != self.shot and number < len(self.draft["shots"]):
            self.shot = number
            self._parts()
            self.shot_chosen.emit(number)

    def say_wrong(self, wrong: Iterable[Wrong], past: Iterable[str]) -> None:
        """Say beside each field what is wrong with it."""
        said: dict[Field, tuple[str, bool]] = {}
        for sentence in past:
            field = self.field_for(("date",))
            if field is not None:
                said[field] = (_sentence(sentence), True)
        self.shots.heroes.say("")
        for each in wrong:
            field = self.field_for(each.path)
            if field is not None:
                said[field] = (each.beside, False)
            elif each.path[:2] == ("shots", self.shot):
                self.shots.heroes.say(each.beside)
        for form in self._all_forms():
            for field in form.all_fields():
                field.say(*said.get(field, ("", False)))

    def field_for(self, path: Path) -> Field | None:
        """Return the field that a problem at `path` belongs to."""
        found = (form.field_for(path) for form in self._all_forms())
        return next((field for field in found if field is not None), None)

    def add_here(self) -> None:
        """Add a flavour or a shot, whichever the keys are in."""
        if self.flavours.number_of(QApplication.focusWidget()) is not None:
            self.flavours.add()
        elif self._in_shots():
            self.shots.add()

    def remove_here(self) -> None:
        """Take out the flavour or the shot the keys are in."""
        number = self.flavours.number_of(QApplication.focusWidget())
        if number is not None:
            self.flavours.remove(number)
        elif self._in_shots():
            self.shots.remove()

    def _flavour_edited(self) -> None:
        self.shots.heroes.show_draft()
        self.edited.emit()

    def _in_shots(self) -> bool:
        widget = QApplication.focusWidget()
        return widget is not None and self.shots.isAncestorOf(widget)

    def _all_forms(self) -> list[Form]:
        return [*self.forms, self.shots.form, self.shots.heroes, self.shots.steps, *self.flavours.forms]

    def _form(self, title: str, asks: Iterable[Ask], unfolded: bool = True) -> None:
        self._section(title, Form(self.draft, asks), unfolded)

    def _section(self, title: str, form: Form, unfolded: bool = True) -> None:
        form.edited.connect(self.edited)
        self.forms.append(form)
        self._column.addWidget(Fold(title, form, unfolded))

    def _change(self, change: Change, then: str) -> None:
        """Change the draft's lists, and the last good one alike, and give the keys to what was changed."""
        shots = len(self.draft["shots"])
        change(self.draft)
        change(self.good)
        if len(self.draft["shots"]) > shots:
            self.shot = len(self.draft["shots"]) - 1
        self.shot = min(self.shot, len(self.draft["shots"]) - 1)
        self._parts()
        focus = {"flavour": self.flavours.focus_last, "scoop": self.shots.heroes.focus_last,
                 "step": self.shots.steps.focus_last}  # fmt: skip
        focus.get(then, self.shots.focus_name)()
        self.changed_shape.emit()

    def _parts(self) -> None:
        """Build the flavours and the chosen shot anew."""
        self.flavours = Flavours(self.draft)
        self.flavours.edited.connect(self._flavour_edited)
        self.flavours.file_wanted.connect(self.file_wanted)
        self.flavours.changed_shape.connect(self._change)
        self.shots = Shots(self.draft, self.shot)
        self.shots.edited.connect(self.edited)
        self.shots.chosen.connect(self.choose_shot)
        self.shots.changed_shape.connect(self._change)
        for at, part in (
            (self._flavours_at, Fold("Flavours", self.flavours)),
            (self._shots_at, Fold("Shots", self.shots)),
        ):
            item = self._column.itemAt(at)
            old = item.widget() if item else None
            assert old is not None
            self._column.replaceWidget(old, part, Qt.FindChildOption.FindDirectChildrenOnly)
            old.hide()
            old.deleteLater()
        self.rebuilt.emit()


def _as_it_is(draft: Values) -> None:
    """Leave the lists of a draft: what changed stands in one shot."""


def _name_shot(shown: QWidget, name: str) -> None:
    words = name or "no name"
    shown.setProperty("text", words if len(words) <= 24 else f"{words[:23]}…")
    shown.setAccessibleName(f"shot {words}")


def _sentence(said: str) -> str:
    text = said.partition(": ")[2] or said
    return f"{text[0].upper()}{text[1:]}."
