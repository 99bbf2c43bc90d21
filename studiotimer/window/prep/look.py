"""What Prep adds to the style of the pages by day: one type scale, one kind of button, and colours of its own."""

from __future__ import annotations

from studiotimer.prep.looks import Look
from studiotimer.window import theme
from studiotimer.window.style import style as daily
from studiotimer.window.theme import Theme

SMALL, BODY, LARGE, TITLE = 13, 15, 20, 28
"""The type scale, in logical pixels."""
BUTTON, CORNER, FIELD = 40, 10, 34
"""How high a button is, how round its corners, and how high a field is."""

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
    QWidget {{ font-size: {BODY}px; }}
    QLabel[role="quiet"], QLabel[role="warning"], QLabel[role="danger"], QLabel[role="ask"],
    QLabel[role="heading"] {{ font-size: {SMALL}px; }}
    QLabel[role="ask"] {{ color: {c.quiet}; }}
    QLabel[role="ask"][wrong="true"] {{ color: {c.danger}; font-weight: 600; }}
    QLabel[role="title"] {{ font-size: {TITLE}px; }}
    QLabel[role="large"], QLabel[role="figure"] {{ font-size: {LARGE}px; font-weight: 600; }}
    QPushButton {{ padding: 0 16px; min-height: {BUTTON - 2 * edge}px; font-size: {BODY}px;
        border-radius: {CORNER}px; }}
    QPushButton[role="link"], QPushButton[role="section"], QPushButton[role="row"] {{ min-height: 0; }}
    QPushButton[role="link"] {{ font-size: {SMALL}px; padding: 3px 6px 3px 2px; }}
    QPushButton[role="section"] {{ font-size: {BODY}px; color: {c.text}; padding: 6px 6px 6px 2px; }}
    QPushButton[role="take"] {{ background: transparent; color: {c.quiet}; font-size: {LARGE}px; font-weight: 400;
        padding: 0; min-height: {FIELD - 2 * edge}px; max-width: 24px; min-width: 24px; border-radius: 6px; }}
    QPushButton[role="take"]:hover {{ color: {c.danger}; background: {c.raised}; }}
    QPushButton[role="half"] {{ min-height: {BUTTON - 2 * edge - 6}px; padding: 0 11px;
        border-radius: {CORNER - 3}px; color: {c.quiet}; background: transparent; }}
    QPushButton[role="half"]:checked {{ background: {c.panel}; color: {c.text}; font-weight: 600; }}
    QPushButton[role="half"]:focus {{ border-color: {c.accent}; }}
    QFrame[role="halves"] {{ background: {c.raised}; border-radius: {CORNER}px; }}
    QComboBox {{ padding: 0 2px 0 7px; }}
    QComboBox::drop-down {{ width: 18px; }}
    QLineEdit {{ padding: 0 7px; }}
    QLineEdit, QComboBox {{ min-height: {FIELD - 2 * edge}px; font-size: {BODY}px;
        border-radius: 8px; }}
    QPlainTextEdit {{ font-size: {BODY}px; border-radius: 8px; }}
    QCheckBox {{ font-size: {BODY}px; }}
    QFrame[role="how"] {{ border-radius: {CORNER}px; }}
    QFrame[role="how"] QLabel {{ font-size: {BODY}px; }}
    QFrame[role="card"] {{ background: {c.panel}; border: 1px solid {c.line}; border-radius: {CORNER}px; }}
    QFrame[role="card"] QWidget {{ background: transparent; }}
    QFrame[role="card"] QLineEdit, QFrame[role="card"] QComboBox {{ background: {c.panel}; }}
    QFrame[role="strip"] {{ background: {c.raised}; border-radius: {CORNER}px; }}
    QFrame[role="strip"] QLabel {{ background: transparent; }}
    """
    )
