"""How results were found: a paragraph that a press unfolds."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFrame, QVBoxLayout

from studiotimer.prep.found import Found
from studiotimer.window.prep.sheet import together
from studiotimer.window.style import label

HOW, LINK = "how this was found", "how?"


class How(QFrame):
    """How results were found, each line with its source."""

    def __init__(self) -> None:
        super().__init__()
        self.setProperty("role", "how")
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(14, 10, 14, 12)
        self._column.setSpacing(5)
        self._title = label("", "heading")
        self._text = label("", "", HOW)
        self._text.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextSelectableByMouse | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        self._column.addWidget(self._title)
        self._column.addWidget(self._text)
        self.hide()

    def tell(self, title: str, found: Sequence[tuple[str, Found]]) -> None:
        """Show how each of `found` was found."""
        self._title.setText(f"{title}: {HOW}")
        lines, source = [], ""
        for name, each in found:
            if source and each.source != source:
                lines.append(f"Source: {source}.")
            lines.append(
                f"{name[:1].upper()}{name[1:]}: {each.how}." if name else f"{each.how[:1].upper()}{each.how[1:]}."
            )
            source = each.source
        self._text.setText(together("\n".join([*lines, f"Source: {source}."])))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Give the paragraph the height that its width wants, which a column in a scrolled side may not ask again."""
        super().resizeEvent(event)
        self._text.setMinimumHeight(max(self._text.heightForWidth(max(event.size().width() - 28, 1)), 0))

    @property
    def text(self) -> str:
        """Return what is shown."""
        return self._text.text().replace("\u00a0", " ")
