"""What can be printed of a plan, and every file it becomes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

from studiotimer.prep.flags import FLAGS, flags_of
from studiotimer.prep.outputs import SHEET, files_of
from studiotimer.prep.printed import printed_sheet
from studiotimer.prep.results import Results
from studiotimer.window.paper import paper_pdf
from studiotimer.window.prep.flags_drawn import flag_pages
from studiotimer.window.prep.pages import Pages, Upright
from studiotimer.window.prep.sheet import sheet_pages

CALLED = {SHEET: "sheet", FLAGS: "flags and slot maps"}


def papers(results: Results, made: dt.datetime) -> dict[str, Pages]:
    """Return what can be printed of a plan, by its file's name."""
    return {SHEET: sheet_pages(printed_sheet(results, made)), FLAGS: flag_pages(flags_of(results))}


def all_files(
    results: Results, made: dt.datetime, drawn: Callable[[Upright, dt.datetime], bytes] = paper_pdf
) -> dict[str, bytes]:
    """Return every file of a plan, by its name; the PDFs, as they are `drawn`, on US Letter for US units, else A4."""
    letter = results.style == "US"
    pdfs = {name: drawn(Upright(pages, CALLED[name], letter), made) for name, pages in papers(results, made).items()}
    return files_of(results, made) | pdfs
