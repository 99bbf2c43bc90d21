"""How the working time is found: the help page, shown where it covers no clock."""

from __future__ import annotations

from PySide6.QtWidgets import QFrame, QTextBrowser, QVBoxLayout

from studiotimer.places import resource
from studiotimer.window import theme
from studiotimer.window.stack import Part

PAGE = ("help", "working-time.md")
WIDEST = 900


class HelpPart(Part):
    """A page to read; the arrow keys move it."""

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName("How the working time is found")
        self.browser = QTextBrowser()
        self.browser.setFrameShape(QFrame.Shape.NoFrame)
        self.browser.setAccessibleName("How the working time is found")
        self.browser.setOpenLinks(False)
        self.browser.setMaximumWidth(WIDEST)
        self.browser.document().setDefaultFont(theme.font(theme.BODY))
        self.browser.setMarkdown(resource(*PAGE).read_text(encoding="utf-8"))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.browser)
        self.setFocusProxy(self.browser)

    def set_scale(self, scale: float) -> None:
        self.browser.document().setDefaultFont(theme.font(theme.BODY * scale))
        self.browser.setMaximumWidth(round(WIDEST * scale))
