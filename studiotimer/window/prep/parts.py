"""The parts of the Prep page's inputs: folding sections, and forms of fields over one draft."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import partial
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from studiotimer.prep.draft import Path, Values, put, value_at
from studiotimer.prep.plan import PlanError, Tub
from studiotimer.prep.tubs import size_names, size_of
from studiotimer.window.choice import Choice
from studiotimer.window.prep.fields import BESIDE_WIDTH, LABEL_WIDTH, Ask, Field
from studiotimer.window.prep.questions import CUT, OWN_SIZE
from studiotimer.window.style import button, label

SPACING = 6
SHORT_WIDTH, SCOOP_WIDTH, SPOT_SHARE, CUT_SHARE = 46, 64, 60, 36
OWN = "own size"
AS_THE_SHOOT = "same as the shoot"
NEW_SIZE = {"across": "240 mm", "depth": "250 mm"}


class Fold(QWidget):
    """A heading that folds and unfolds what stands under it."""

    toggled = Signal(bool)

    def __init__(self, title: str, inside: QWidget, unfolded: bool = True) -> None:
        super().__init__()
        self._title, self.inside = title, inside
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(SPACING)
        self.heading = button(title, self._turn, "section")
        column.addWidget(self.heading, 0, Qt.AlignmentFlag.AlignLeft)
        column.addWidget(inside)
        self.unfold(unfolded)

    def unfold(self, unfolded: bool) -> None:
        """Show what stands under the heading, or hide it."""
        self.inside.setVisible(unfolded)
        self.heading.setText(f"{'▾' if unfolded else '▸'}  {self._title}")
        self.heading.setAccessibleName(f"{self._title}, {'unfolded' if unfolded else 'folded'}")
        self.toggled.emit(unfolded)

    def _turn(self) -> None:
        self.unfold(self.inside.isHidden())


class Form(QWidget):
    """Fields over a draft, each writing what is edited to its place there."""

    edited = Signal()

    def __init__(self, draft: Values, asks: Iterable[Ask] = (), about: str = "") -> None:
        super().__init__()
        self.draft = draft
        self.about = about
        self.fields: dict[Path, Field] = {}
        self.joined: list[Form] = []
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 0, 0, 0)
        self.column.setSpacing(SPACING)
        self._row: QHBoxLayout | None = None
        for ask in asks:
            self.add(ask)

    def add(self, ask: Ask, editor: QWidget | None = None, share: int = 0) -> Field:
        """Add a field, below the last one or beside it; `share` is its part of the row's width."""
        field = Field(ask, value_at(self.draft, ask.path), self.about, editor)
        field.edited.connect(self._edited)
        self.fields[ask.path] = field
        if self._row is None or not ask.beside:
            self._row = QHBoxLayout()
            self._row.setSpacing(12)
            self.column.addLayout(self._row)
        share = share or (BESIDE_WIDTH if ask.beside else LABEL_WIDTH)
        self._row.addWidget(field, share, Qt.AlignmentFlag.AlignTop)
        self.column.addWidget(field.message)
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

    def _edited(self, path: Path, value: Any) -> None:
        put(self.draft, path, value)
        self.edited.emit()


class TubForm(Form):
    """A tub: a trade size or its own dimensions, and in how many pieces it is cut."""

    def __init__(self, draft: Values, path: Path, about: str = "", optional: bool = False) -> None:
        super().__init__(draft, (), about)
        self._path, self._optional = path, optional
        self.sizes = Choice()
        self.sizes.activated.connect(self._chosen)
        self._size = self.add(Ask((*path, "size"), "Tub"), self.sizes)
        self._cut = self.add(CUT.at(*path), share=CUT_SHARE)
        self._cut.words.setFixedWidth(SHORT_WIDTH)
        self._own = [self.add(ask.at(*path)) for ask in OWN_SIZE]
        self.show_draft()

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
            field.setVisible(own)

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


class Heroes(Form):
    """The scoops in one shot's frame: each a flavour and a spot."""

    changed_shape = Signal()

    def __init__(self, draft: Values, shot: int) -> None:
        super().__init__(draft)
        self._path: Path = ("shots", shot, "heroes")
        heroes = value_at(draft, self._path)
        flavours = self._flavours()
        self.message = label("", "danger", "scoops in the frame, what is wrong")
        self.removes = []
        for number in range(len(heroes)):
            said = f"scoop {number + 1}, "
            self.about = said
            what = Ask(("flavour",), f"Scoop {number + 1}", kind="choice", choices=flavours)
            self.add(what.at(*self._path, number)).words.setFixedWidth(SCOOP_WIDTH)
            spot = self.add(Ask(("spot",), "Spot", "left, top", beside=True).at(*self._path, number), share=SPOT_SHARE)
            spot.words.setFixedWidth(SHORT_WIDTH)
            remove = button("×", partial(self.remove, number), "link", f"take scoop {number + 1} out of the frame")
            remove.setEnabled(len(heroes) > 1)
            self.removes.append(remove)
            assert self._row is not None
            self._row.addWidget(remove)
        self.more = button("Add a scoop to the frame", self.more_heroes, "link")
        self.column.addWidget(self.more, 0, Qt.AlignmentFlag.AlignLeft)
        self.column.addWidget(self.message)
        self.message.hide()

    def show_draft(self) -> None:
        super().show_draft()
        for path, field in self.fields.items():
            if path[-1] == "flavour":
                field.offer(self._flavours(), value_at(self.draft, path))

    def focus_last(self) -> None:
        """Give the keys to the last scoop."""
        list(self.fields.values())[-2].editor.setFocus()

    def more_heroes(self) -> None:
        """Add a scoop: the flavour that is not in the frame yet, on a spot of its own."""
        heroes = value_at(self.draft, self._path)
        used = [hero["flavour"] for hero in heroes]
        free = next((n for n in range(len(self.draft["flavours"])) if n not in used), used[-1])
        spots = {hero.get("spot", "") for hero in heroes}
        spot = next(f"spot {n}" for n in range(1, len(heroes) + 2) if f"spot {n}" not in spots)
        heroes.append({"flavour": free, "spot": spot})
        self.changed_shape.emit()

    def remove(self, number: int) -> None:
        """Take a scoop out of the frame."""
        heroes = value_at(self.draft, self._path)
        if len(heroes) > 1:
            heroes.pop(number)
            self.changed_shape.emit()

    def _flavours(self) -> tuple[tuple[int, str], ...]:
        names = enumerate(one.get("name") for one in self.draft["flavours"])
        return tuple((number, str(name or f"flavour {number + 1}")) for number, name in names)

    def say(self, sentence: str) -> None:
        """Say what is wrong with the scoops together."""
        self.message.setText(sentence)
        self.message.setVisible(bool(sentence))


def _trade_name(written: str) -> str:
    """Return the trade size's own name for what was written, as it is when it is none."""
    try:
        return size_of(Tub(size=written)).name
    except PlanError:
        return written
