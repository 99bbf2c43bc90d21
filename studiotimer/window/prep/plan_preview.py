"""What a plan is on paper, before printing, beside what can be done with it."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Signal

from studiotimer.prep.outputs import SHEET, made_now
from studiotimer.prep.results import Results
from studiotimer.window.choice import Choice
from studiotimer.window.file_bar import proposed
from studiotimer.window.prep.pages import Pages, Upright
from studiotimer.window.prep.papers import CALLED, papers
from studiotimer.window.preview import Preview
from studiotimer.window.style import button, label

FILES = "The sheet, the flags, shopping.csv, run_sheet.ics for a calendar, and plan.json."


class PlanPreview(Preview):
    """Every page of the sheet, or of the flags and slot maps."""

    files_wanted = Signal()

    def __init__(self) -> None:
        self._pages_of: dict[str, Pages] = {}
        self._letter = False
        which, files = Choice(), button("Write all files", lambda: self.files_wanted.emit())
        which.fill([(name, words[:1].upper() + words[1:]) for name, words in CALLED.items()], SHEET)
        which.setAccessibleName("what is printed")
        above = label("On paper", "large"), which
        super().__init__("sheet", above, (files, label(FILES, "quiet")), "Cancel")
        self.which, self.files = which, files
        which.currentIndexChanged.connect(lambda _: self._turn())

    def show_results(self, results: Results) -> None:
        """Show the sheet of a plan."""
        self._letter = results.style == "US"
        self._pages_of = papers(results, made_now())
        self.show_paper(self._chosen())

    @property
    def paper(self) -> str:
        """Return which of the papers is shown, by its file's name."""
        return str(self.which.currentData())

    @property
    def called(self) -> str:
        """Return what the paper that is shown is called."""
        return CALLED[self.paper]

    def file_for(self, title: str) -> Path:
        """Return where the paper that is shown would be saved, of a plan of that title."""
        return proposed(title if self.paper == SHEET else f"{title} flags", ".pdf")

    def _chosen(self) -> Upright:
        return Upright(self._pages_of[self.paper], self.called, self._letter)

    def _turn(self) -> None:
        if self._pages_of:
            self.turn_to(self._chosen())
