"""What the Wrap page shows of a session, one under another: the day, the best frames, then all frames or the tables."""

from __future__ import annotations

from PySide6.QtWidgets import QVBoxLayout, QWidget

from studiotimer.window import theme
from studiotimer.window.wrap.best import BestAge
from studiotimer.window.wrap.frame_strip import FramesStrip
from studiotimer.window.wrap.tables_view import Tables
from studiotimer.window.wrap.timeline_view import TimelineView

FRAMES, TABLES = 0, 1


class SessionParts(QWidget):
    """Holds the parts; of the frames and the tables one is in view. Nothing in it scrolls: the page does."""

    def __init__(
        self, timeline: TimelineView, best: BestAge, over: QWidget, strip: FramesStrip, tables: Tables
    ) -> None:
        super().__init__()
        self._strip, self._tables = strip, tables
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2 * theme.GAP)
        for part in (timeline, best, over, strip, tables):
            column.addWidget(part)
        column.addStretch(1)
        self.show_part(FRAMES)

    @property
    def part(self) -> int:
        """Which of the two is in view."""
        return TABLES if self._strip.isHidden() else FRAMES

    def show_part(self, part: int) -> None:
        """Show the frames or the tables."""
        self._strip.setVisible(part == FRAMES)
        self._tables.setVisible(part == TABLES)
