"""The frames at the best age of one look, and beside them its selects by age."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from studiotimer.window import theme
from studiotimer.window.style import label
from studiotimer.window.switch import Switch
from studiotimer.window.wrap.ages import Ages
from studiotimer.window.wrap.frame_strip import CELL_WIDTH, FramesStrip
from studiotimer.wrap.aged import Aged
from studiotimer.wrap.selects import ByAge, at_best_age

BEST, WINDOW = "Frames at the best age", "Frames in the window"
MARKS = "S marks a select, ← → step; all frames stand below"
PLOT = 380
"""How wide the selects by age are; below twice that they stand under the frames."""


class BestAge(QWidget):
    """A row of frames with the switch between looks; `marked` tells the name of a frame whose select is turned."""

    marked = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.frames: Sequence[Aged] = ()
        self._found: Sequence[ByAge] = ()
        self._shown: tuple[str, tuple[Aged, ...]] = ("", ())
        self.strip = FramesStrip(one_row=True)
        self.strip.setAccessibleName("frames at the best age")
        self.strip.marked.connect(lambda row: self.marked.emit(self.strip.frames.frames[row].name))
        self.ages = Ages(theme.LIGHT)
        self.ages.setFixedWidth(PLOT)
        self.title, self.hint = label(BEST, "heading"), label(MARKS, "quiet")
        for words in (self.title, self.hint):
            words.setWordWrap(False)
        self.look = Switch("look")
        self.look.chosen.connect(lambda _: self._show())
        left = QVBoxLayout()
        left.setSpacing(4)
        head = QHBoxLayout()
        head.setSpacing(14)
        head.addWidget(self.title)
        head.addWidget(self.look)
        head.addStretch(1)
        head.addWidget(self.hint)
        left.addLayout(head)
        left.addWidget(self.strip)
        left.addStretch(1)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(24)
        row.addLayout(left, 1)
        row.addWidget(self.ages)
        self.hide()

    def set_colours(self, colours: theme.Theme) -> None:
        """Draw in another theme."""
        self.strip.colours = self.ages.colours = colours
        self._show(anew=True)

    def show_frames(self, frames: Sequence[Aged], found: Sequence[ByAge]) -> None:
        """Show the frames of a session whose selects by age were found."""
        self.frames, self._found = frames, found
        self.setVisible(bool(found))
        self.look.offer({one.look: one.look for one in found})
        self.look.setVisible(len(found) > 1)
        self._show(anew=True)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.ages.setVisible(self.width() >= 2 * PLOT)
        self.hint.setVisible(self.width() >= 2.9 * PLOT)
        self._show()

    def _show(self, anew: bool = False) -> None:
        by_age = next((one for one in self._found if one.look == self.look.key), None)
        if by_age is None:
            return
        room = self.width() - (PLOT + 24 if self.width() >= 2 * PLOT else 0)
        frames = tuple(at_best_age(self.frames, by_age, max(room // CELL_WIDTH, 1)))
        if anew or self._shown != (by_age.look, frames):
            row = self.strip.currentIndex().row()
            self.strip.show_frames(frames)
            self.strip.setCurrentIndex(self.strip.frames.index(min(row, len(frames) - 1))) if row >= 0 else None
            self._shown = by_age.look, frames
            self.title.setText(BEST if by_age.start_s is not None else WINDOW)
            self.ages.show_ages([by_age])
