"""A line at the foot of the page that explains what has the keys: what is asked, what is usual, what is wrong."""

from __future__ import annotations

from PySide6.QtWidgets import QApplication, QFrame, QHBoxLayout, QWidget

from studiotimer.window.prep.written_fields import Field
from studiotimer.window.style import label, restyle

IDLE = "F6 goes to the results and back. Ctrl+Return adds a flavour or a shot like the one that is written."


class Explained(QFrame):
    """Explains the field that has the keys."""

    def __init__(self, page: QWidget) -> None:
        super().__init__()
        self._page = page
        self.setProperty("role", "strip")
        row = QHBoxLayout(self)
        row.setContentsMargins(12, 5, 12, 5)
        self.words = label(IDLE, "quiet", "what is asked")
        row.addWidget(self.words)
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        app.focusChanged.connect(self._follow)

    def tell_again(self) -> None:
        """Tell of what has the keys as it is now."""
        self._follow(None, QApplication.focusWidget())

    def _follow(self, _before: QWidget | None, now: QWidget | None) -> None:
        if now is None or not self._page.isAncestorOf(now):
            return
        field = field_of(now)
        wrong = field.message.text() if field is not None else ""
        self.words.setText(wrong or (field.explanation if field is not None else IDLE))
        restyle(self.words, "role", "danger" if wrong else "quiet")


def field_of(widget: QWidget | None) -> Field | None:
    """Return the field that a widget is part of."""
    while widget is not None and not isinstance(widget, Field):
        widget = widget.parentWidget()
    return widget
