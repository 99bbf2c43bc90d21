"""The cautions of dry ice, to be read in full."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout

from studiotimer.thermal.charge import CAUTIONS
from studiotimer.window import theme
from studiotimer.window.spoken import SpokenLabel
from studiotimer.window.stack import Part


class Cautions(Part):
    """The cautions, one a line."""

    def __init__(self) -> None:
        super().__init__()
        self.words = SpokenLabel("dry ice cautions", "\n".join(f"▲  {words}" for words in CAUTIONS))
        self.words.setWordWrap(True)
        self.words.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.words.setMinimumHeight(1)
        self.words.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.words)

    def set_scale(self, scale: float) -> None:
        self.words.setStyleSheet(f"font-size: {round((theme.BODY + 2) * scale)}px;")
