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
from studiotimer.window.prep.written_fields import Ask, Field
from studiotimer.window.style import label

LEAST_WIDTH = 300
Change = Callable[[Values], None]
Said = Callable[[Values], str]
PEOPLE = "People and place"


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
        self._column.setContentsMargins(0, 0, 0, 8)
        self._column.setSpacing(2)
        self.forms: dict[str, list[Form]] = {}
        self.sections: dict[str, Fold] = {}
        self._asked: dict[str, frozenset[Path]] = {}
        self._said: dict[str, Said] = {}
        self._wrong: dict[str, int] = {}
        self._unfolded = {"The day"} if fresh else set()
        self._unfolded |= {"Flavours", "Shots"}
        self._carried()
        self._build()
        self._column.addStretch(1)
        self._say()

    def _carried(self) -> None:
        """Say what is another than in the shoot before, and why, in one list."""
        reasons = self.draft.get("carried") or []
        if reasons:
            lines = [f"{why[:1].upper()}{why[1:]}." for why in reasons]
            self.carried = Fold("From the last shoot", label("\n".join(lines), "", "what was carried over, and why"))
            self.carried.say(counted(len(lines), "change"))
            self._column.addWidget(self.carried)

    def _build(self) -> None:
        """Make every section; those that change as flavours, shots and people come and go are made anew with them."""
        self._folded("The day", summaries.day, paths(questions.DAY), lambda: [Form(self.draft, questions.DAY)])
        self._make_people()
        self._folded("Studio", summaries.studio, paths(questions.STUDIO), lambda: [Form(self.draft, questions.STUDIO)])
        self._make_flavours()
        self._make_shots()
        self._make_tubs()
        truck = [ask.at("delivery") for ask in questions.DELIVERY] + [questions.DELIVERED]
        self._folded("Delivery", summaries.delivery, paths(truck), lambda: [Form(self.draft, truck)])
        ice = [ask.at("dry_ice") for ask in questions.ICE]
        self._folded("Dry ice", summaries.ice, paths(ice), lambda: [Form(self.draft, ice)])
        self._folded("Timing", summaries.timing, paths(questions.TIMING), lambda: [Form(self.draft, questions.TIMING)])
        self._folded("Physics", summaries.physics, paths(questions.PHYSICS), lambda: [Physics(self.draft)])

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
            self._make_shots()
            self._made_anew()
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
        """Return the field that a problem at `path` belongs to; the section that asks for it is made."""
        here = at_first(path)
        for title, asked in self._asked.items():
            if any(here[:length] in asked for length in range(1, len(here) + 1)):
                self.made(title)
        found = (form.field_for(path) for form in self._all_forms())
        return next((field for field in found if field is not None), None)

    def made(self, title: str) -> list[Form]:
        """Return the forms of a section, made when it was never unfolded."""
        if title not in self.forms:
            assert self.sections[title].inside is not None
        return self.forms[title]

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
        people = [form for form in self.forms.get(PEOPLE, []) if isinstance(form, People)]
        lists = (self.shots.heroes, self.shots.steps, *people)
        return next((each for each in lists if widget is not None and each.isAncestorOf(widget)), None)

    def _edited(self) -> None:
        self._say()
        self.edited.emit()

    def _flavour_edited(self) -> None:
        self.shots.heroes.show_draft()
        self._edited()

    def _all_forms(self) -> list[Form]:
        return [form for title in self.sections for form in self.forms.get(title, ())]

    def _say(self) -> None:
        for name, fold in self.sections.items():
            count = self._wrong.get(name, 0)
            fold.say(self._said[name](self.draft), f"{count} to mend" if count else "")

    def _folded(self, title: str, said: Said, asked: Iterable[Path], make: Callable[[], list[Form]]) -> None:
        """Make a section whose forms, which ask for `asked`, are made when it is first unfolded or one is wanted."""
        self.forms.pop(title, None)
        self._asked[title] = frozenset(asked)
        self._section(title, said, partial(self._stacked, title, make))

    def _stacked(self, title: str, make: Callable[[], list[Form]]) -> QWidget:
        forms = make()
        self._take(title, forms)
        return Stacked(forms)

    def _take(self, title: str, forms: Iterable[Form]) -> None:
        """Have a section's forms, and say in their fields what is another than in the shoot before."""
        self.forms[title] = list(forms)
        for form in self.forms[title]:
            form.edited.connect(self._flavour_edited if title == "Flavours" else self._edited)
            for field in form.all_fields():
                field.give_reason(self._reason_of(field))

    def _section(self, title: str, said: Said, inside: QWidget | Callable[[], QWidget]) -> None:
        """Make a section, or make it anew in its place."""
        self._said[title] = said
        fold = Fold(title, inside, title in self._unfolded)
        fold.toggled.connect(partial(self._keep, title))
        fold.made.connect(self.rebuilt)
        old = self.sections.get(title)
        self.sections[title] = fold
        if old is None:
            self._column.addWidget(fold)
        else:
            self._column.replaceWidget(old, fold, Qt.FindChildOption.FindDirectChildrenOnly)
            fold.show()
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
        for make in self._anew.get(then, (self._make_shots,)):
            make()
        self._made_anew()
        focus = {"flavour": self.flavours.focus_last, "scoop": self.shots.heroes.focus_last,
                 "step": self.shots.steps.focus_last, "person": self._focus_people}  # fmt: skip
        focus.get(then, self.shots.focus_name)()
        self.changed_shape.emit()

    @property
    def _anew(self) -> dict[str, tuple[Callable[[], None], ...]]:
        """What is made anew with a change of a list; of the others, the chosen shot alone."""
        return {
            "flavour": (self._make_flavours, self._make_shots, self._make_tubs),
            "person": (self._make_people,),
        }

    def _made_anew(self) -> None:
        self._say()
        self.rebuilt.emit()

    def _make_people(self) -> None:
        self._folded(PEOPLE, summaries.people, [("people",), *paths(questions.PLACE)], self._people)

    def _people(self) -> list[Form]:
        people = People(self.draft)
        people.changed_shape.connect(partial(self._change, as_it_is, "person"))
        return [people, Form(self.draft, questions.PLACE)]

    def _focus_people(self) -> None:
        people = self.made(PEOPLE)[0]
        assert isinstance(people, People)
        people.focus_last()

    def _make_flavours(self) -> None:
        self.flavours = Flavours(self.draft)
        self.flavours.file_wanted.connect(self.file_wanted)
        self.flavours.changed_shape.connect(self._change)
        self._take("Flavours", self.flavours.forms)
        self._section("Flavours", summaries.flavours, self.flavours)

    def _make_shots(self) -> None:
        """Make the shots, with the fields of the chosen one."""
        self.shots = Shots(self.draft, self.shot)
        self.shots.chosen.connect(self.choose_shot)
        self.shots.changed_shape.connect(self._change)
        self._take("Shots", self.shots.forms)
        self._section("Shots", summaries.shots, self.shots)

    def _make_tubs(self) -> None:
        asked = [("tub",), *(("flavours", 0, word) for word in ("tub", "form", "spare_tubs")), *paths(questions.PULLS)]
        self._folded("Tubs and pulls", summaries.tubs, asked, self._tubs)

    def _tubs(self) -> list[Form]:
        rest = Form(self.draft, questions.PULLS)
        return [TubForm(self.draft, ("tub",), words="tub of the shoot"), *flavour_tubs(self.draft), rest]

    def _reason_of(self, field: Field) -> str:
        """Return why the value of a field is another than in the shoot before: what begins with its words, and in a
        shot with that shot's name."""
        path, words = field.ask.path, field.ask.told or field.ask.words
        whose = f"of {self.draft['shots'][path[1]].get('name')} " if path[0] == "shots" and len(path) > 1 else ""
        return next((why for why in self.draft.get("carried") or [] if why.startswith(f"{words} {whose}")), "")


def paths(asks: Iterable[Ask]) -> list[Path]:
    """Return where in a plan these questions stand."""
    return [ask.path for ask in asks]


def at_first(path: Path) -> Path:
    """Return the same place in the first of a list."""
    return tuple(0 if isinstance(part, int) else part for part in path)


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
