"""What the day showed and what to do next time, in sentences, before anything else."""

from __future__ import annotations

from PySide6.QtWidgets import QGridLayout, QLabel, QVBoxLayout, QWidget

from studiotimer.window.style import label
from studiotimer.wrap.report import NEXT_TIME, Report

MOST = 5
"""How many findings the page shows; the report has all."""


class Findings(QWidget):
    """A line a finding, strong; below them what the next plan has from this day."""

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName("what the day showed")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 2)
        column.setSpacing(2)
        self.lines = [label("", "strong", "finding") for _ in range(MOST)]
        for line in self.lines:
            column.addWidget(line)
        grid = QGridLayout()
        grid.setContentsMargins(0, 4, 0, 0)
        grid.setHorizontalSpacing(14)
        self.head: QLabel = label(NEXT_TIME, "heading")
        self.head.setWordWrap(False)
        self.next: QLabel = label("", "quiet", "next time")
        grid.addWidget(self.head, 0, 0)
        grid.addWidget(self.next, 0, 1)
        grid.setColumnStretch(1, 1)
        column.addLayout(grid)
        self.hide()

    def show_report(self, report: Report) -> None:
        """Show what a report found."""
        for place, line in enumerate(self.lines):
            line.setVisible(place < len(report.findings))
            line.setText(report.findings[place] if place < len(report.findings) else "")
        self.next.setText(report.next_time)
        self.head.setVisible(bool(report.next_time))
        self.next.setVisible(bool(report.next_time))
        self.show()
