"""Words for those who hear the page instead of seeing it: labels that say what they are and tell, and news."""

from __future__ import annotations

import re
from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible, QAccessibleAnnouncementEvent, QResizeEvent
from PySide6.QtWidgets import QLabel, QWidget


def announce(source: QWidget, words: str, at_once: bool = False) -> None:
    """Tell news to a screen reader, after what it says or at once; to nobody where there is none."""
    if words and QAccessible.isActive():
        event = QAccessibleAnnouncementEvent(source, words)
        politeness = QAccessible.AnnouncementPoliteness
        event.setPoliteness(politeness.Assertive if at_once else politeness.Polite)
        QAccessible.updateAccessibility(event)


def plain_of(rich: str) -> str:
    """Return rich text as a reader says it: a line for each row of a table, its cells one after another."""
    import html  # its table of names is large, and no label has rich text at first

    rows = re.split(r"</tr>|<br>|</p>", rich)
    said = (html.unescape(re.sub(r"<[^>]*>", "", re.sub(r"</t[dh]>\s*(?=<t)", ", ", row))) for row in rows)
    return "\n".join(line for row in said if (line := " ".join(row.split()).removesuffix(",")))


class SpokenLabel(QLabel):
    """A label whose name for a screen reader is what it is and what it says; a `news` one also tells when it changes.

    Qt gives a reader a label's name or its text, not both.
    """

    def __init__(self, what: str = "", words: str = "", news: bool = False, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._what, self._news = what, news
        self.setText(words)

    def setText(self, words: str) -> None:
        changed = words != self.text()
        super().setText(words)
        self.spoken(plain_of(words) if self.textFormat() == Qt.TextFormat.RichText else words)
        if changed and self._news:
            announce(self, words)

    def spoken(self, words: str) -> None:
        """Give a reader other words than those that are shown, where those had to be shortened."""
        if self._what:
            self.setAccessibleName(f"{self._what}: {words}" if words.strip() else self._what)


class FittingLabel(SpokenLabel):
    """Sentences in a row, as many as there is room for, the first ones first; a reader has them all."""

    _sentences: tuple[str, ...] = ()

    def say(self, sentences: Sequence[str]) -> None:
        """Show these sentences."""
        self._sentences = tuple(sentences)
        self._fit()

    def _fit(self) -> None:
        rows = ["  ".join(self._sentences[:many]) for many in range(len(self._sentences), 0, -1)]
        metrics = self.fontMetrics()
        self.setText(next((row for row in rows if metrics.horizontalAdvance(row) <= self.width()), ""))
        self.spoken("  ".join(self._sentences))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()
