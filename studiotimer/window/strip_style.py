"""How the strip over the pages looks."""

from __future__ import annotations

from studiotimer.window import theme


def strip_style(colours: theme.Theme, one: float) -> str:
    """Return the strip's style sheet, everything `one` times as large."""
    return f"""
    QWidget {{ background: {colours.ground}; }}
    QLabel {{ color: {colours.warning}; font-size: {round(theme.SMALL * one)}px; font-weight: 600; }}
    QPushButton {{ background: transparent; color: {colours.quiet}; padding: 0 {round(8 * one)}px; border-radius: 5px;
        border: 2px solid transparent; font-size: {round(theme.SMALL * one)}px; font-weight: 400; }}
    QPushButton:hover {{ background: transparent; color: {colours.text}; }}
    QPushButton:focus {{ border-color: {colours.accent}; }}
    QPushButton:checked {{ background: transparent; color: {colours.text}; font-weight: 600; }}
    """
