"""The files of a plan, written: the plan, one paper, or all into one folder."""

from __future__ import annotations

from pathlib import Path

from studiotimer.prep.outputs import made_now
from studiotimer.prep.plan import Plan, save_plan
from studiotimer.prep.results import Results
from studiotimer.window.aside import answered
from studiotimer.window.file_bar import written_soon
from studiotimer.window.prep.pages import Upright
from studiotimer.window.prep.papers import CALLED, all_files, papers
from studiotimer.window.printing import pdf_of


def write_all(results: Results, folder: Path) -> str | None:
    """Write sheet, flags, shopping list, calendar and plan; return what was wrong, if anything was."""
    return written_soon(folder, lambda: all_files(results, made_now(), pdf_of))


def write_paper(results: Results, paper: str, path: Path) -> str | None:
    """Write one of `papers` as a PDF; return what was wrong, if anything was."""

    def drawn() -> dict[str, bytes]:
        made = made_now()
        pages = Upright(papers(results, made)[paper], CALLED[paper], results.style == "US")
        return {path.name or paper: pdf_of(pages, made)}

    return written_soon(path.parent, drawn)


def write_plan(plan: Plan, path: Path) -> str | None:
    """Write the plan itself; return what was wrong, if anything was."""
    try:
        answered("saving the plan", lambda: save_plan(plan, path))
    except OSError as error:
        return f"{path} cannot be written: {(error.strerror or 'no reason given').lower()}"
    return None
