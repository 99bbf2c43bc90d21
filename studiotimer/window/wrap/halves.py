"""The Wrap page's halves: the timeline above, and below it the frames with their ages, or the tables in their place."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QSplitter, QStackedWidget, QWidget

LEAST_HEIGHT = 360


class Halves(QSplitter):
    """Holds what the page shows of a session; `below` is the lower half."""

    def __init__(self, timeline: QWidget, strip: QWidget, ages: QWidget, tables: QWidget) -> None:
        super().__init__(Qt.Orientation.Vertical)
        frames = QWidget()
        beside = QHBoxLayout(frames)
        beside.setContentsMargins(0, 0, 0, 0)
        beside.setSpacing(24)
        beside.addWidget(strip, 5)
        beside.addWidget(ages, 3)
        self.below = QStackedWidget()
        self.below.addWidget(frames)
        self.below.addWidget(tables)
        self.setChildrenCollapsible(False)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Ignored)
        self.setMinimumHeight(LEAST_HEIGHT)
        self.addWidget(timeline)
        self.addWidget(self.below)
        self.setSizes([440, 320])
