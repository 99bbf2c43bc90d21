"""Lines in which a number, a date or a time of day is typed: what is kept stays as it was written, shown as chosen."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent
from PySide6.QtWidgets import QLineEdit

from studiotimer import units
from studiotimer.units import Quantity, Question, Reading, UnitError, Value


class TypedNumber(QLineEdit):
    """A number with its unit. `kept` is the text that keeps it; another choice of units shows it anew, no more."""

    def __init__(self, quantity: Quantity, kept: str = "") -> None:
        super().__init__()
        self.quantity = quantity
        self.kept = kept
        self._showing = False
        for changed in (self.textEdited, self.textChanged):
            changed.connect(self._typed)
        self.keep(kept)
        self.editingFinished.connect(lambda: self.keep(self.kept))

    @property
    def reading(self) -> Reading:
        """What the text that is kept comes to, in the units shown."""
        return units.understood(self.kept, self.quantity, units.shown_in())

    def keep(self, text: str) -> None:
        """Keep a text, and show it in the units shown."""
        self.kept = text
        shown = units.as_shown(text, self.quantity, units.shown_in())
        if self.text() != shown:
            self._showing = True
            self.setText(shown)
            self._showing = False
            self.setCursorPosition(0)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        read = self.reading
        if isinstance(read, Question) and event.text().upper() == read.key and self.hasFocus():
            self.setText(read.instead.text)
            self.textEdited.emit(read.instead.text)
            return
        super().keyPressEvent(event)

    def _typed(self, text: str) -> None:
        if self._showing:
            return
        read = units.understood(text, self.quantity, units.shown_in())
        self.kept = read.text if isinstance(read, Value) and read.bare else text.strip()


class TypedDate(QLineEdit):
    """A date. One in numbers is shown with its month in letters first, and counts once the line is left or entered."""

    meant = Signal(str)
    """The date as files have it, or a text that is none."""
    said = Signal(str)
    """How a date in numbers is understood; empty when there is none."""

    def __init__(self) -> None:
        super().__init__()
        self._waiting = ""
        self.textEdited.connect(self._typed)
        self.editingFinished.connect(self.settle)

    def settle(self) -> None:
        """Let a date in numbers count."""
        if self._waiting:
            waiting, self._waiting = self._waiting, ""
            self.said.emit("")
            self.setText(waiting)
            self.meant.emit(waiting)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        self.settle()
        super().focusOutEvent(event)

    def _typed(self, text: str) -> None:
        try:
            date = units.date_of(text, units.shown_in())
        except UnitError:
            date = None
        meant = date.isoformat() if date else text.strip()
        if any(letter.isalpha() for letter in text) or units.iso_date(text) is not None:
            self._waiting = ""
            self.said.emit("")
            self.meant.emit(meant)
        else:
            self._waiting = meant
            self.said.emit(f"{units.date_words(date)}: Enter takes it." if date else "")


class TypedTime(QLineEdit):
    """A time of day: "7am" and "7:00" mean 07:00, which is shown once the line is left."""

    meant = Signal(str)
    """The time as files have it, or a text that is none."""

    def __init__(self) -> None:
        super().__init__()
        self.textEdited.connect(lambda text: self.meant.emit(self._meant(text)))
        self.editingFinished.connect(lambda: self.setText(self._meant(self.text())))

    @staticmethod
    def _meant(text: str) -> str:
        try:
            time = units.time_of_day(text)
        except UnitError:
            return text.strip()
        return f"{time:%H:%M:%S}" if time.second else f"{time:%H:%M}"
