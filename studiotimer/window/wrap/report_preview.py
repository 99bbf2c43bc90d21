"""The report before printing, in place of what the page shows of a session."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from PySide6.QtWidgets import QWidget

from studiotimer.errors import WorkError
from studiotimer.files import write_whole
from studiotimer.places import file_name
from studiotimer.plain import reason
from studiotimer.units import shown_in
from studiotimer.window.file_bar import FileBar
from studiotimer.window.preview import Preview
from studiotimer.window.style import label
from studiotimer.window.wrap.report_drawn import ReportPaper, report_pdf
from studiotimer.wrap.report import Report


class ReportPreview(Preview):
    """Every page of the report; a place for it is asked in `bar`, `instead` shows while it does not."""

    def __init__(self, instead: QWidget, bar: FileBar) -> None:
        super().__init__("report", (label("The report", "large"),), back="Cancel")
        self._instead, self._bar = instead, bar
        self._shown: tuple[ReportPaper, Path] | None = None
        self.left.connect(self.leave)
        self.pdf_wanted.connect(self._ask_where)
        self.hide()

    def show_report(self, session: Path, report: Report) -> None:
        """Show the report of the session at `session`."""
        paper = ReportPaper(report, shown_in() == "US")
        self._shown = paper, session.with_name(f"{file_name(report.title)}.pdf")
        self._instead.hide()
        self.show()
        self.show_paper(paper)

    def leave(self) -> None:
        """Show the session again."""
        self.hide()
        self._instead.show()

    def _ask_where(self) -> None:
        if self._shown is not None:
            paper, at = self._shown
            self._bar.ask("save", "Save the report as", "Save", at, partial(self._save, paper))

    def _save(self, paper: ReportPaper, path: Path) -> None:
        def save() -> str:
            try:
                write_whole(path, report_pdf(paper.content, paper.letter))
            except OSError as error:
                raise WorkError(f"{path} cannot be written: {reason(error)}; choose another place.") from None
            return f"The report is in {path}."

        said = self.said.emit
        self._aside.ask("pdf", save, lambda words: said(words, True), lambda error: said(str(error), False))
