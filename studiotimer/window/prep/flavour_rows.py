"""The flavours of the plan: each with its name, its mix by class or from a file, its tone, freezer and tub."""

from __future__ import annotations

import copy
from functools import partial
from pathlib import Path as File

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QLineEdit, QVBoxLayout, QWidget

from studiotimer.files import small_json
from studiotimer.mixes import mix_from_data, mixes
from studiotimer.prep.draft import Values, free_name, put, value_at, without_flavour
from studiotimer.thermal.mix import MixError
from studiotimer.window.choice import Choice
from studiotimer.window.prep.input_forms import Form, TubForm
from studiotimer.window.prep.questions import FLAVOUR, PULLED_AS, SPARE_TUBS
from studiotimer.window.prep.written_fields import Ask, Field
from studiotimer.window.style import button

FROM_FILE = "a recipe or label file…"
NEW_NAMES = ("vanilla", "chocolate", "strawberry", "pistachio", "lemon")


class FlavourForm(Form):
    """One flavour, on one row."""

    file_wanted = Signal(int)
    removed = Signal(int)

    def __init__(self, draft: Values, number: int, only: bool) -> None:
        super().__init__(draft, (), f"flavour {number + 1}, ")
        path, named = ("flavours", number), number == 0
        self.number = number
        self.name = self.add(Ask(("name",), "flavour", "what it is called", share=120).at(*path), named=named)
        self.mixes = Choice()
        self.mixes.activated.connect(self._chosen)
        what = "what the product is: its class, or its own recipe or carton label"
        self.mix: Field = self.add(Ask((*path, "mix"), "mix", what, beside=True, share=138), self.mixes, named)
        for ask in FLAVOUR:
            self.add(ask.at(*path), named=named)
        self.remove = button("×", lambda: self.removed.emit(number), "take", f"take flavour {number + 1} out")
        self.remove.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        self.remove.setToolTip("Ctrl+Shift+Delete while writing it")
        self.remove.setEnabled(not only)
        assert self._row is not None
        self._row.put(self.remove)
        self.show_draft()

    def show_draft(self) -> None:
        super().show_draft()
        mix = value_at(self.draft, ("flavours", self.number, "mix"))
        choices = [(name, name) for name in mixes()]
        if isinstance(mix, dict):
            choices.insert(0, ("own", _called(mix)))
        self.mix.offer((*choices, (FROM_FILE, FROM_FILE)), "own" if isinstance(mix, dict) else mix)

    def _chosen(self, index: int) -> None:
        chosen = self.mixes.itemData(index)
        if chosen == FROM_FILE:
            self.show_draft()
            self.file_wanted.emit(self.number)
        elif chosen != "own":
            put(self.draft, ("flavours", self.number, "mix"), chosen)
            self.show_draft()
            self.edited.emit()


class Flavours(QWidget):
    """All flavours, one under the other."""

    edited = Signal()
    changed_shape = Signal(object, str)
    file_wanted = Signal(int)

    def __init__(self, draft: Values) -> None:
        super().__init__()
        self._draft = draft
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        self.forms: list[FlavourForm] = []
        count = len(draft["flavours"])
        for number in range(count):
            form = FlavourForm(draft, number, count == 1)
            form.edited.connect(self.edited)
            form.file_wanted.connect(self.file_wanted)
            form.removed.connect(self.remove)
            self.forms.append(form)
            column.addWidget(form)
        self.more = button("+ flavour", self.add, "link", "add a flavour", "Enter in the last flavour")
        column.addWidget(self.more, 0, Qt.AlignmentFlag.AlignLeft)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        here = self.number_of(QApplication.focusWidget())
        if event.key() not in (Qt.Key.Key_Return, Qt.Key.Key_Enter) or here is None:
            super().keyPressEvent(event)
        elif here + 1 < len(self.forms):
            self.forms[here + 1].name.editor.setFocus(Qt.FocusReason.TabFocusReason)
        else:
            self.add()

    def add(self) -> None:
        """Add a flavour like the last one, under a free name."""
        flavours = self._draft["flavours"]
        names = [str(one.get("name", "")) for one in flavours]
        name = next((one for one in NEW_NAMES if one not in names), free_name("flavour", names))
        self.changed_shape.emit(partial(_with_flavour, name=name, like=dict(flavours[-1])), "flavour")

    def remove(self, number: int) -> None:
        """Take a flavour out, and its scoops with it."""
        if len(self._draft["flavours"]) > 1:
            self.changed_shape.emit(partial(without_flavour, number=number), "flavour")

    def number_of(self, widget: QWidget | None) -> int | None:
        """Return the flavour that `widget` is part of."""
        return next((form.number for form in self.forms if widget and form.isAncestorOf(widget)), None)

    def focus_last(self) -> None:
        """Give the keys to the last flavour's name, all of it ready to be written over."""
        line = self.forms[-1].name.editor
        assert isinstance(line, QLineEdit)
        line.setFocus()
        line.selectAll()


def flavour_tubs(draft: Values) -> list[TubForm]:
    """Return the tub of each flavour, where it is not the shoot's, what is pulled, and how many spares are ordered."""
    forms = []
    for number, flavour in enumerate(draft["flavours"]):
        name = str(flavour.get("name") or f"flavour {number + 1}")
        form = TubForm(draft, ("flavours", number, "tub"), f"flavour {number + 1}, ", name, optional=True)
        form.add_beside(PULLED_AS.at("flavours", number))
        form.add_beside(SPARE_TUBS.at("flavours", number))
        forms.append(form)
    return forms


def read_mix(file: File) -> dict[str, object]:
    """Return the recipe or label in a JSON file as a plan keeps it; raises MixError when it is none."""
    try:
        data = small_json(file)
    except OSError as error:
        raise MixError(f"{file.name} cannot be read: {error.strerror}") from None
    except ValueError:
        raise MixError(f"{file.name} is not a JSON file") from None
    mix_from_data(data, file.stem)
    inner = data.get("recipe", data.get("label", data))
    inner.setdefault("name", file.stem)
    kept: dict[str, object] = data
    return kept


def _with_flavour(draft: Values, name: str, like: Values) -> None:
    new: Values = {key: copy.deepcopy(value) for key, value in like.items() if key != "tub"}
    draft["flavours"].append(new | {"name": name})


def _called(mix: Values) -> str:
    inner = mix.get("recipe", mix.get("label", mix))
    label = "label" in mix or (isinstance(inner, dict) and ("serving_g" in inner or "serving_ml" in inner))
    name = inner.get("name", "") if isinstance(inner, dict) else ""
    return f"{'carton label' if label else 'recipe'} {name}".strip()
