"""The files of a plan, written: the sheet alone, or all into one folder."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

from studiotimer.prep.outputs import SHEET, files_of, made_now
from studiotimer.prep.printed import printed_sheet
from studiotimer.prep.results import Results
from studiotimer.window.file_bar import written_soon
from studiotimer.window.prep.sheet import pdf_bytes


def write_all(results: Results, folder: Path) -> str | None:
    """Write the sheet, the shopping list, the calendar and the plan; return what was wrong, if anything was."""
    made = made_now()
    files = files_of(results, made)
    files[SHEET] = _sheet(results, made)
    return written_soon(folder, files)


def write_sheet(results: Results, path: Path) -> str | None:
    """Write the sheet as a PDF; return what was wrong, if anything was."""
    return written_soon(path.parent, {path.name or SHEET: _sheet(results, made_now())})


def _sheet(results: Results, made: dt.datetime) -> bytes:
    return pdf_bytes(printed_sheet(results, made), made, letter=results.style == "US")
