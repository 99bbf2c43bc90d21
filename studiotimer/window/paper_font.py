"""The typeface for what may be printed: its figures keep their characters when a PDF's text is read or copied."""

from __future__ import annotations

from PySide6.QtGui import QFont

from studiotimer.window import theme


def paper_font(pixels: float, weight: theme.Weight = "regular") -> QFont:
    """Return the program's typeface without figures of one width and raised colons, which a PDF cannot name."""
    chosen = theme.font(pixels, weight)
    chosen.clearFeatures()
    chosen.setFeature(QFont.Tag("calt"), 0)
    chosen.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    return chosen
