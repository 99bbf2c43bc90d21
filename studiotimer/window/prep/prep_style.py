"""What Prep adds to the style of the pages by day: its cards and strip, and colours of its own."""

from __future__ import annotations

from studiotimer.prep.looks import Look
from studiotimer.window import theme
from studiotimer.window.style import style as daily
from studiotimer.window.theme import CORNER, FIELD, LARGE, Theme

LOOK_COLOURS: dict[Look, str] = {"crisp": theme.FROST, "sheen": theme.CUSTARD}
"""What fills a window in which nothing drips; the others are cherry."""

_LIGHT_WORDS = {"works": ("#D9E8E1", "#1C523F"), "short": ("#F3E0C3", "#713D0B"), "cannot": ("#F0D3D5", "#8A1D2C")}
_DARK_WORDS = {"works": ("#1F3A33", "#A9DCC6"), "short": ("#3B2E1E", "#EDB577"), "cannot": ("#3F2429", "#F09AA3")}


def look_colour(look: str) -> str:
    """Return what fills the window of a look."""
    return next((colour for name, colour in LOOK_COLOURS.items() if name == look), theme.CHERRY)


def word_colours(word: str, colours: Theme) -> tuple[str, str]:
    """Return the ground and the ink of the word beside a shot."""
    return (_DARK_WORDS if colours.name == "dark" else _LIGHT_WORDS)[word]


def style(colours: Theme) -> str:
    """Return the whole style sheet of the page in a theme."""
    c, edge = colours, 2
    return (
        daily(c)
        + f"""
    QPushButton[role="take"] {{ background: transparent; color: {c.quiet}; font-size: {LARGE}px; font-weight: 400;
        padding: 0; min-height: {FIELD - 2 * edge}px; max-width: 24px; min-width: 24px; border-radius: 6px; }}
    QPushButton[role="take"]:hover {{ color: {c.danger}; background: {c.raised}; }}
    QFrame[role="card"] {{ background: {c.panel}; border: 1px solid {c.line}; border-radius: {CORNER}px; }}
    QFrame[role="card"] QWidget {{ background: transparent; }}
    QFrame[role="card"] QLineEdit, QFrame[role="card"] QComboBox {{ background: {c.panel}; }}
    QFrame[role="strip"] {{ background: {c.raised}; border-radius: {CORNER}px; }}
    QFrame[role="strip"] QLabel {{ background: transparent; }}
    """
    )
