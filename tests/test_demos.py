"""The demo sessions: their script still runs, and both days look like days that somebody could have had."""

import csv
import math
import runpy

import pytest

from studiotimer.places import demo_sessions
from studiotimer.prep.plan import load_plan
from studiotimer.wrap.recorded import load
from studiotimer.wrap.review import review_of

DEMOS = ("calm_led", "hot_tungsten")


def kinds(folder, name):
    return [entry.kind for entry in load(folder / name / f"{name}.setlog").ledger.entries]


def test_the_script_makes_both_days_as_they_are(tmp_path, monkeypatch):
    monkeypatch.syspath_prepend(demo_sessions())
    runpy.run_path(str(demo_sessions() / "make.py"))["main"](tmp_path)
    for name in DEMOS:
        assert kinds(tmp_path, name) == kinds(demo_sessions(), name)
        assert load_plan(tmp_path / name / "plan.json") == load_plan(demo_sessions() / name / "plan.json")


@pytest.mark.parametrize("name", DEMOS)
def test_nothing_in_a_day_contradicts_itself_and_every_take_is_whole(name):
    session = load(demo_sessions() / name / f"{name}.setlog")
    assert not session.state.contradictions
    assert all(scoop.pulled is not None and not scoop.assumed for scoop in session.state.scoops.values())
    spots = len(session.plan.shots[0].heroes)
    assert [len(entry.scoops) for entry in session.ledger.entries if entry.kind == "hero_in"] == [spots] * (
        4 if spots == 1 else 2
    )
    assert {shot.name for shot in session.plan.shots} == set(session.state.got)


@pytest.mark.parametrize("name", DEMOS)
def test_heroes_leave_near_the_end_of_their_window_and_selects_lie_in_it(name):
    session = load(demo_sessions() / name / f"{name}.setlog")
    review = review_of(session)
    for one in review.heroes:
        begin, end = one.window(session.shot_at(one.stay.since + 1.0))
        assert math.isfinite(end)
        assert one.stay.until > begin or one.stay.until - one.stay.since < 60.0
    with (demo_sessions() / name / "selects.csv").open(encoding="utf-8", newline="") as file:
        chosen = [row["frame"] for row in csv.DictReader(file)]
    assert len(chosen) > 20
    assert all((demo_sessions() / name / "frames" / frame).is_file() for frame in chosen)
