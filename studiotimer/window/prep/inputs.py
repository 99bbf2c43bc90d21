"""The inputs of the Prep page: everything a plan says, in sections that fold to one line each."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import partial

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtWidgets import QApplication, QVBoxLayout, QWidget

from studiotimer.prep.draft import Path, Values, Wrong
from studiotimer.prep.found import counted
from studiotimer.window.prep import questions, summaries
from studiotimer.window.prep.flavour_rows import Flavours, flavour_tubs
from studiotimer.window.prep.fold import Fold
from studiotimer.window.prep.input_forms import Form, Rows, TubForm
from studiotimer.window.prep.people_rows import People
from studiotimer.window.prep.shot_cards import Shots, as_it_is
from studiotimer.window.prep.written_fields import Field
from studiotimer.window.style import label

LEAST_WIDTH = 300
Change = Callable[[Values], None]
Said = Callable[[Values], str]


class Inputs(QWidget):
    """The whole plan as fields over a draft. `fresh`: nobody wrote it yet, so its first section is unfolded."""

    edited = Signal()
    changed_shape = Signal()
    shot_chosen = Signal(int)
    file_wanted = Signal(int)
    rebuilt = Signal()

    def __init__(self, draft: Values, good: Values, shot: int = 0, fresh: bool = False) -> None:
        super().__init__()
        self.draft, self.good, self.shot = draft, good, shot
        self.setAccessibleName("the plan")
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 6, 8)
        self._column.setSpacing(2)
        self.forms: dict[str, list[Form]] = {}
        self.sections: dict[str, Fold] = {}
        self._said: dict[str, Said] = {}
        self._wrong: dict[str, int] = {}
        self._unfolded = {"The day"} if fresh else set()
        self._unfolded |= {"Flavours", "Shots"}
        self._carried()
        self._build()
        self._column.addStretch(1)
        self._parts()

    def _carried(self) -> None:
        """Say what is another than in the shoot before, and why, in one list."""
        reasons = self.draft.get("carried") or []
        if reasons:
            lines = [f"{why[:1].upper()}{why[1:]}." for why in reasons]
            self.carried = Fold("From the last shoot", label("\n".join(lines), "", "what was carried over, and why"))
            self.carried.say(counted(len(lines), "change"))
            self._column.addWidget(self.carried)

    def _build(self) -> None:
        """Make every section, those that are made anew as flavours, shots and people come and go left empty."""
        self._forms("The day", summaries.day, Form(self.draft, questions.DAY))
        self._forms("People and place", summaries.people)
        self._forms("Studio", summaries.studio, Form(self.draft, questions.STUDIO))
        self._forms("Flavours", summaries.flavours)
        self._forms("Shots", summaries.shots)
        self._forms("Tubs and pulls", summaries.tubs)
        truck = Form(self.draft, [ask.at("delivery") for ask in questions.DELIVERY])
        truck.add(questions.DELIVERED)
        self._forms("Delivery", summaries.delivery, truck)
        self._forms("Dry ice", summaries.ice, Form(self.draft, [ask.at("dry_ice") for ask in questions.ICE]))
        self._forms("Timing", summaries.timing, Form(self.draft, questions.TIMING))
        self._forms("Physics", summaries.physics, Physics(self.draft))

    def minimumSizeHint(self) -> QSize:
        return QSize(LEAST_WIDTH, super().minimumSizeHint().height())

    def show_draft(self) -> None:
        """Show what the draft has now."""
        for form in self._all_forms():
            form.show_draft()
        self._say()

    def choose_shot(self, number: int) -> None:
        """Show the fields of a shot."""
        if number < len(self.draft["shots"]) and (number != self.shot or not self.shots.unfolded):
            self.shot = number
            self._parts()
            self.shot_chosen.emit(number)

    def say_wrong(self, wrong: Iterable[Wrong], past: Iterable[str]) -> None:
        """Say under each field what is wrong with it, and in each section and shot how much is."""
        wrong = list(wrong)
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
        shots = [int(each.path[1]) for each in wrong if each.path[:1] == ("shots",) and len(each.path) > 1]
        self.shots.say_wrong(set(shots))
        self._wrong = {
            name: sum(field in said and not said[field][1] for form in forms for field in form.all_fields())
            for name, forms in self.forms.items()
        } | {"Shots": len(shots)}
        self._say()

    def field_for(self, path: Path) -> Field | None:
        """Return the field that a problem at `path` belongs to."""
        found = (form.field_for(path) for form in self._all_forms())
        return next((field for field in found if field is not None), None)

    def add_here(self) -> None:
        """Add a flavour or a shot, whichever the keys are in; where they are in neither, a shot."""
        if self.flavours.number_of(QApplication.focusWidget()) is not None:
            self.flavours.add()
        else:
            self.sections["Shots"].unfold(True)
            self.shots.add()

    def remove_here(self) -> None:
        """Take out the scoop, step, person, flavour or shot that the keys are in."""
        focus = QApplication.focusWidget()
        number = self.flavours.number_of(focus)
        if number is not None:
            self.flavours.remove(number)
        elif (rows := self._rows_of(focus)) is not None:
            rows.remove_here()
        elif focus is not None and self.shots.isAncestorOf(focus):
            self.shots.remove()

    def _rows_of(self, widget: QWidget | None) -> Rows | None:
        lists = (self.shots.heroes, self.shots.steps, self.people)
        return next((each for each in lists if widget is not None and each.isAncestorOf(widget)), None)

    def _edited(self) -> None:
        self._say()
        self.edited.emit()

    def _flavour_edited(self) -> None:
        self.shots.heroes.show_draft()
        self._edited()

    def _all_forms(self) -> list[Form]:
        return [form for forms in self.forms.values() for form in forms]

    def _say(self) -> None:
        for name, fold in self.sections.items():
            count = self._wrong.get(name, 0)
            fold.say(self._said[name](self.draft), f"{count} to mend" if count else "")

    def _forms(self, title: str, said: Said, *forms: Form, inside: QWidget | None = None) -> None:
        """Make a section of forms, or make it anew in its place."""
        holder = inside or Stacked(forms)
        for form in forms:
            form.edited.connect(self._flavour_edited if title == "Flavours" else self._edited)
        self.forms[title], self._said[title] = list(forms), said
        fold = Fold(title, holder, title in self._unfolded)
        fold.toggled.connect(partial(self._keep, title))
        old = self.sections.get(title)
        self.sections[title] = fold
        if old is None:
            self._column.addWidget(fold)
        else:
            self._column.replaceWidget(old, fold, Qt.FindChildOption.FindDirectChildrenOnly)
            old.hide()
            old.deleteLater()

    def _keep(self, title: str, unfolded: bool) -> None:
        (self._unfolded.add if unfolded else self._unfolded.discard)(title)

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
                 "step": self.shots.steps.focus_last, "person": self.people.focus_last}  # fmt: skip
        focus.get(then, self.shots.focus_name)()
        self.changed_shape.emit()

    def _parts(self) -> None:
        """Build people, flavours, the chosen shot and the flavours' tubs anew."""
        self.people = People(self.draft)
        self.people.changed_shape.connect(partial(self._change, as_it_is, "person"))
        self._forms("People and place", summaries.people, self.people, Form(self.draft, questions.PLACE))
        self.flavours = Flavours(self.draft)
        self.flavours.file_wanted.connect(self.file_wanted)
        self.flavours.changed_shape.connect(self._change)
        self._forms("Flavours", summaries.flavours, *self.flavours.forms, inside=self.flavours)
        self.shots = Shots(self.draft, self.shot)
        self.shots.chosen.connect(self.choose_shot)
        self.shots.changed_shape.connect(self._change)
        self._forms("Shots", summaries.shots, *self.shots.forms, inside=self.shots)
        self.tubs = TubForm(self.draft, ("tub",), words="tub of the shoot")
        rest = Form(self.draft, questions.PULLS)
        self._forms("Tubs and pulls", summaries.tubs, self.tubs, *flavour_tubs(self.draft), rest)
        for field in (field for form in self._all_forms() for field in form.all_fields()):
            field.give_reason(self._reason_of(field))
        self._say()
        self.rebuilt.emit()

    def _reason_of(self, field: Field) -> str:
        """Return why the value of a field is another than in the shoot before: what begins with its words, and in a
        shot with that shot's name."""
        path, words = field.ask.path, field.ask.words
        whose = f"of {self.draft['shots'][path[1]].get('name')} " if path[0] == "shots" and len(path) > 1 else ""
        return next((why for why in self.draft.get("carried") or [] if why.startswith(f"{words} {whose}")), "")


class Stacked(QWidget):
    """Forms one under the other."""

    def __init__(self, forms: Iterable[Form]) -> None:
        super().__init__()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 4)
        column.setSpacing(4)
        for form in forms:
            column.addWidget(form)


class Physics(Form):
    """The expert's fields, each with its usual value said."""

    def __init__(self, draft: Values) -> None:
        super().__init__(draft, questions.PHYSICS)
        for field in self.fields.values():
            field.words.setText(f"{field.ask.words} (usual: {field.ask.usual})")


def _sentence(said: str) -> str:
    text = said.partition(": ")[2] or said
    return f"{text[0].upper()}{text[1:]}."
