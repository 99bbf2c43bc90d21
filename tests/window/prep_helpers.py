"""Ways to drive the Prep page as a person would."""

import shutil
import subprocess

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QLineEdit

from studiotimer.window.prep.written_fields import Choice

NONE, CTRL = Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.ControlModifier
CTRL_SHIFT = CTRL | Qt.KeyboardModifier.ShiftModifier

needs_pdftotext = pytest.mark.skipif(shutil.which("pdftotext") is None, reason="needs pdftotext (poppler-utils)")


class Keys:
    """Presses keys wherever the keys are, and counts them."""

    def __init__(self, qtbot):
        self.qtbot = qtbot
        self.pressed = 0

    @property
    def here(self):
        widget = QApplication.focusWidget()
        assert widget is not None, "nothing has the keys"
        return widget

    def press(self, key, modifier=NONE):
        self.pressed += 1
        self.qtbot.keyClick(self.here, key, modifier)
        QApplication.processEvents()

    def write(self, text):
        """Write over what stands in the field."""
        line = self.here
        assert isinstance(line, QLineEdit), line
        line.selectAll()
        self.pressed += len(text)
        self.qtbot.keyClicks(line, text)

    def tab_to(self, wanted, most=80):
        """Press Tab until the keys are in `wanted`, a widget or what its accessible name begins with."""
        for _ in range(most):
            here = self.here
            if here is wanted or (isinstance(wanted, str) and here.accessibleName().startswith(wanted)):
                return here
            self.press(Qt.Key.Key_Tab)
        raise AssertionError(f"Tab never comes to {wanted!r}")

    def choose(self, value):
        """Choose a value of the list that has the keys, with the arrows."""
        box = self.here
        assert isinstance(box, Choice), box
        for key in [Qt.Key.Key_Up] * box.count() + [Qt.Key.Key_Down] * box.count():
            if box.currentData() == value:
                return
            self.press(key)
        raise AssertionError(f"{value!r} is not offered")


def worked(qtbot, page):
    """Wait until everything that was written is worked out."""
    ready = lambda: page.results is not None and not page._pause.isActive()  # noqa: E731
    qtbot.waitUntil(ready, timeout=30_000)
    return page.results


def field(page, *path):
    found = page.inputs.field_for(path)
    assert found is not None, path
    return found


def fact(page, key):
    """Return the figure of a fact."""
    return next(cell.figure.text() for cell in page.view.figures.cells if cell.key.text() == key)


def reveal(page, field):
    """Unfold the section that a field is in."""
    for fold in (*page.inputs.sections.values(), page.inputs.shots):
        if fold.isAncestorOf(field):
            fold.unfold(True)


def write(qtbot, page, path, text):
    """Write into a field and wait for what follows."""
    asked = field(page, *path)
    reveal(page, asked)
    editor = asked.editor
    editor.setFocus()
    editor.selectAll()
    qtbot.keyClicks(editor, text) if text else qtbot.keyClick(editor, Qt.Key.Key_Delete)
    return worked(qtbot, page)


def pdf_words(path):
    run = subprocess.run(["pdftotext", "-layout", path, "-"], check=True, capture_output=True, timeout=60)
    return " ".join(run.stdout.decode("utf-8").split())
