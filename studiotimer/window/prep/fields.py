"""Fields of the Prep page: a label, what is written, and one sentence beside it when it cannot be used."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, Literal

from PySide6.QtCore import QPointF, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QCheckBox, QGridLayout, QLineEdit, QStyle, QStyleOptionButton, QWidget

from studiotimer.prep.draft import Path, quantity_at
from studiotimer.window import theme
from studiotimer.window.choice import Choice, Offering
from studiotimer.window.style import label, restyle
from studiotimer.window.typed import TypedDate, TypedNumber, TypedTime

LABEL_WIDTH, BESIDE_WIDTH, LEAST_WIDTH = 100, 86, 56
LONGEST = 400


class Tick(QCheckBox):
    """A box that shows a tick when it is on."""

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        if self.isChecked():
            option = QStyleOptionButton()
            self.initStyleOption(option)
            box = self.style().subElementRect(QStyle.SubElement.SE_CheckBoxIndicator, option, self)
            painter = QPainter(self)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            light = self.palette().windowText().color().lightness() < 128
            painter.setPen(QPen(QColor(theme.PAPER if light else theme.INK), 2.2))
            x, y = box.center().x() + 1.0, box.center().y() + 1.0
            painter.drawPolyline([QPointF(x - 5, y), QPointF(x - 1.5, y + 3.5), QPointF(x + 5, y - 4)])


@dataclass(frozen=True)
class Ask:
    """What a field asks: where it stands in the plan, its words, an example, and what it takes.

    With `empty`, a field may be empty, which means that; with `beside`, it stands beside the one before. A text with
    `choices` offers them as it is written.
    """

    path: Path
    words: str
    example: str = ""
    kind: Literal["text", "count", "number", "tick", "choice", "date", "time"] = "text"
    choices: tuple[tuple[Any, str], ...] = ()
    empty: str = ""
    beside: bool = False

    def at(self, *prefix: str | int) -> Ask:
        """Return the same question of the part of the plan at `prefix`."""
        return replace(self, path=(*prefix, *self.path))


class Field(QWidget):
    """One question with its answer; what is wrong with it stands in `message`, which its form puts under the row."""

    edited = Signal(object, object)

    def __init__(self, ask: Ask, value: Any, about: str = "", editor: QWidget | None = None) -> None:
        super().__init__()
        self.ask = ask
        self._hinted = ""
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(8)
        self._grid.setColumnStretch(1, 1)
        self.editor = editor or self._made()
        self.words = label(ask.words, "ask")
        self.words.setFixedWidth(BESIDE_WIDTH if ask.beside else LABEL_WIDTH)
        self.words.setBuddy(self.editor)
        self.message = label("", "danger", f"{ask.words}, what is wrong")
        self.message.hide()
        self.editor.setAccessibleName(f"{about}{ask.words}".lower())
        self.editor.setToolTip(ask.example)
        self.editor.setMinimumWidth(LEAST_WIDTH)
        self._grid.addWidget(self.words, 0, 0, Qt.AlignmentFlag.AlignVCenter)
        self._grid.addWidget(self.editor, 0, 1)
        self.words.setVisible(ask.kind != "tick")
        self._choices = ask.choices
        self.show_value(value)

    def offer(self, choices: tuple[tuple[Any, str], ...], value: Any) -> None:
        """Offer other choices, with `value` chosen."""
        self._choices = choices
        self.show_value(value)

    def show_value(self, value: Any) -> None:
        """Show `value`, without saying that it was edited."""
        editor = self.editor
        editor.blockSignals(True)
        if isinstance(editor, QLineEdit):
            text = "" if value is None else str(value)
            if isinstance(editor, TypedNumber):
                editor.keep(text)
            elif editor.text() != text:
                editor.setText(text)
                editor.setCursorPosition(0)
        elif isinstance(editor, QCheckBox):
            editor.setChecked(bool(value))
        elif isinstance(editor, Choice):
            editor.fill(self._choices, value)
        editor.blockSignals(False)

    def say(self, sentence: str, warning: bool = False) -> None:
        """Say beside the field what is wrong with it; nothing when it is right."""
        if self._hinted:
            sentence, warning = self._hinted, True
        if sentence != self.message.text():
            self.message.setText(sentence)
            self.editor.setAccessibleDescription(sentence or self.ask.example)
        restyle(self.message, "role", "warning" if warning else "danger")
        restyle(self.editor, "wrong", bool(sentence) and not warning)
        self.message.setVisible(bool(sentence))

    def _made(self) -> QWidget:
        if self.ask.kind == "tick":
            tick = Tick(self.ask.words)
            tick.toggled.connect(lambda on: self.edited.emit(self.ask.path, on))
            return tick
        if self.ask.kind == "choice":
            choice = Choice()
            choice.activated.connect(lambda number: self.edited.emit(self.ask.path, choice.itemData(number)))
            return choice
        line = self._line()
        line.setMaxLength(LONGEST)
        line.setPlaceholderText(self.ask.empty)
        line.setAccessibleDescription(self.ask.example)
        return line

    def _line(self) -> QLineEdit:
        """Return the line for what is asked: a number with its unit, a date, a time of day, or words."""
        if self.ask.kind in ("date", "time"):
            line = TypedDate() if self.ask.kind == "date" else TypedTime()
            line.meant.connect(lambda text: self.edited.emit(self.ask.path, text))
            if isinstance(line, TypedDate):
                line.said.connect(self._hint)
            return line
        quantity = quantity_at(self.ask.path)
        if quantity is not None:
            number = TypedNumber(quantity)
            number.textEdited.connect(lambda _: self.edited.emit(self.ask.path, self._value(number.kept)))
            return number
        words = Offering([each for each, _ in self.ask.choices]) if self.ask.choices else QLineEdit()
        words.textEdited.connect(lambda text: self.edited.emit(self.ask.path, self._value(text)))
        return words

    def _hint(self, words: str) -> None:
        """Say beside the field how what is typed is understood, before it counts."""
        self._hinted = words
        self.say(words, warning=True)

    def _value(self, text: str) -> Any:
        """Return what was written as the plan keeps it; what is no number stays text, for the plan to refuse."""
        plain = text.strip()
        if not plain and self.ask.empty:
            return None
        if self.ask.kind == "count" and plain.isascii() and plain.isdigit():
            return int(plain)
        if self.ask.kind == "number":
            try:
                return float(plain.replace(",", "."))
            except ValueError:
                return plain
        return plain


def first_editor(widget: QWidget) -> QWidget | None:
    """Return the first thing in `widget` that takes the keyboard."""
    fields = widget.findChildren(Field)
    return fields[0].editor if fields else None
