"""The shots as cards: each in one line with its scoops, the chosen one unfolded with all its fields."""

from __future__ import annotations

import copy
from functools import partial

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFontMetricsF, QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QFrame, QLineEdit, QVBoxLayout, QWidget

from studiotimer.prep.draft import Values, free_name
from studiotimer.window import theme
from studiotimer.window.flow import flowing
from studiotimer.window.prep import questions
from studiotimer.window.prep.fold import shown_in
from studiotimer.window.prep.frame_heroes import SCOOP_WIDE, Heroes, paint_scoop
from studiotimer.window.prep.input_forms import Form
from studiotimer.window.prep.step_rows import Steps
from studiotimer.window.prep.summaries import shot as shot_said
from studiotimer.window.style import button
from studiotimer.window.theme import BODY, SMALL
from studiotimer.window.tips import tip

HEAD, INSIDE = 56, 12
SMALLER, MOST_SCOOPS = 0.6, 5
LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter


class CardHead(QAbstractButton):
    """A shot in one line: its name, what is wanted of it and its scoops."""

    def __init__(self) -> None:
        super().__init__()
        self.setCheckable(True)
        self.setFixedHeight(HEAD)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self._name, self._said, self._scoops, self._wrong = "", "", [0], False

    def show_shot(self, draft: Values, number: int, open_: bool, wrong: bool = False) -> None:
        """Show a shot of a draft."""
        shot = draft["shots"][number]
        self._name = str(shot.get("name") or "no name")
        self._said = "" if open_ else shot_said(draft, number)
        self._scoops = [int(hero["flavour"]) for hero in shot["heroes"]]
        self._wrong = wrong
        self.setChecked(open_)
        state = "unfolded" if open_ else "folded"
        mend = ", something to mend" if wrong else ""
        self.setAccessibleName(f"shot {self._name}, {shot_said(draft, number)}{mend}, {state}")
        self.setToolTip(tip(f"{self._name}: {shot_said(draft, number)}"))
        self.setFixedHeight(44 if open_ else HEAD)
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(200, HEAD)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter, colours = QPainter(self), shown_in(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self.underMouse() or self.hasFocus():
            painter.setPen(QPen(colours.colour("accent"), 2.0) if self.hasFocus() else Qt.PenStyle.NoPen)
            painter.setBrush(colours.colour("raised") if self.underMouse() else Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(2, 2, -2, -2), 8, 8)
        drawn, wide = self._scoops[:MOST_SCOOPS], SCOOP_WIDE * SMALLER + 4
        right = self.width() - 30.0
        for place, flavour in enumerate(reversed(drawn)):
            paint_scoop(painter, QPointF(right - wide * (place + 0.5), self.height() / 2), flavour, SMALLER)
        room = right - wide * len(drawn) - INSIDE - 8
        strong, small = theme.font(BODY, "strong"), theme.font(SMALL)
        painter.setFont(strong)
        painter.setPen(colours.colour("danger" if self._wrong else "text"))
        name = QFontMetricsF(strong).elidedText(self._name, Qt.TextElideMode.ElideRight, room)
        middle = self.height() / 2
        painter.drawText(QRectF(INSIDE, middle - (20 if self._said else 10), room, 20), LEFT, name)
        painter.setFont(small)
        painter.setPen(colours.colour("quiet"))
        said = QFontMetricsF(small).elidedText(self._said, Qt.TextElideMode.ElideRight, room)
        painter.drawText(QRectF(INSIDE, middle, room, 18), LEFT, said)
        painter.setPen(QPen(colours.colour("quiet"), 1.8))
        x, y, tall = self.width() - 16.0, middle + 1.0, -3.0 if self.isChecked() else 3.0
        painter.drawPolyline([QPointF(x - 4, y - tall), QPointF(x, y + tall), QPointF(x + 4, y - tall)])


class Shots(QWidget):
    """All shots, and the chosen one's fields."""

    edited = Signal()
    changed_shape = Signal(object, str)
    chosen = Signal(int)

    def __init__(self, draft: Values, number: int, unfolded: bool = True) -> None:
        super().__init__()
        self._draft, self.number = draft, number
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 4, 0, 0)
        column.setSpacing(8)
        self.names: list[CardHead] = []
        self._wrong: set[int] = set()
        for each in range(len(draft["shots"])):
            column.addWidget(self._card(each))
        self.unfold(unfolded)
        self.more = button("+ shot like this one", self.add, "link", "add a shot", "Ctrl+Return while writing a shot")
        self.remove_it = button("take this shot out", self.remove, "link", hint="Ctrl+Shift+Delete while writing it")
        self.remove_it.setEnabled(len(draft["shots"]) > 1)
        column.addWidget(flowing(6, self.more, self.remove_it))

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

    def unfold(self, unfolded: bool) -> None:
        """Show the chosen shot's fields, or fold them."""
        self.unfolded = unfolded
        self._inside.setVisible(unfolded)
        self.show_names()

    def show_names(self) -> None:
        """Show every shot as it is in the draft now."""
        for each, head in enumerate(self.names):
            head.show_shot(self._draft, each, each == self.number and self.unfolded, each in self._wrong)

    def say_wrong(self, numbers: set[int]) -> None:
        """Mark the shots in which something is wrong."""
        self._wrong = numbers
        self.show_names()

    def focus_name(self) -> None:
        """Give the keys to the shot's name, all of it ready to be written over."""
        self.unfold(True)
        line = self.form.fields["shots", self.number, "name"].editor
        assert isinstance(line, QLineEdit)
        line.setFocus()
        line.selectAll()

    def _card(self, number: int) -> QFrame:
        card = QFrame()
        card.setProperty("role", "card")
        column = QVBoxLayout(card)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        head = CardHead()
        head.clicked.connect(partial(self._pressed, number))
        self.names.append(head)
        column.addWidget(head)
        if number == self.number:
            self._inside = self._fields(number)
            column.addWidget(self._inside)
        return card

    def _fields(self, number: int) -> QWidget:
        """Return the fields of the chosen shot, in the order of the work: what, how it looks, dressing, frames."""
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(INSIDE, 0, INSIDE, 8)
        column.setSpacing(0)
        about = f"shot {number + 1}, "
        self.form = Form(self._draft, [ask.at("shots", number) for ask in questions.SHOT_NAME], about)
        self.heroes = Heroes(self._draft, number)
        self.looks = Form(self._draft, [ask.at("shots", number) for ask in questions.SHOT], about)
        self.steps = Steps(self._draft, number)
        self.frames = Form(self._draft, [ask.at("shots", number) for ask in questions.FRAMES], about)
        self.heroes.changed_shape.connect(lambda: self.changed_shape.emit(as_it_is, "scoop"))
        self.steps.changed_shape.connect(lambda: self.changed_shape.emit(as_it_is, "step"))
        for form in self.forms:
            form.edited.connect(self._edited)
            column.addWidget(form)
            column.addSpacing(6)
        dressing = self.frames.fields["shots", number, "dressing"]
        dressing.setEnabled(not self.steps.removes)
        return inside

    @property
    def forms(self) -> list[Form]:
        """Return the forms of the chosen shot."""
        return [self.form, self.heroes, self.looks, self.steps, self.frames]

    def _pressed(self, number: int) -> None:
        if number == self.number:
            self.unfold(not self.unfolded)
        else:
            self.chosen.emit(number)

    def _edited(self) -> None:
        self.show_names()
        self.edited.emit()


def as_it_is(draft: Values) -> None:
    """Leave the lists of a draft: what changed stands in one shot."""
