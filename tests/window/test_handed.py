"""What the printing process is handed is JSON: the same paper comes out of it, and nothing else is taken."""

import io
import pickle
import subprocess
import sys

import pytest

from studiotimer.places import demo_sessions
from studiotimer.prep.flags import flags_of
from studiotimer.prep.loading import load_plan
from studiotimer.prep.outputs import SHEET, made_now
from studiotimer.prep.printed import printed_sheet
from studiotimer.prep.results import results_of
from studiotimer.window import printing
from studiotimer.window.handed import handed, taken
from studiotimer.window.paper import paper_pdf, pictures_of
from studiotimer.window.prep.flags_drawn import flag_pages
from studiotimer.window.prep.pages import Upright
from studiotimer.window.prep.plan_files import write_all, write_paper
from studiotimer.window.prep.sheet import sheet_pages
from studiotimer.window.preview import Preview
from studiotimer.window.wrap.report_drawn import ReportPaper
from studiotimer.wrap.export import Asked, export

HOT = demo_sessions() / "hot_tungsten"


@pytest.fixture(scope="module")
def papers():
    results = results_of(load_plan(HOT / "plan.json"))
    report = export(HOT / "hot_tungsten.setlog", Asked(frames=(HOT / "frames",), camera_ahead_s=-3.0)).report
    assert any(one.picture for one in report.shown)
    return {
        "sheet": Upright(sheet_pages(printed_sheet(results, made_now())), "sheet", letter=True),
        "flags": Upright(flag_pages(flags_of(results)), "flags and slot maps"),
        "report": ReportPaper(report),
    }


@pytest.mark.parametrize("which", ["sheet", "flags", "report"])
def test_the_paper_is_the_same_on_the_other_side(qtbot, papers, which):
    paper = papers[which]
    there = taken(handed("Laser", paper, "US"))
    assert (there.printer, there.style) == ("Laser", "US")
    again = there.paper
    assert (again.content, again.letter, again.noun, again.title) == (
        paper.content, paper.letter, paper.noun, paper.title,
    )  # fmt: skip
    assert pictures_of(again, 300, 3) == pictures_of(paper, 300, 3)


class Runs:
    def __init__(self, mark):
        self.mark = mark

    def __reduce__(self):
        return open, (str(self.mark), "w")


@pytest.mark.fault("what the printing process is handed is a pickle")
def test_what_is_no_paper_is_refused_and_run_by_nobody(qtbot, tmp_path):
    mark = tmp_path / "ran"
    for data in (pickle.dumps(Runs(mark)), pickle.dumps(("Laser", Runs(mark), "US")), b"{}", b"[" * 100_000, b"\xff"):
        with pytest.raises(ValueError, match="validation error"):
            printing.main(io.BytesIO(data), io.BytesIO())
    done = subprocess.run(
        [sys.executable, "-m", "studiotimer.window.printing"], input=pickle.dumps(Runs(mark)), capture_output=True,
        check=False, timeout=60,
    )  # fmt: skip
    assert done.returncode == 1
    assert not mark.exists()


@pytest.mark.parametrize("which", ["sheet", "flags"])
def test_a_pdf_is_drawn_there_as_it_would_be_here(qtbot, papers, which, monkeypatch):
    paper, made = papers[which], made_now()
    here = paper_pdf(paper, made)
    monkeypatch.setattr("studiotimer.window.paper.draw_on", None)
    assert printing.pdf_of(paper, made) == here


@pytest.mark.parametrize("which", ["sheet", "flags", "report"])
def test_pictures_are_drawn_there_as_they_would_be_here(qtbot, papers, which):
    paper = papers[which]
    there = printing.pages_of(paper, 300, 3)
    assert there == [one.convertToFormat(there[0].format()) for one in pictures_of(paper, 300, 3)]


@pytest.mark.fault("the process that draws what is previewed does not come to an end")
def test_a_preview_that_is_not_drawn_is_said(qtbot, papers, monkeypatch):
    monkeypatch.setattr(printing, "DRAW_S", 0.01)
    preview = Preview("sheet")
    qtbot.addWidget(preview)
    preview.turn_to(papers["sheet"])
    qtbot.waitUntil(lambda: "could not be drawn" in preview.about.text(), timeout=20_000)
    preview.end()


def test_the_files_of_a_plan_are_drawn_in_no_thread_of_the_window(qtbot, tmp_path, monkeypatch):
    """Qt lays a long sheet out in one go, with every thread of Python held meanwhile."""
    monkeypatch.setattr("studiotimer.window.paper.draw_on", None)
    results = results_of(load_plan(HOT / "plan.json"))
    assert write_all(results, tmp_path) is None
    assert write_paper(results, SHEET, tmp_path / "one.pdf") is None
    names = {"sheet.pdf", "flags.pdf", "shopping.csv", "run_sheet.ics", "plan.json", "one.pdf"}
    assert names <= {path.name for path in tmp_path.iterdir()}
    assert (tmp_path / "one.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.fault("the process that draws does not come to an end")
def test_a_pdf_that_is_not_drawn_is_said(qtbot, tmp_path, monkeypatch):
    monkeypatch.setattr(printing, "DRAW_S", 0.01)
    wrong = write_paper(results_of(load_plan(HOT / "plan.json")), SHEET, tmp_path / "one.pdf")
    assert wrong == "The sheet could not be drawn; try again"
    assert not list(tmp_path.iterdir())
