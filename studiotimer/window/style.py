"""What the pages by day add to the style sheet, and the small labels and buttons they are made of."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QPushButton, QWidget

from studiotimer.window import theme
from studiotimer.window.spoken import SpokenLabel
from studiotimer.window.theme import BODY, RADIUS, SMALL, Theme

Role = Literal["", "quiet", "warning", "danger", "title", "large", "figure", "heading", "ask"]


def style(colours: Theme) -> str:
    """Return the whole style sheet of a page by day in a theme."""
    c = colours
    return (
        theme.style(c)
        + f"""
    QLabel[role="figure"] {{ font-size: 26px; font-weight: 600; }}
    QLabel[role="heading"] {{ font-size: {SMALL}px; font-weight: 600; color: {c.quiet}; }}
    QLabel[role="danger"] {{ color: {c.danger}; font-size: {SMALL}px; }}
    QLabel[role="ask"] {{ font-size: {BODY - 1}px; }}
    QLabel[bad="true"] {{ color: {c.danger}; font-weight: 600; }}
    QLineEdit, QComboBox {{ padding: 4px 9px; min-height: 22px; font-size: {BODY - 1}px; }}
    QLineEdit[wrong="true"], QComboBox[wrong="true"] {{ border-color: {c.danger}; }}
    QPushButton {{ padding: 8px 14px; font-size: {BODY - 1}px; border-radius: {RADIUS - 3}px; }}
    QPushButton[role="main"]:focus {{ border-color: {c.accent}; }}
    QPushButton[role="link"] {{ background: transparent; color: {c.accent}; border-radius: 5px;
        padding: 2px 5px 2px 1px; font-size: {SMALL}px; text-align: left; font-weight: 400; }}
    QPushButton[role="link"]:hover {{ text-decoration: underline; }}
    QPushButton[role="section"] {{ background: transparent; color: {c.quiet}; border-radius: 5px;
        padding: 3px 5px 3px 1px; font-size: {SMALL}px; font-weight: 600; text-align: left; }}
    QPushButton[role="section"]:hover {{ color: {c.text}; }}
    QPushButton[role="choice"] {{ background: transparent; padding: 5px 10px; border: 2px solid {c.line};
        font-size: {SMALL}px; }}
    QPushButton[role="choice"]:checked {{ background: {c.raised}; color: {c.text}; border-color: {c.text}; }}
    QPushButton[role="choice"]:focus {{ border-color: {c.accent}; }}
    QPushButton[role="row"] {{ background: transparent; padding: 3px 5px; text-align: left; border-radius: 5px;
        font-size: {BODY - 1}px; }}
    QPushButton[role="row"]:checked {{ background: {c.raised}; color: {c.text}; font-weight: 600; }}
    QFrame[role="how"] {{ background: {c.raised}; border-radius: {RADIUS - 3}px; }}
    QFrame[role="how"] QLabel {{ background: transparent; font-size: {BODY - 1}px; }}
    QFrame[role="rule"] {{ background: {c.line}; max-height: 1px; min-height: 1px; border: none; }}
    QScrollArea {{ border: none; }}
    QScrollArea:focus {{ border: 2px solid {c.accent}; border-radius: 6px; }}
    QPlainTextEdit {{ font-size: {SMALL}px; padding: 6px 8px; }}
    QCheckBox {{ font-size: {BODY - 1}px; spacing: 8px; border: 2px solid transparent; border-radius: 5px;
        padding: 3px; }}
    QCheckBox:focus {{ border-color: {c.accent}; }}
    QCheckBox::indicator {{ width: 18px; height: 18px; border: 2px solid {c.quiet}; border-radius: 4px;
        background: {c.panel}; }}
    QCheckBox::indicator:checked {{ background: {c.accent}; border-color: {c.accent}; }}
    QSlider {{ background: transparent; min-height: 24px; }}
    QSlider::groove:horizontal {{ height: 4px; background: {c.line}; border-radius: 2px; }}
    QSlider::handle:horizontal {{ width: 18px; margin: -7px 0; border-radius: 9px; background: {theme.CARAMEL}; }}
    QSlider::handle:horizontal:focus {{ background: {c.accent}; }}
    """
    )


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
