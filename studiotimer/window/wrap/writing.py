"""The report of a session written into a folder: worked out, drawn and put on disk aside from the window."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from pathlib import Path

from studiotimer import units
from studiotimer.window.file_bar import written
from studiotimer.wrap.frames import Progress, StoppedError, heed
from studiotimer.wrap.work import Wrapped, report_files

STOPPED = "Stopped; nothing was written."


@dataclass(frozen=True)
class Written:
    """Of what a report was to be written where, and the sentence that says why it is not there, None when it is."""

    wrapped: Wrapped
    folder: Path
    wrong: str | None


def write_report(wrapped: Wrapped, folder: Path, next_date: dt.date, progress: Progress) -> Written | str:
    """Write every file of the report, each whole or not at all; return where, or that it was stopped."""
    from studiotimer.window.wrap.report import drawn_files  # brings the PDF, which the page does without

    try:
        found = report_files(wrapped.review, wrapped.frames, wrapped.gaps, next_date, progress)
        heed(progress, 1, 1)
        drawn = drawn_files(found.report, letter=units.shown_in() == "US")
        heed(progress, 1, 1)
    except StoppedError:
        return STOPPED
    return Written(wrapped, folder, written(folder, found.files | drawn))
