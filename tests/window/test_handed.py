"""What the printing process is handed is JSON: the same paper comes out of it, and nothing else is taken."""

import io
import pickle
import subprocess
import sys

import pytest

from studiotimer.places import demo_sessions
from studiotimer.prep.flags import flags_of
from studiotimer.prep.outputs import made_now
from studiotimer.prep.plan import load_plan
from studiotimer.prep.printed import printed_sheet
from studiotimer.prep.results import results_of
from studiotimer.window import printing
from studiotimer.window.handed import handed, taken
from studiotimer.window.paper import pictures_of
from studiotimer.window.prep.flags import flag_pages
from studiotimer.window.prep.pages import Upright
from studiotimer.window.prep.sheet import sheet_pages
from studiotimer.window.wrap.report import ReportPaper
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
