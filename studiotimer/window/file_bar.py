"""Where files come from and go: one line to write the place in, inside the window, and the writing itself."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Literal

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QFileDialog, QFrame, QHBoxLayout, QLineEdit, QWidget
from shiboken6 import isValid

from studiotimer.errors import WorkError
from studiotimer.files import write_all
from studiotimer.places import file_name, path_of, sessions_folder
from studiotimer.plain import reason
from studiotimer.window.aside import answered
from studiotimer.window.style import button, label

Kind = Literal["open", "save", "folder"]
Deed = Callable[[Path], str | None]
WRITE_S = 100.0
"""How long the files of a plan may take to be drawn and written."""
FILTERS = {".json": "JSON files (*.json)", ".pdf": "PDF (*.pdf)"}


class FileBar(QFrame):
    """Asks for a file or a folder in a line across the page; no dialog, so nothing is covered."""

    def __init__(self, may_cover: Callable[[], bool], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._may_cover = may_cover
        self._kind: Kind = "open"
        self._deed: Deed = lambda _: None
        self._back: QWidget | None = None
        self.setProperty("role", "how")
        row = QHBoxLayout(self)
        row.setContentsMargins(14, 8, 14, 8)
        row.setSpacing(8)
        self.words = label()
        self.words.setWordWrap(False)
        self.line = QLineEdit()
        self.line.setMinimumWidth(120)
        self.line.returnPressed.connect(self._do)
        self.browse = button("Choose…", self._choose)
        self.do = button("", self._do, "main")
        self.leave = button("Cancel", self.close_bar)
        for widget in (self.words, self.line, self.browse, self.do, self.leave):
            row.addWidget(widget, 1 if widget is self.line else 0)
        self.hide()

    def ask(self, kind: Kind, words: str, verb: str, proposed: Path, deed: Deed) -> None:
        """Ask for a path; `deed` is done with it and returns what was wrong, None when all went well."""
        self._kind, self._deed = kind, deed
        self._back = self.window().focusWidget()
        self.words.setText(words)
        self.line.setText(str(proposed))
        self.line.setAccessibleName(words)
        self.do.setText(verb)
        self.do.setAccessibleName(verb)
        self.browse.setVisible(self._may_cover())
        self.show()
        self.line.setFocus()
        self.line.selectAll()

    def close_bar(self) -> None:
        """Put the line away and give the keys back."""
        self.hide()
        if self._back is not None and isValid(self._back) and self._back.isVisible():
            self._back.setFocus()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.close_bar()
        else:
            super().keyPressEvent(event)

    def _do(self) -> None:
        if self._deed(path_of(self.line.text())) is None:
            self.close_bar()

    def _choose(self) -> None:
        at = self.line.text().strip()
        filters = FILTERS.get(Path(at).suffix.lower(), "")
        if self._kind == "folder":
            chosen = QFileDialog.getExistingDirectory(self, self.words.text(), at)
        elif self._kind == "save":
            chosen = QFileDialog.getSaveFileName(self, self.words.text(), at, filters)[0]
        else:
            chosen = QFileDialog.getOpenFileName(self, self.words.text(), at, filters)[0]
        if chosen:
            self.line.setText(chosen)
            self.do.setFocus()


def proposed(title: str, suffix: str = "") -> Path:
    """Return where a plan's file or folder goes unless told otherwise."""
    return sessions_folder() / f"{file_name(title)}{suffix}"


def written_soon(folder: Path, files: Callable[[], dict[str, bytes]]) -> str | None:
    """Make files, which may raise WorkError, and write them as `written` does, while the window goes on."""
    try:
        return answered("writing there", lambda: written(folder, files()), WRITE_S)
    except WorkError as error:
        return str(error).rstrip(".")


def written(folder: Path, files: dict[str, bytes]) -> str | None:
    """Write files into a folder, each whole or not at all; return what was wrong, if anything was."""
    try:
        write_all(folder, files)
    except (OSError, ValueError) as error:
        return f"{folder} cannot be written: {reason(error)}; choose another place"
    return None
