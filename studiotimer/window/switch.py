"""A switch of a few words of which one is chosen, in one piece."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QSizePolicy

from studiotimer.window.style import button


class Switch(QFrame):
    """Words side by side, the chosen one marked; `chosen` tells its key when a person chooses another."""

    chosen = Signal(str)

    def __init__(self, name: str, words: Mapping[str, str] | None = None) -> None:
        super().__init__()
        self._name = name
        self.setProperty("role", "halves")
        self.setAccessibleName(name)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(3, 3, 3, 3)
        self._row.setSpacing(0)
        self.parts: dict[str, QPushButton] = {}
        self.key = ""
        self.offer(words or {})

    def offer(self, words: Mapping[str, str]) -> None:
        """Offer these words by key in place of those before; the one that was chosen stays so where it can."""
        if list(words) == list(self.parts):
            return
        for part in self.parts.values():
            self._row.removeWidget(part)
            part.hide()
            part.deleteLater()
        self.parts = {key: button(each, partial(self.choose, key), "half") for key, each in words.items()}
        for part in self.parts.values():
            part.setCheckable(True)
            self._row.addWidget(part)
        self.show_key(self.key if self.key in words else next(iter(words), ""))

    def choose(self, key: str) -> None:
        """Choose one, as a press does."""
        changed = key != self.key
        self.show_key(key)
        if changed:
            self.chosen.emit(key)

    def show_key(self, key: str) -> None:
        """Mark one as chosen."""
        self.key = key
        for each, part in self.parts.items():
            part.setChecked(each == key)
            part.setAccessibleName(f"{self._name}: {part.text()}{', chosen' if each == key else ''}")
