"""The parts of the Prep page's inputs: forms of fields over one draft, and the lists in it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from studiotimer.prep.draft import Path, Values, put, value_at
from studiotimer.prep.plan import PlanError, Tub
from studiotimer.prep.tubs import size_names, size_of
from studiotimer.window.choice import Choice
from studiotimer.window.prep.fitted import HEIGHT
from studiotimer.window.prep.questions import CUT, OWN_SIZE
from studiotimer.window.prep.written_fields import Ask, Field
from studiotimer.window.style import button

BESIDE = 6
OWN = "own size"
AS_THE_SHOOT = "same as the shoot"
NEW_SIZE = {"across": "240 mm", "depth": "250 mm"}


class FormRow(QWidget):
    """Fields side by side, over a line that is kept for what is wrong with them: nothing moves when it speaks."""

    def __init__(self) -> None:
        super().__init__()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        self._fields, self._said = QHBoxLayout(), QHBoxLayout()
        for row in (self._fields, self._said):
            row.setContentsMargins(0, 0, 0, 0)
            row.setSpacing(BESIDE)
        column.addLayout(self._fields)
        line = QWidget()
        line.setFixedHeight(HEIGHT)
        line.setLayout(self._said)
        column.addWidget(line)

    def place(self, field: Field) -> None:
        """Put a field at the row's end, and its message into the line below."""
        self._fields.addWidget(field, field.ask.share, Qt.AlignmentFlag.AlignBottom)
        self._said.addWidget(field.message, 1)

    def put(self, widget: QWidget) -> None:
        """Put something else at the row's end."""
        self._fields.addWidget(widget, 0, Qt.AlignmentFlag.AlignBottom)


class Form(QWidget):
    """Fields over a draft, each writing what is edited to its place there."""

    edited = Signal()

    def __init__(self, draft: Values, asks: Iterable[Ask] = (), about: str = "") -> None:
        super().__init__()
        self.draft = draft
        self.about = about
        self.fields: dict[Path, Field] = {}
        self.rows: dict[Path, FormRow] = {}
        self.joined: list[Form] = []
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 0, 0, 0)
        self.column.setSpacing(0)
        self._row: FormRow | None = None
        for ask in asks:
            self.add(ask)

    def add(self, ask: Ask, editor: QWidget | None = None, named: bool = True) -> Field:
        """Add a field, below the last one or beside it."""
        field = Field(ask, value_at(self.draft, ask.path), self.about, editor, named)
        field.edited.connect(self._edited)
        if self._row is None or not ask.beside:
            self._row = FormRow()
            self.column.addWidget(self._row)
        self._row.place(field)
        self.fields[ask.path], self.rows[ask.path] = field, self._row
        return field

    def join(self, form: Form) -> None:
        """Put another form under the fields so far, as a part of this one."""
        form.edited.connect(self.edited)
        self.joined.append(form)
        self.column.addWidget(form)
        self._row = None

    def show_draft(self) -> None:
        """Show what the draft has now."""
        for path, field in self.fields.items():
            field.show_value(value_at(self.draft, path))
        for form in self.joined:
            form.show_draft()

    def field_for(self, path: Path) -> Field | None:
        """Return the field a problem at `path` belongs to: the one there, or the nearest around it."""
        for form in self.joined:
            if (field := form.field_for(path)) is not None:
                return field
        while path:
            if path in self.fields:
                return self.fields[path]
            path = path[:-1]
        return None

    def all_fields(self) -> Iterator[Field]:
        """Return the fields of this form and of those joined to it."""
        yield from self.fields.values()
        for form in self.joined:
            yield from form.all_fields()

    def _edited(self, path: Path, value: object) -> None:
        put(self.draft, path, value)
        field = self.fields[path]
        if field.reason:
            self.draft["carried"] = [why for why in self.draft["carried"] if why != field.reason]
            field.give_reason("")
        self.edited.emit()


class Rows(Form):
    """The things in a list of the draft, the same fields for each; Enter goes to the next one, or adds it."""

    changed_shape = Signal()

    def __init__(self, draft: Values, path: Path, word: str, asks: Sequence[Ask], least: int = 0) -> None:
        super().__init__(draft)
        self._path, self._word, self._asks, self._least = path, word, asks, least
        self.removes: list[QPushButton] = []
        for number in range(len(self.items)):
            self._add_item(number)
        self.more = button(f"+ {word}", self.more_items, "link", f"add a {word}")
        self.column.addWidget(self.more, 0, Qt.AlignmentFlag.AlignLeft)

    @property
    def items(self) -> list[Values]:
        """What the list has."""
        return value_at(self.draft, self._path) or []

    def new_item(self) -> Values:
        """Return what is added: like the last one, unless a list knows better."""
        return dict(self.items[-1]) if self.items else {}

    def more_items(self) -> None:
        """Add one."""
        new = self.new_item()
        if value_at(self.draft, self._path) is None:
            put(self.draft, self._path, [])
        value_at(self.draft, self._path).append(new)
        self.changed_shape.emit()

    def remove(self, number: int) -> None:
        """Take one out."""
        if len(self.items) > self._least:
            self.items.pop(number)
            self.changed_shape.emit()

    def remove_here(self) -> None:
        """Take out the one that has the keys."""
        here = self._here()
        if here is not None:
            self.remove(here[0])

    def focus_last(self) -> None:
        """Give the keys to the last one's first field, or to what adds one."""
        self._focus(len(self.items) - 1, 0) if self.items else self.more.setFocus()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        here = self._here() if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) else None
        if here is None:
            super().keyPressEvent(event)
        elif here[0] + 1 < len(self.items):
            self._focus(here[0] + 1, here[1])
        else:
            self.more_items()

    def _add_item(self, number: int) -> None:
        self.about = f"{self._word} {number + 1}, "
        two_lines = sum(not ask.beside for ask in self._asks) > 1
        for place, ask in enumerate(self._asks):
            self.add(ask.at(*self._path, number), named=number == 0 or two_lines)
            following = self._asks[place + 1] if place + 1 < len(self._asks) else None
            if len(self.removes) == number and (following is None or not following.beside):
                self._add_remove(number)

    def _add_remove(self, number: int) -> None:
        remove = button("×", partial(self.remove, number), "take", f"take {self._word} {number + 1} out")
        remove.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        remove.setToolTip("Ctrl+Shift+Delete while writing it")
        remove.setEnabled(len(self.items) > self._least)
        self.removes.append(remove)
        assert self._row is not None
        self._row.put(remove)

    def _focus(self, number: int, place: int) -> None:
        editor = self.fields[(*self._path, number, *self._asks[place].path)].editor
        editor.setFocus(Qt.FocusReason.TabFocusReason)

    def _here(self) -> tuple[int, int] | None:
        """Return which of them has the keys, and in which of its fields."""
        focus = QApplication.focusWidget()
        path = next((path for path, field in self.fields.items() if field.editor is focus), None)
        if path is None:
            return None
        number = path[len(self._path)]
        place = next(n for n, ask in enumerate(self._asks) if path[len(self._path) + 1 :] == ask.path)
        return int(number), place


class TubForm(Form):
    """A tub: a trade size or its own dimensions, and in how many pieces it is cut."""

    def __init__(self, draft: Values, path: Path, about: str = "", words: str = "tub", optional: bool = False) -> None:
        super().__init__(draft, (), about)
        self._path, self._optional = path, optional
        self.sizes = Choice()
        self.sizes.activated.connect(self._chosen)
        said = "the size it comes in, or its own across and deep"
        self._size = self.add(Ask((*path, "size"), words, said, share=16), self.sizes)
        self._cut = self.add(CUT.at(*path))
        self._own = [self.add(ask.at(*path)) for ask in OWN_SIZE]
        self.show_draft()

    def add_beside(self, ask: Ask) -> Field:
        """Add a field to the row of the tub's size."""
        self._row = self.rows[self._size.ask.path]
        return self.add(ask)

    def field_for(self, path: Path) -> Field | None:
        near = path[: len(self._path)] == self._path
        return super().field_for(path) or (self._size if near else None)

    def show_draft(self) -> None:
        super().show_draft()
        tub = value_at(self.draft, self._path)
        own = tub is not None and tub.get("size") is None
        choices = [(name, size_of(Tub(size=name)).called) for name in size_names()]
        shown = AS_THE_SHOOT if tub is None else OWN if own else _trade_name(str(tub["size"]))
        offered = ((AS_THE_SHOOT, AS_THE_SHOOT),) if self._optional else ()
        self._size.offer((*offered, *choices, (OWN, OWN)), shown)
        self._cut.setVisible(tub is not None)
        for field in self._own:
            self.rows[field.ask.path].setVisible(own)

    def _chosen(self, number: int) -> None:
        chosen, cut = self.sizes.itemData(number), value_at(self.draft, (*self._path, "cut")) or 1
        if chosen == AS_THE_SHOOT:
            put(self.draft, self._path, None)
        elif chosen == OWN:
            put(self.draft, self._path, {**NEW_SIZE, "cut": cut})
        else:
            put(self.draft, self._path, {"size": chosen, "cut": cut})
        self.show_draft()
        self.edited.emit()


def _trade_name(written: str) -> str:
    """Return the trade size's own name for what was written, as it is when it is none."""
    try:
        return size_of(Tub(size=written)).name
    except PlanError:
        return written
