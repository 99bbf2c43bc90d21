"""The files of a plan, written: the plan, one paper, or all into one folder."""

from __future__ import annotations

from pathlib import Path

from studiotimer.prep.outputs import made_now
from studiotimer.prep.plan import Plan, save_plan
from studiotimer.prep.results import Results
from studiotimer.window.aside import answered
from studiotimer.window.file_bar import written_soon
from studiotimer.window.prep.pages import pages_pdf
from studiotimer.window.prep.papers import all_files, papers


def write_all(results: Results, folder: Path) -> str | None:
    """Write sheet, flags, shopping list, calendar and plan; return what was wrong, if anything was."""
    return written_soon(folder, all_files(results, made_now()))


def write_paper(results: Results, paper: str, path: Path) -> str | None:
    """Write one of `papers` as a PDF; return what was wrong, if anything was."""
    made = made_now()
    pdf = pages_pdf(papers(results, made)[paper], made, letter=results.style == "US")
    return written_soon(path.parent, {path.name or paper: pdf})


def write_plan(plan: Plan, path: Path) -> str | None:
    """Write the plan itself; return what was wrong, if anything was."""
    try:
        answered("saving the plan", lambda: save_plan(plan, path))
    except OSError as error:
        return f"{path} cannot be written: {(error.strerror or 'no reason given').lower()}"
    return None
