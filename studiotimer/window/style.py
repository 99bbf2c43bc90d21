"""What the pages by day add to the style sheet: one type scale and one kind of button; and their labels and buttons.

A button is strong (`main`, one a page), plain (no role) or a link; `section`, `row` and `half` are parts of folds,
lists and switches.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QLabel, QPushButton, QWidget

from studiotimer.window import theme
from studiotimer.window.spoken import SpokenLabel
from studiotimer.window.theme import BUTTON, CORNER, FIELD, LARGE, SMALL, Theme

Role = Literal["", "quiet", "warning", "danger", "title", "large", "figure", "heading", "ask", "strong"]
EDGE = 2
"""How wide the line round a field or a button is; a least height in a style sheet is without it."""


def style(colours: Theme) -> str:
    """Return the whole style sheet of a page by day in a theme."""
    return theme.style(colours) + _labels_and_fields(colours) + _buttons(colours) + _others(colours)


def _labels_and_fields(c: Theme) -> str:
    return f"""
    QLabel[role="quiet"], QLabel[role="warning"], QLabel[role="danger"], QLabel[role="ask"],
    QLabel[role="heading"] {{ font-size: {SMALL}px; }}
    QLabel[role="heading"] {{ font-weight: 600; color: {c.quiet}; }}
    QLabel[role="danger"], QLabel[bad="true"] {{ color: {c.danger}; }}
    QLabel[role="ask"] {{ color: {c.quiet}; }}
    QLabel[bad="true"], QLabel[role="ask"][wrong="true"] {{ font-weight: 600; }}
    QLabel[role="ask"][wrong="true"] {{ color: {c.danger}; }}
    QLabel[role="figure"] {{ font-size: {LARGE}px; font-weight: 600; }}
    QLabel[role="strong"] {{ font-weight: 600; }}
    QLabel:disabled {{ color: {c.line}; }}
    QLineEdit, QComboBox {{ min-height: {FIELD - 2 * EDGE}px; border-radius: 8px; }}
    QLineEdit {{ padding: 0 7px; }}
    QComboBox {{ padding: 0 2px 0 7px; }}
    QComboBox::drop-down {{ width: 18px; }}
    QLineEdit[wrong="true"], QComboBox[wrong="true"] {{ border-color: {c.danger}; }}
    """


def _buttons(c: Theme) -> str:
    return f"""
    QPushButton {{ padding: 0 16px; min-height: {BUTTON - 2 * EDGE}px; border-radius: {CORNER}px; }}
    QPushButton[role="main"]:focus {{ border-color: {c.accent}; }}
    QPushButton[role="link"], QPushButton[role="section"], QPushButton[role="row"] {{ min-height: 0;
        background: transparent; border-radius: 5px; text-align: left; }}
    QPushButton[role="link"] {{ color: {c.accent}; padding: 3px 6px 3px 0; font-size: {SMALL}px;
        font-weight: 400; }}
    QPushButton[role="link"]:hover {{ text-decoration: underline; }}
    QPushButton[role="link"]:disabled {{ color: {c.quiet}; }}
    QPushButton[role="section"] {{ padding: 6px 6px 6px 0; font-weight: 600; }}
    QPushButton[role="row"] {{ padding: 3px 5px; }}
    QPushButton[role="row"]:checked {{ background: {c.raised}; color: {c.text}; font-weight: 600; }}
    QPushButton[role="step"] {{ padding: 0; min-width: {BUTTON - 2 * EDGE}px; max-width: {BUTTON - 2 * EDGE}px; }}
    QPushButton[role="toggle"] {{ background: transparent; text-align: left; padding: 0 6px 0 2px; }}
    QPushButton[role="toggle"]:checked {{ background: transparent; color: {c.text}; }}
    QPushButton[role="toggle"]:focus, QPushButton:checked:focus {{ border-color: {c.accent}; }}
    QPushButton[role="ask"] {{ background: {c.panel}; }}
    QPushButton[role="ask"]:hover {{ background: {c.line}; }}
    QPushButton[role="half"] {{ min-height: {BUTTON - 2 * EDGE - 6}px; padding: 0 11px;
        border-radius: {CORNER - 3}px; color: {c.quiet}; background: transparent; }}
    QPushButton[role="half"]:checked {{ background: {c.panel}; color: {c.text}; font-weight: 600; }}
    QPushButton[role="half"]:focus {{ border-color: {c.accent}; }}
    """


def _others(c: Theme) -> str:
    return f"""
    QFrame[role="halves"] {{ background: {c.raised}; border-radius: {CORNER}px; }}
    QFrame[role="how"] {{ background: {c.raised}; border-radius: {CORNER}px; }}
    QFrame[role="how"] QLabel {{ background: transparent; }}
    QFrame[role="rule"] {{ background: {c.line}; max-height: 1px; min-height: 1px; border: none; }}
    QScrollArea {{ border: none; }}
    QScrollArea:focus {{ border: 2px solid {c.accent}; border-radius: 6px; }}
    QPlainTextEdit {{ padding: 6px 8px; border-radius: 8px; }}
    QCheckBox {{ spacing: 8px; border: 2px solid transparent; border-radius: 5px; padding: 3px; }}
    QCheckBox:focus {{ border-color: {c.accent}; }}
    QCheckBox::indicator {{ width: 18px; height: 18px; border: 2px solid {c.quiet}; border-radius: 4px;
        background: {c.panel}; }}
    QCheckBox::indicator:checked {{ background: {c.accent}; border-color: {c.accent}; }}
    QProgressBar {{ background: {c.raised}; border: none; border-radius: 8px; min-height: 24px; text-align: center;
        font-size: {SMALL}px; }}
    QProgressBar::chunk {{ background: {theme.FROST if c is theme.LIGHT else theme.SLATE}; border-radius: 8px; }}
    QSlider {{ background: transparent; min-height: 24px; }}
    QSlider::groove:horizontal {{ height: 4px; background: {c.line}; border-radius: 2px; }}
    QSlider::handle:horizontal {{ width: 18px; margin: -7px 0; border-radius: 9px; background: {theme.CARAMEL}; }}
    QSlider::handle:horizontal:focus {{ background: {c.accent}; }}
    """


def rule() -> QFrame:
    """Return a line between two rows."""
    line = QFrame()
    line.setProperty("role", "rule")
    return line


def label(words: str = "", role: Role = "", name: str = "") -> QLabel:
    """Return a label of plain text that wraps; `name` is what a screen reader calls it."""
    made = SpokenLabel(name, words, news=name == "message")
    made.setTextFormat(Qt.TextFormat.PlainText)
    made.setProperty("role", role)
    made.setWordWrap(True)
    return made


def button(words: str, deed: Callable[..., object], role: str = "", name: str = "", hint: str = "") -> QPushButton:
    """Return a button that Return presses as well as Space."""
    made = QPushButton(words)
    made.setProperty("role", role)
    made.setAccessibleName(name or words)
    made.setAutoDefault(True)
    made.setCursor(Qt.CursorShape.PointingHandCursor)
    if hint:
        made.setToolTip(hint)
        made.setAccessibleDescription(hint)
    made.clicked.connect(lambda _=False: deed())
    return made


def restyle(widget: QWidget, name: str, value: object) -> None:
    """Set a property the style sheet looks at, and draw anew."""
    if widget.property(name) != value:
        widget.setProperty(name, value)
        widget.style().unpolish(widget)
        widget.style().polish(widget)
