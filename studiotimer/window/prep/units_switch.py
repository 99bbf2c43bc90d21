"""The switch between metric and US units: two parts, the present one marked."""

from __future__ import annotations

from functools import partial
from typing import get_args

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QSizePolicy

from studiotimer import units
from studiotimer.window.style import button

WORDS: dict[units.Style, str] = {"metric": "°C, kg", "US": "°F, lb"}


class UnitsSwitch(QFrame):
    """Says which units are shown; pressing the other part chooses those."""

    chosen = Signal(str)

    def __init__(self, style: units.Style) -> None:
        super().__init__()
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        row = QHBoxLayout(self)
        self.setProperty("role", "halves")
        row.setContentsMargins(3, 3, 3, 3)
        row.setSpacing(0)
        self.parts = {one: button(WORDS[one], partial(self.choose, one), "half") for one in get_args(units.Style)}
        for part in self.parts.values():
            part.setCheckable(True)
            row.addWidget(part)
        self.show_style(style)

    def choose(self, style: units.Style) -> None:
        """Choose these units, as a press does; those that are shown stay as they are."""
        changed = style != self.style_shown
        self.show_style(style)
        if changed:
            self.chosen.emit(style)

    def show_style(self, style: units.Style) -> None:
        """Mark these units as those that are shown."""
        self.style_shown: units.Style = style
        for one, part in self.parts.items():
            part.setChecked(one == style)
            part.setAccessibleName(f"units {WORDS[one]}{', shown' if one == style else ''}")
            part.setToolTip(f"numbers in {one} units")
