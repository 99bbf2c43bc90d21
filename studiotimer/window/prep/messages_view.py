"""The messages of a plan: read, copied, or saved as text or as mail to open; nothing is sent from here."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout, QWidget

from studiotimer.prep.messages import Message, messages_of
from studiotimer.prep.results import Results
from studiotimer.window.prep.fold import Fold
from studiotimer.window.style import button, label


class Letter(QWidget):
    """One message and what can be done with it."""

    copied = Signal(str)
    save_wanted = Signal(object, str)

    def __init__(self, to: str) -> None:
        super().__init__()
        self.message: Message | None = None
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        deeds = QHBoxLayout()
        deeds.setSpacing(8)
        self.copy = button("Copy", self._copy, "link", f"copy the message to the {to}")
        self.text = button(
            "Save as .txt…", partial(self._save, ".txt"), "link", f"save the message to the {to} as text"
        )
        self.mail = button(
            "Save as .eml…", partial(self._save, ".eml"), "link", f"save the message to the {to} as mail"
        )
        for deed in (self.copy, self.text, self.mail):
            deeds.addWidget(deed)
        deeds.addStretch(1)
        self.read: QLabel = label("", "", f"message to the {to}")
        self.read.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextSelectableByMouse | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        column.addLayout(deeds)
        column.addWidget(self.read)

    def show_message(self, message: Message) -> None:
        """Show a message."""
        self.message = message
        self.read.setText(message.text.strip())

    def _copy(self) -> None:
        if self.message is not None:
            QGuiApplication.clipboard().setText(self.message.text)
            self.copied.emit(f"The message to the {self.message.to} is on the clipboard.")

    def _save(self, suffix: str) -> None:
        if self.message is not None:
            self.save_wanted.emit(self.message, suffix)


class Messages(QWidget):
    """The messages, each folded to whom it goes and what it is about."""

    copied = Signal(str)
    save_wanted = Signal(object, str)

    def __init__(self) -> None:
        super().__init__()
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(12, 0, 0, 0)
        self._column.setSpacing(0)
        self.letters: dict[str, Letter] = {}
        self.folds: dict[str, Fold] = {}

    def show_results(self, results: Results) -> None:
        """Show the messages of a plan."""
        for message in messages_of(results):
            if message.to not in self.letters:
                self._add(message.to)
            self.letters[message.to].show_message(message)
            name = f"{message.name}: " if message.name else ""
            self.folds[message.to].say(f"{name}{message.subject}")

    def _add(self, to: str) -> None:
        letter = Letter(to)
        letter.copied.connect(self.copied)
        letter.save_wanted.connect(self.save_wanted)
        self.letters[to], self.folds[to] = letter, Fold(f"To the {to}", letter, unfolded=False)
        self._column.addWidget(self.folds[to])
