"""The report's tables on the page, and working times side by side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from PySide6.QtCore import QSizeF, Qt
from PySide6.QtGui import QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QTextBrowser

from studiotimer.units import duration, temperature
from studiotimer.window import theme
from studiotimer.wrap.cells import Table
from studiotimer.wrap.report import Report
from studiotimer.wrap.report_html import PRINTED, template
from studiotimer.wrap.side_by_side import Worked

SIDE_BY_SIDE = ("mix", "set", "look", "session", "heroes", "end seen", "working time", "shortest", "longest", "air")


class Tables(QTextBrowser):
    """Tables to read, as high as they need; nothing in them can be followed or run."""

    def __init__(self) -> None:
        super().__init__()
        self.setOpenLinks(False)
        self.setFrameShape(QTextBrowser.Shape.NoFrame)
        self.setAccessibleName("tables")
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.document().documentLayout().documentSizeChanged.connect(self._be_high)
        self._report: Report | None = None
        self._others: tuple[Table, ...] = ()

    def set_colours(self, colours: theme.Theme) -> None:
        """Show them in another theme."""
        self.document().setDefaultStyleSheet(
            "td, th { padding: 2px 16px 3px 0 }"
            f"body, td, th, p {{ color: {colours.text}; font-size: {theme.SMALL}px }}"
            "h2 { font-size: 15px; font-weight: 600; margin: 14px 0 3px 0 }"
            f".quiet, th {{ color: {colours.quiet}; font-weight: normal }} .caution {{ color: {colours.warning} }}"
        )
        self._fill()

    def show_report(self, report: Report) -> None:
        """Show a session's tables."""
        self._report = report
        self._fill()

    def show_side_by_side(self, rows: Sequence[Worked]) -> None:
        """Show working times by mix and set, before the session's own tables."""
        cells = tuple(
            (
                one.mix, one.set, one.look, one.session, str(one.heroes), str(one.ended_seen), duration(one.working_s),
                duration(one.shortest_s), duration(one.longest_s), temperature(one.air_c),
            )
            for one in rows
        )  # fmt: skip
        self._others = (
            Table("Sessions compared: working time by mix and set", SIDE_BY_SIDE, cells, "Medians of the heroes."),
        )
        self._fill()

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()  # the page scrolls

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._be_high(self.document().documentLayout().documentSize())

    def _be_high(self, size: QSizeF) -> None:
        """Be as high as what is in it, and as the bar below what is wider than the page."""
        wider = size.width() > self.viewport().width() + 1
        bar = self.horizontalScrollBar().sizeHint().height() if wider else 0
        self.setFixedHeight(round(size.height()) + 2 + bar)

    def _fill(self) -> None:
        if self._report is None:
            return
        report = replace(self._report, tables=(*self._others, *self._report.tables))
        self.setHtml(template(PRINTED).render(report=report, ages=[]))
