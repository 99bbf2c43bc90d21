"""Closed packs in Wrap: their stages on the timeline and in the tables, and frames before and after a wiping."""

import csv
import io

import pytest

from studiotimer.prep.looks import PACK_STAGES
from studiotimer.wrap.aged import aged
from studiotimer.wrap.frames import Found
from studiotimer.wrap.report import _scoops
from studiotimer.wrap.review import review_of
from studiotimer.wrap.tables import frames_csv, scoops_csv
from studiotimer.wrap.timeline import timeline_of
from tests.wrap.shoots import COUPE, session

FLAVOURS = [{"name": "vanilla", "mix": "premium", "form": "pint"}, {"name": "cherry", "mix": "sorbet"}]


@pytest.fixture(scope="module")
def review():
    """A pack that stood for an hour, seen to bead and wiped at 2,600 s."""
    return review_of(
        session(
            (0, "shot", COUPE),
            (30, "pull", {"scoop": 1, "flavour": "vanilla", "to": "tray"}),
            (60, "hero_in", {"scoops": [1], "flavours": ["vanilla"], "spots": ["centre"], "shot": "coupe"}),
            (2500, "look", {"scoop": 1, "seen": "dew"}),
            (2600, "dew_wiped", {"scoops": [1]}),
            (3660, "out", {"scoops": [1], "why": "got it"}),
            (3700, "note", {"text": "done"}),
            flavours=FLAVOURS,
        )
    )


def test_its_row_has_the_stages_of_its_wall_anew_after_a_wiping(review):
    (row,) = timeline_of(review).rows
    stages = [span.words for span in row.stages]
    assert stages == ["frosted", "dewy", "dry", "dewy"]
    assert set(stages) <= set(PACK_STAGES)
    for before, after in zip(row.stages[:-1], row.stages[1:], strict=True):
        assert before.end == pytest.approx(after.start)
    assert next(span.start for span in row.stages if span.words == "dewy") == 2500.0
    assert [mark.words for mark in row.looks] == ["dewy seen", "dew wiped"]


def test_a_frame_has_the_stage_and_the_window_of_its_time(review):
    times = (500.0, 2550.0, 2610.0, 3600.0)
    frames = aged(review, [(Found(f"F{index}.jpg", None, at), at) for index, at in enumerate(times)])
    assert [frame.scoops[0].stage_words for frame in frames] == ["frosted", "dewy", "dry", "dewy"]
    assert [frame.scoops[0].seen for frame in frames] == [False, True, False, False]
    left = [frame.scoops[0].left_s for frame in frames]
    assert left[0] == pytest.approx(2000.0)
    assert left[1] == pytest.approx(-50.0)
    assert 0.0 < left[2] < 600.0
    assert left[3] < 0.0
    rows = list(csv.DictReader(io.StringIO(frames_csv(review, frames).decode("utf-8-sig"))))
    assert [row["stage"] for row in rows] == ["frosted", "dewy", "dry", "dewy"]


def test_tables_say_when_its_wall_changed(review):
    (row,) = csv.DictReader(io.StringIO(scoops_csv(review).decode("utf-8-sig")))
    assert row["sheen_s"] == row["sheen_seen_s"] == row["slumped_s"] == ""
    assert float(row["wiped_s"]) == 2540.0
    assert float(row["dewy_s"]) > 2540.0
    said = " ".join(" ".join(cells) for cells in _scoops(review).rows)
    assert "dew beads 40:40 seen" in said
    assert "dew wiped 42:20" in said


def test_what_was_foretold_of_the_dew_is_told_beside_what_was_seen(review):
    (said,) = review.foretold
    assert (said.what, said.seen_s) == ("dew", 2440.0)
    assert said.placed.likely == pytest.approx(1767.4, rel=0.02)
