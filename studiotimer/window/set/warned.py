"""The lines of the Set page that warn: one that stands until it is cleared, and a quiet one that goes by itself."""

from __future__ import annotations

from studiotimer.window import theme
from studiotimer.window.spoken import SpokenLabel, announce
from studiotimer.window.style import restyle

MOST_BEFORE = 160
"""So many letters of what stands are kept before what comes by itself."""


class QuietLine(SpokenLabel):
    """What is said for a while: the answer to a call, or news."""

    def __init__(self) -> None:
        super().__init__("message", news=True)
        self.setWordWrap(True)
        self.setProperty("role", "warning")

    def say(self, words: str, calm: bool) -> None:
        """Show words, or nothing; calm ones are no warning."""
        restyle(self, "role", "quiet" if calm else "warning")
        self.setText(words)
        self.setVisible(bool(words))

    def before(self, words: str) -> str:
        """Return what stands, and behind it words that come by themselves: an answer is not lost to them."""
        there = self.text()
        return f"{there} {words}" if there and len(there) < MOST_BEFORE else words


class WarningLine(SpokenLabel):
    """Words that stand out when they are urgent, and are quiet otherwise."""

    def __init__(self) -> None:
        super().__init__("standing warning")
        self._urgent = False
        self._scale = 1.0
        self.setWordWrap(True)
        self.setProperty("role", "warning")

    def say(self, words: str, urgent: bool) -> None:
        """Show words, or nothing."""
        if (words, urgent) == (self.text(), self._urgent) and self.isVisible() == bool(words):
            return
        if words != self.text():
            announce(self, words, at_once=urgent)
        self.setText(words)
        self._urgent = urgent
        self._style()
        self.setVisible(bool(words))

    def set_scale(self, scale: float) -> None:
        """Draw the words `scale` times as large."""
        self._scale = scale
        self._style()

    def _style(self) -> None:
        ground, text = (theme.DARK.warning, theme.INK) if self._urgent else ("transparent", theme.DARK.quiet)
        size, padding = round((theme.BODY + 2) * self._scale), 6 if self._urgent else 0
        self.setStyleSheet(
            f"font-size: {size}px; background: {ground}; color: {text}; border-radius: 8px; padding: {padding}px;"
            f"font-weight: {600 if self._urgent else 400};"
        )
