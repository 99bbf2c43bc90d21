"""The report of a session written into a folder: worked out, drawn and put on disk aside from the window."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

from studiotimer import units
from studiotimer.errors import StoppedError, WorkError
from studiotimer.window.file_bar import written
from studiotimer.wrap.frames import Progress, heed
from studiotimer.wrap.report import Report
from studiotimer.wrap.work import Wrapped, report_files

STOPPED = "Stopped; nothing was written."


class NotWrittenError(WorkError):
    """The report cannot be written where it was to be."""

    def __init__(self, sentence: str, wrapped: Wrapped, folder: Path) -> None:
        super().__init__(sentence)
        self.wrapped, self.folder = wrapped, folder


def whole_report(wrapped: Wrapped, next_date: dt.date, progress: Progress) -> Report:
    """Return the report with the pictures of its frames; raises WorkError when it was stopped."""
    try:
        return report_files(wrapped.review, wrapped.frames, wrapped.gaps, next_date, progress).report
    except StoppedError:
        raise WorkError(STOPPED) from None


def write_report(wrapped: Wrapped, folder: Path, next_date: dt.date, progress: Progress) -> Path:
    """Write every file of the report, each whole or not at all, and return where.

    Raises NotWrittenError with why the folder does not take them, WorkError when it was stopped.
    """
    from studiotimer.window.wrap.report_drawn import drawn_files  # brings the PDF, which the page does without

    try:
        found = report_files(wrapped.review, wrapped.frames, wrapped.gaps, next_date, progress)
        heed(progress, 1, 1)
        drawn = drawn_files(found.report, letter=units.shown_in() == "US")
        heed(progress, 1, 1)
    except StoppedError:
        raise WorkError(STOPPED) from None
    if (wrong := written(folder, found.files | drawn)) is not None:
        raise NotWrittenError(f"{wrong}.", wrapped, folder)
    return folder
