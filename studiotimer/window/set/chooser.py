"""The strip that takes the call bar's place while a call's fields are chosen; it never covers the clock."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QLineEdit, QPushButton, QVBoxLayout, QWidget

from studiotimer.session.calls.record import Field, OneOf, Options, Several, Stepper, Words
from studiotimer.window import theme

MOST_LETTERS = 30
BUTTON_HEIGHT = 54


def _style(scale: float) -> str:
    """Return the strip's style sheet, everything `scale` times as large."""
    c = theme.DARK

    def px(pixels: float) -> str:
        return f"{round(pixels * scale)}px"

    height = BUTTON_HEIGHT - 24  # what padding and border leave
    return f"""
    QPushButton {{ padding: {px(10)} {px(12)}; font-size: {px(theme.BODY)}; border-radius: {px(theme.RADIUS)}; }}
    QPushButton[option="true"] {{ min-height: {px(height)}; }}
    QPushButton[option="true"]:checked {{ background: {c.raised}; color: {c.text}; border: 2px solid {c.accent}; }}
    QPushButton[wide="true"] {{ min-width: {px(110)}; }}
    QPushButton[option="false"] {{ min-height: {px(height + 18)}; }}
    QLineEdit {{ min-width: {px(240)}; min-height: {px(height)}; font-size: {px(theme.BODY)}; }}
    QLabel {{ font-size: {px(theme.SMALL)}; }}
    """


class FieldView(QWidget):
    """One field: its label over its value, changed by buttons or by the arrow keys."""

    changed = Signal()

    def __init__(self, label: str) -> None:
        super().__init__()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        self._label = QLabel(label)
        self._label.setProperty("role", "quiet")
        column.addWidget(self._label)
        self.row = QHBoxLayout()
        self.row.setSpacing(6)
        column.addLayout(self.row)

    def value(self) -> object:
        """Return what is chosen."""
        raise NotImplementedError

    def step(self, by: int) -> None:
        """Change the value one step."""
        raise NotImplementedError

    def mark(self, current: bool) -> None:
        """Show whether the arrow keys act on this field."""
        colour = theme.DARK.accent if current else theme.DARK.quiet
        self._label.setStyleSheet(f"color: {colour}; font-weight: {600 if current else 400};")

    def add(self, words: str, name: str, deed: Callable[..., None], checkable: bool = False) -> QPushButton:
        """Add a button to the field's row and return it."""
        button = QPushButton(words)
        button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        button.setCheckable(checkable)
        button.setProperty("option", True)
        button.setAccessibleName(name)
        button.clicked.connect(deed)
        self.row.addWidget(button)
        return button


class OptionsView(FieldView):
    """A few values side by side; many values one at a time."""

    def __init__(self, options: OneOf | Several) -> None:
        super().__init__(options.label)
        self._options = options
        self._many = isinstance(options, Several)
        values = [value for value, _ in options.values]
        self._chosen: list[str | int | bool | None] = (
            [value for value in values if value in options.value] if isinstance(options, Several) else [options.value]
        )
        self._buttons: list[QPushButton] = []
        self._word: QPushButton | None = None
        if self._many or sum(len(words) + 3 for _, words in options.values) <= MOST_LETTERS:
            for value, words in options.values:
                name = f"{options.label} {words}"
                self._buttons.append(self.add(words, name, partial(self._pick, value), checkable=True))
        else:
            self.add("‹", f"{options.label}, one before", lambda: self.step(-1))
            self._word = self.add("", options.label, lambda: self.step(1))
            self._word.setProperty("wide", True)
            self.add("›", f"{options.label}, next", lambda: self.step(1))
        self._show()

    def value(self) -> object:
        return tuple(self._chosen) if self._many else self._chosen[0]

    def step(self, by: int) -> None:
        values = [value for value, _ in self._options.values]
        if not values:
            return
        now = values.index(self._chosen[-1]) if self._chosen and self._chosen[-1] in values else (-1 if by > 0 else 0)
        self._chosen = [values[(now + by) % len(values)]]
        self._show()
        self.changed.emit()

    def _pick(self, value: str | int | bool | None, _checked: bool = False) -> None:
        if not self._many:
            self._chosen = [value]
        elif value in self._chosen:
            self._chosen.remove(value)
        else:
            self._chosen.append(value)
        self._show()
        self.changed.emit()

    def _show(self) -> None:
        for button, (value, _) in zip(self._buttons, self._options.values, strict=False):
            button.setChecked(value in self._chosen)
        if self._word is not None:
            words = dict(self._options.values).get(self._chosen[0], "")
            self._word.setText(words)
            self._word.setAccessibleName(f"{self._options.label}: {words}")


class StepperView(FieldView):
    """A number between two buttons."""

    def __init__(self, stepper: Stepper) -> None:
        super().__init__(stepper.label)
        self._stepper = stepper
        self._now = stepper.value
        self.add("−", f"{stepper.label} less", lambda: self.step(-1))
        self._word = self.add("", stepper.label, lambda: self.step(1))
        self._word.setProperty("wide", True)
        self.add("+", f"{stepper.label} more", lambda: self.step(1))
        self._show()

    def value(self) -> object:
        return self._now

    def step(self, by: int) -> None:
        wanted = self._now + by * self._stepper.step
        self._now = round(min(max(wanted, self._stepper.low), self._stepper.high), 6)
        self._show()
        self.changed.emit()

    def _show(self) -> None:
        words = self._stepper.words(self._now)
        self._word.setText(words)
        self._word.setAccessibleName(f"{self._stepper.label}: {words}")


class WordsView(FieldView):
    """Words to write, with ready phrases beside."""

    def __init__(self, words: Words) -> None:
        super().__init__(words.label)
        self._phrases = words.phrases
        self.line = QLineEdit(words.value)
        self.line.setMaxLength(500)
        self.line.setPlaceholderText("write, or ↑ ↓ for a phrase" if words.phrases else "")
        self.line.setAccessibleName(words.label)
        self.row.addWidget(self.line)
        if words.phrases:
            self.add("‹", "phrase before", lambda: self.step(-1))
            self.add("›", "next phrase", lambda: self.step(1))

    def value(self) -> object:
        return self.line.text().strip() or None

    def step(self, by: int) -> None:
        if not self._phrases:
            return
        now = self._phrases.index(self.line.text()) if self.line.text() in self._phrases else (-1 if by > 0 else 0)
        self._take(self._phrases[(now + by) % len(self._phrases)])

    def _take(self, phrase: str, _checked: bool = False) -> None:
        self.line.setText(phrase)
        self.changed.emit()


class Chooser(QWidget):
    """The fields of one call, and the buttons that make it or leave it."""

    made = Signal(str, object)
    left = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.kind = ""
        self._views: list[tuple[str, FieldView]] = []
        self._current = 0
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(0, 0, 0, 0)
        self._row.setSpacing(12)
        self.setAccessibleName("choices of the call")
        self.set_scale(1.0)

    def set_scale(self, scale: float) -> None:
        """Draw everything `scale` times as large."""
        self._scale = scale
        self._fit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        """Draw as large as the scale wants, smaller where the fields of a call would not have room."""
        for share in (1.0, 0.9, 0.8, 0.7, 0.6):
            scale = self._scale * share
            self._row.setSpacing(round(12 * scale))
            theme.give_sheet(self, _style(scale))
            if self._row.minimumSize().width() <= self.width():
                return

    def offer(self, kind: str, title: str, fields: Sequence[Field]) -> None:
        """Show the fields of a call of `kind`."""
        self._clear()
        self.kind = kind
        for field in fields:
            view = _view(field)
            self._views.append((field.field, view))
            self._row.addWidget(view)
        self._row.addStretch(1)
        for words, name, role, deed in (
            (f"{title}\nenter", f"make the call: {title}", "main", self.make),
            ("Cancel\nesc", "cancel the choices", "", self.leave),
        ):
            button = QPushButton(words)
            button.setProperty("role", role)
            button.setAccessibleName(name)
            button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
            button.setProperty("option", False)
            button.clicked.connect(deed)
            self._row.addWidget(button)
        self._current = 0
        self._mark()
        self._fit()
        for _, view in self._views:
            if isinstance(view, WordsView):
                view.line.setFocus()

    def values(self) -> dict[str, object]:
        """Return what is chosen, by field."""
        return {name: view.value() for name, view in self._views}

    def again(self) -> None:
        """The call's own key was pressed once more: step its first field."""
        if self._views:
            self._views[0][1].step(1)

    def make(self) -> None:
        """Make the call."""
        self.made.emit(self.kind, self.values())

    def leave(self) -> None:
        """Leave without a call."""
        self.left.emit()

    def key(self, event: QKeyEvent) -> bool:
        """Act on a key while the choices are open; return whether it was one of theirs."""
        match event.key():
            case Qt.Key.Key_Return | Qt.Key.Key_Enter:
                self.make()
            case Qt.Key.Key_Escape:
                self.leave()
            case Qt.Key.Key_Right | Qt.Key.Key_Plus:
                self._step(1)
            case Qt.Key.Key_Left | Qt.Key.Key_Minus:
                self._step(-1)
            case Qt.Key.Key_Up | Qt.Key.Key_Down if self._writing():
                self._step(1 if event.key() == Qt.Key.Key_Down else -1)
            case Qt.Key.Key_Down | Qt.Key.Key_Tab:
                self._move(1)
            case Qt.Key.Key_Up | Qt.Key.Key_Backtab:
                self._move(-1)
            case _:
                return False
        return True

    def _writing(self) -> bool:
        return bool(self._views) and isinstance(self._views[self._current][1], WordsView)

    def _step(self, by: int) -> None:
        if self._views:
            self._views[self._current][1].step(by)

    def _move(self, by: int) -> None:
        if self._views:
            self._current = (self._current + by) % len(self._views)
            self._mark()

    def _mark(self) -> None:
        for index, (_, view) in enumerate(self._views):
            view.mark(index == self._current)

    def _clear(self) -> None:
        self._views = []
        while (item := self._row.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()


def _view(field: Field) -> FieldView:
    if isinstance(field, Options | Several):
        return OptionsView(field)
    return StepperView(field) if isinstance(field, Stepper) else WordsView(field)
