"""Fields of the Prep page: a label over what is written, and one sentence under it when it cannot be used."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from PySide6.QtCore import QEvent, QObject, QPointF, Qt, QTimer, Signal
from PySide6.QtGui import QColor, QFocusEvent, QFontMetricsF, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QCheckBox, QLineEdit, QStyle, QStyleOptionButton, QVBoxLayout, QWidget

from studiotimer.prep.draft import Path, quantity_at
from studiotimer.window import theme
from studiotimer.window.choice import Choice, Offering
from studiotimer.window.prep.fitted import Fitted
from studiotimer.window.style import label, restyle
from studiotimer.window.tips import tip
from studiotimer.window.typed_lines import TypedDate, TypedNumber, TypedTime

LEAST_WIDTH = 40
LONGEST = 400
MARK = " ●"
"""Behind a field's words where it is another than in the shoot before."""


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
    """What a field asks: where it stands in the plan, its words, what it means with an example, and what it takes.

    With `empty`, a field may be empty, which means that; with `beside`, it stands beside the one before, `share` being
    its part of the row. A text with `choices` offers them as it is written. `usual` is what it is as a rule; `told` is
    what a reason why it is another than in the shoot before begins with, where not with its words.
    """

    path: Path
    words: str
    example: str = ""
    kind: Literal["text", "count", "number", "tick", "choice", "date", "time"] = "text"
    choices: tuple[tuple[object, str], ...] = ()
    empty: str = ""
    beside: bool = False
    share: int = 10
    usual: str = ""
    told: str = ""

    def at(self, *prefix: str | int) -> Ask:
        """Return the same question of the part of the plan at `prefix`."""
        return replace(self, path=(*prefix, *self.path))

    @property
    def explanation(self) -> str:
        """Return what is asked, in a sentence or two, with what is usual."""
        name = f"{self.words[:1].upper()}{self.words[1:]}"
        said = f"{name}: {self.example}" if self.example else name
        return f"{said}; usual: {self.usual}." if self.usual else f"{said}."


class Field(QWidget):
    """One question with its answer; what is wrong stands in `message`, for which its form keeps a line under the row.

    Without `named`, its words are not shown: they stand over the row above.
    """

    edited = Signal(object, object)

    def __init__(
        self, ask: Ask, value: object, about: str = "", editor: QWidget | None = None, named: bool = True
    ) -> None:
        super().__init__()
        self.ask = ask
        self._hinted = self.reason = ""
        self._said = ("", False)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        self.editor = editor or self._made()
        self.words = label(" " if ask.kind == "tick" else ask.words, "ask")
        self.words.setWordWrap(False)
        self.words.setBuddy(self.editor)
        self.words.installEventFilter(self)
        self.message = Fitted(f"{ask.words}, what is wrong", "danger")
        self.message.hide()
        self.editor.setAccessibleName(f"{about}{ask.words}".lower())
        self.editor.setAccessibleDescription(self.explanation)
        self.editor.setToolTip(tip(self.explanation))
        self.editor.setMinimumWidth(LEAST_WIDTH)
        column.addWidget(self.words)
        column.addWidget(self.editor)
        self.words.setVisible(named)
        if not named:
            self.setMinimumWidth(math.ceil(QFontMetricsF(theme.font(theme.SMALL)).horizontalAdvance(ask.words)))
        if isinstance(self.editor, QLineEdit):
            self.editor.installEventFilter(self)
        self._choices = ask.choices
        self.show_value(value)

    @property
    def explanation(self) -> str:
        """Return why it is another than in the shoot before, where it is, and what is asked, in a sentence or two."""
        return (
            f"{self.reason[:1].upper()}{self.reason[1:]}. {self.ask.explanation}"
            if self.reason
            else self.ask.explanation
        )

    def give_reason(self, reason: str) -> None:
        """Say why the value is another than in the shoot before; nothing once it is written over."""
        if reason == self.reason:
            return
        self.reason = reason
        words = self.words.text().removesuffix(MARK)
        self.words.setText(f"{words}{MARK}" if reason else words)
        self.editor.setToolTip(tip(self.explanation))
        self.editor.setAccessibleDescription(self.message.text() or self.explanation)

    def offer(self, choices: tuple[tuple[object, str], ...], value: object) -> None:
        """Offer other choices, with `value` chosen."""
        self._choices = choices
        self.show_value(value)

    def show_value(self, value: object) -> None:
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
        if (sentence, warning) == self._said:
            return
        self._said = (sentence, warning)
        if sentence != self.message.text():
            self.message.setText(sentence)
            self.editor.setAccessibleDescription(sentence or self.explanation)
        restyle(self.message, "role", "warning" if warning else "danger")
        restyle(self.editor, "wrong", bool(sentence) and not warning)
        restyle(self.words, "wrong", "true" if sentence and not warning else "false")
        self.message.setVisible(bool(sentence))

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Take all of a line that is clicked into, ready to be written over; a second click goes between letters.

        A click on its words is one into it.
        """
        if watched is self.words and event.type() == QEvent.Type.MouseButtonPress:
            self.editor.setFocus(Qt.FocusReason.MouseFocusReason)
        if isinstance(event, QFocusEvent) and event.gotFocus() and event.reason() == Qt.FocusReason.MouseFocusReason:
            QTimer.singleShot(0, self, self._take_all)
        return super().eventFilter(watched, event)

    def _take_all(self) -> None:
        if isinstance(self.editor, QLineEdit) and self.editor.hasFocus():
            self.editor.selectAll()

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
        words = Offering([str(each) for each, _ in self.ask.choices]) if self.ask.choices else QLineEdit()
        words.textEdited.connect(lambda text: self.edited.emit(self.ask.path, self._value(text)))
        return words

    def _hint(self, words: str) -> None:
        """Say beside the field how what is typed is understood, before it counts."""
        self._hinted = words
        self.say(words, warning=True)

    def _value(self, text: str) -> object:
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
    fields = (field for field in widget.findChildren(Field) if field.isVisibleTo(widget))
    return next((field.editor for field in fields), None)
