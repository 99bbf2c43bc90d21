"""The strip in which a call is typed: one large field, what it comes to beside it before Enter, and why."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Literal

from PySide6.QtCore import QPointF, Qt, QTimer, Signal
from PySide6.QtGui import QColor, QFocusEvent, QKeyEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QApplication,
    QButtonGroup,
    QFrame,
    QHBoxLayout,
    QLineEdit,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
)

from studiotimer.session.typed import Blank, Form, Typed
from studiotimer.window import theme
from studiotimer.window.spoken import FittingLabel, SpokenLabel
from studiotimer.window.style import restyle

QWIDGETSIZE_MAX = (1 << 24) - 1
UNTOUCHED_MS = 20_000
"""How long a strip that nobody touches stays open."""
FIELD_WIDTH, FIELD_HEIGHT, FIGURE, CHIP_HEIGHT = 420, 52, 40, 26
HEIGHT = CHIP_HEIGHT + FIELD_HEIGHT + 22
Taken = Literal["strip", "line", ""]
HINT = "Keys only type here; the foot switch still calls."
NEXT = "tab: next, ↑ ↓: steps."
LONGEST = 500

_LOOK = """
Strip {{ border: 2px solid {accent}; border-radius: {radius}px; background: {panel}; }}
QLabel[role="kind"] {{ color: {accent}; font-size: {small}px; font-weight: 600; }}
QLabel[role="hint"], QLabel[role="why"] {{ color: {quiet}; font-size: {small}px; }}
QLabel[role="said"] {{ color: {text}; font-size: {large}px; font-weight: 600; }}
QLabel[role="said"][ready="false"] {{ color: {warning}; }}
QLineEdit {{ background: {ground}; border: none; border-radius: {radius}px; padding: 0 {pad}px; font-size: {figure}px;
    font-weight: 600; min-height: {field}px; max-height: {field}px; }}
QPushButton {{ border-radius: 6px; padding: 0 {pad}px; font-size: {small}px; min-height: {field}px;
    max-height: {field}px; border: none; }}
QPushButton[role="main"]:disabled {{ background: {raised}; color: {quiet}; }}
QPushButton[role="chip"] {{ min-height: {chip}px; max-height: {chip}px; padding: 0 9px; background: {raised};
    border: none; }}
QPushButton[role="chip"]:checked {{ background: {text}; color: {ground}; font-weight: 600; }}
"""


class TypedLine(QLineEdit):
    """The field: its unit stands in grey after a bare number."""

    def __init__(self) -> None:
        super().__init__()
        self.setMaxLength(LONGEST)
        self.after = ""

    def say_unit(self, unit: str) -> None:
        """Show the unit that a bare number has."""
        self.after = unit
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        if self.after:
            painter = QPainter(self)
            painter.setFont(self.font())
            painter.setPen(QColor(theme.DARK.quiet))
            metrics = self.fontMetrics()
            left = self.contentsRect().left() + self._inset() + metrics.horizontalAdvance(f"{self.text()} ")
            top = (self.height() + metrics.ascent() - metrics.descent()) / 2
            painter.drawText(QPointF(left + 4, top), self.after)

    def _inset(self) -> int:
        return self.cursorRect().center().x() - self.fontMetrics().horizontalAdvance(
            self.text()[: self.cursorPosition()]
        )

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.update()


class Strip(QFrame):
    """A form being typed. `refused` says why a key or Enter does nothing; `left` that it closed."""

    made = Signal(str, object)
    left = Signal()
    refused = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.setObjectName("strip")
        self.setAccessibleName("typing a call")
        self._form: Form | None = None
        self._texts: list[str] = []
        self._current = 0
        self.typed = Typed("")
        self.kind, self.hint = SpokenLabel("what is typed"), FittingLabel("keys")
        self.said, self.why = SpokenLabel("will be logged"), SpokenLabel("why")
        for label, role in ((self.kind, "kind"), (self.hint, "hint"), (self.said, "said"), (self.why, "why")):
            label.setProperty("role", role)
            label.setTextFormat(Qt.TextFormat.PlainText)
            label.setMinimumWidth(1)
        for label in (self.hint, self.said, self.why):
            label.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.line = TypedLine()
        self.line.textChanged.connect(self._changed)
        self.chips: list[QPushButton] = []
        self._chip_of: list[int] = []
        self._group = QButtonGroup(self)
        self.log = _button("Log it   enter", "log it", self.make)
        self.log.setProperty("role", "main")
        self.cancel = _button("Cancel   esc", "cancel", self.leave)
        self._arrange()
        self._untouched = QTimer(self)
        self._untouched.setSingleShot(True)
        self._untouched.setInterval(UNTOUCHED_MS)
        self._untouched.timeout.connect(self._forsaken)
        self.set_scale(1.0)

    def _arrange(self) -> None:
        self._head = QHBoxLayout()
        self._head.setSpacing(6)
        self._head.addWidget(self.kind)
        self._head.addWidget(self.hint, 1)
        words = QVBoxLayout()
        words.setSpacing(0)
        words.addWidget(self.said)
        words.addWidget(self.why)
        self._row = QHBoxLayout()
        self._row.setSpacing(16)
        self._row.addWidget(self.line)
        self._row.addLayout(words, 1)
        self._row.addWidget(self.log)
        self._row.addWidget(self.cancel)
        self._column = QVBoxLayout(self)
        self._column.addLayout(self._head)
        self._column.addLayout(self._row)

    def set_scale(self, scale: float) -> None:
        """Draw everything `scale` times as large."""
        sizes = {
            "small": theme.SMALL, "large": theme.LARGE, "figure": FIGURE, "field": FIELD_HEIGHT, "chip": CHIP_HEIGHT,
            "radius": theme.RADIUS, "pad": 14,
        }  # fmt: skip
        names = ("accent", "panel", "quiet", "text", "warning", "ground", "raised")
        colours = {name: getattr(theme.DARK, name) for name in names}
        self.setStyleSheet(_LOOK.format(**{name: round(size * scale) for name, size in sizes.items()}, **colours))
        self._scale = scale
        self._fit_line()
        self._column.setContentsMargins(round(14 * scale), round(5 * scale), round(14 * scale), round(7 * scale))
        self._column.setSpacing(round(5 * scale))
        self.wanted_height = round(HEIGHT * scale)

    def _fit_line(self) -> None:
        """Give the field its width; words have all the room there is."""
        wide = self._form is not None and self._form.wide
        self.line.setMinimumWidth(round(FIELD_WIDTH * self._scale))
        self.line.setMaximumWidth(QWIDGETSIZE_MAX if wide else round(FIELD_WIDTH * self._scale))
        self._row.setStretch(0, 4 if wide else 0)

    def open(self, form: Form) -> None:
        """Type this form from its first text on."""
        self._form, self._current = form, form.current
        self._fit_line()
        self._texts = [blank.text for blank in form.blanks]
        for chip in self.chips:
            self._group.removeButton(chip)
            self._head.removeWidget(chip)
            chip.hide()
            chip.deleteLater()
        self.chips = []
        several = len(form.blanks) > 1
        self._chip_of = _places(form.blanks) if several else []
        for number, place in enumerate(self._chip_of):
            if place < len(self.chips):
                continue
            blank = form.blanks[number]
            name = blank.group or blank.name
            chip = _button(name, f"{form.title.lower()} {name}", partial(self._choose, place))
            chip.setProperty("role", "chip")
            chip.setCheckable(True)
            self._group.addButton(chip)
            self._head.insertWidget(1 + place, chip)
            self.chips.append(chip)
        self.kind.setText(form.title)
        self.hint.say((NEXT, HINT) if several else (HINT,))
        self._go(form.current)
        self._untouched.start()

    def key(self, event: QKeyEvent) -> Taken:
        """Take a key while the strip is open; "line": the field has it by itself, "": it is none that types."""
        self._untouched.start()
        match event.key():
            case Qt.Key.Key_Return | Qt.Key.Key_Enter:
                self.make()
            case Qt.Key.Key_Escape:
                self.leave()
            case Qt.Key.Key_Tab:
                self._go((self._current + 1) % len(self._texts))
            case Qt.Key.Key_Backtab:
                self._go((self._current - 1) % len(self._texts))
            case Qt.Key.Key_Up:
                self._step(1)
            case Qt.Key.Key_Down:
                self._step(-1)
            case key if key in _EDITING:
                return self._hand_on(event)
            case _ if _prints(event):
                return self._write(event)
            case _:
                return ""
        return "strip"

    def make(self) -> None:
        """Log what the texts come to, or say why nothing is."""
        if self.typed.ready:
            self.made.emit(self.typed.kind, self.typed.fields)
        else:
            self.refused.emit(" ".join(part for part in (self.typed.words, self.typed.why) if part))

    def leave(self) -> None:
        """Close without a call."""
        self._untouched.stop()
        self.left.emit()

    def rest(self) -> None:
        """The strip is closed: nothing is waited for any more."""
        self._untouched.stop()

    def _forsaken(self) -> None:
        self.refused.emit(f"Not logged: nothing was typed for {UNTOUCHED_MS // 1000} s.")
        self.left.emit()

    def _write(self, event: QKeyEvent) -> Taken:
        """Type a letter where it can belong to the value; the one key of a question answers it."""
        assert self._form is not None
        if self.typed.key and event.text().upper() == self.typed.key:
            self.line.setText(self.typed.instead)
            return "strip"
        line = self.line
        start = line.selectionStart() if line.hasSelectedText() else line.cursorPosition()
        end = start + len(line.selectedText())
        wanted = line.text()[:start] + event.text() + line.text()[end:]
        if not self._form.blanks[self._current].may(wanted):
            self.refused.emit(f"“{event.text()}” cannot be part of {self._form.blanks[self._current].name}.")
            return "strip"
        return self._hand_on(event)

    def _hand_on(self, event: QKeyEvent) -> Taken:
        """Let the field have a key, wherever the focus is."""
        if QApplication.focusWidget() is self.line:
            return "line"
        self.line.setFocus()
        QApplication.sendEvent(self.line, event)
        return "strip"

    def _step(self, by: int) -> None:
        assert self._form is not None
        self.line.setText(self._form.blanks[self._current].moved(self.line.text(), by))

    def _choose(self, place: int, _checked: bool = False) -> None:
        """Type the blank of a chip; of the chip that is typed already, the next of its blanks."""
        own = [number for number, its in enumerate(self._chip_of) if its == place]
        after = own.index(self._current) + 1 if self._current in own else 0
        self._go(own[after % len(own)])

    def _go(self, number: int, _checked: bool = False) -> None:
        """Type another blank; a shared text goes along."""
        assert self._form is not None
        if self._form.shared and number != self._current:
            self._texts[number], self._texts[self._current] = self._texts[self._current], ""
        self._current = number
        if self.chips:
            self.chips[self._chip_of[number]].setChecked(True)
        if self.line.text() != self._texts[number]:
            self.line.setText(self._texts[number])
        self.line.setAccessibleName(self._form.blanks[number].name)
        self.line.selectAll() if not self._form.shared else self.line.end(False)
        self.line.setFocus()
        self._untouched.start()
        self._tell()

    def _changed(self, text: str) -> None:
        if self._form is not None:
            self._texts[self._current] = text
            self._untouched.start()
            self._tell()

    def _tell(self) -> None:
        """Say what the texts come to."""
        assert self._form is not None
        self.typed = self._form.come_to(self._current, self._texts)
        self.said.setText(self.typed.words)
        self.why.setText(self.typed.why)
        untouched = self._texts == [blank.text for blank in self._form.blanks]
        restyle(self.said, "ready", self.typed.ready or untouched)
        self.log.setEnabled(self.typed.ready)
        self.line.say_unit(self._form.blanks[self._current].unit(self.line.text()))


_EDITING = (
    Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.Key.Key_Home, Qt.Key.Key_End, Qt.Key.Key_Backspace, Qt.Key.Key_Delete,
    Qt.Key.Key_Shift, Qt.Key.Key_Control, Qt.Key.Key_Alt, Qt.Key.Key_AltGr, Qt.Key.Key_Meta, Qt.Key.Key_Insert,
    Qt.Key.Key_CapsLock, Qt.Key.Key_Multi_key,
)  # fmt: skip


def _places(blanks: Sequence[Blank]) -> list[int]:
    """Return which chip each blank has: those of one group that follow one another share theirs."""
    places: list[int] = []
    for before, blank in zip((None, *blanks), blanks, strict=False):
        shared = before is not None and bool(blank.group) and before.group == blank.group
        places.append((places[-1] + (not shared)) if places else 0)
    return places


def _prints(event: QKeyEvent) -> bool:
    """Whether a key press writes something, or edits as Ctrl with a letter does."""
    return bool(event.text() and event.text().isprintable()) or Qt.Key.Key_Space <= event.key() <= Qt.Key.Key_ydiaeresis


def _button(words: str, name: str, deed: Callable[..., None]) -> QPushButton:
    button = QPushButton(words)
    button.setAccessibleName(name)
    button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    button.clicked.connect(deed)
    return button
