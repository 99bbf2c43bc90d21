"""The demo sessions: their script still runs, and their days look like days that somebody could have had."""

import csv
import math
import runpy
from datetime import date, datetime, timedelta

import pytest

from studiotimer.places import demo_sessions
from studiotimer.prep.loading import load_plan
from studiotimer.prep.plan import written_in
from studiotimer.prep.results import results_of
from studiotimer.window import demos
from studiotimer.wrap.recorded import load
from studiotimer.wrap.review import review_of

DEMOS = ("calm_led", "hot_tungsten", "three_gallon")
GROUPS = {"calm_led": [1] * 4, "hot_tungsten": [3] * 2, "three_gallon": [1, 1, 2, 3, 3, 1, 1, 1]}
"""How many heroes came on set at once."""


def kinds(folder, name):
    return [entry.kind for entry in load(folder / name / f"{name}.setlog").ledger.entries]


def test_the_script_makes_the_days_as_they_are(tmp_path, monkeypatch):
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
    assert [len(entry.scoops) for entry in session.ledger.entries if entry.kind == "hero_in"] == GROUPS[name]
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


def test_the_third_demo_is_the_whole_job():
    folder = demo_sessions() / "three_gallon"
    results = results_of(load_plan(folder / "plan.json"), "US")
    plan = results.plan
    assert written_in(plan) == "US"
    assert (len(plan.shots), len(plan.flavours), len(results.freezers)) == (6, 5, 2)
    assert {product.kind for product in results.products} == {"three gallon tub", "pint"}
    assert plan.tub.cut == 3
    assert plan.delivery.day == plan.date - timedelta(days=1)
    assert results.warnings == []
    assert results.truck is not None
    assert results.truck.sentence == ""
    assert results.day.lunch is not None
    assert results.sun is not None
    assert {line.kind for line in results.order} == {"product", "dry ice", "dressing"}
    assert all(shot.works for shot in results.shots)


def test_the_third_demos_day_has_a_delivery_and_a_finished_block():
    state = load(demo_sessions() / "three_gallon" / "three_gallon.setlog").state
    assert state.deliveries[-1].damage == "soft at the edge"
    assert len(state.tubs_finished["sweet cream"]) == 1


@pytest.mark.parametrize("name", DEMOS)
def test_a_demo_is_small(name):
    assert sum(file.stat().st_size for file in (demo_sessions() / name).rglob("*")) < 400_000


def test_a_copy_of_a_demos_plan_moves_its_other_dates_too(tmp_path, monkeypatch):
    monkeypatch.setattr(demos, "demo_copies", lambda: tmp_path)
    shipped = demo_sessions() / "three_gallon" / "three_gallon.setlog"
    plan = load_plan(demos.plan_copy(shipped, datetime(2031, 3, 1, 12, 0)))
    assert plan.date == date(2031, 3, 8)
    assert (plan.delivery.day, plan.delivery.order_by) == (date(2031, 3, 7), date(2031, 3, 1))
    assert plan.dry_ice.order_by == date(2031, 3, 6)


def test_the_third_demo_has_a_bar_a_tower_and_a_pint():
    session = load(demo_sessions() / "three_gallon" / "three_gallon.setlog")
    assert {flavour.form for flavour in session.plan.flavours} == {"scoop", "bar", "pint"}
    assert [shot.name for shot in session.plan.shots if shot.stacked] == ["Tower of three"]
    called = [entry.kind for entry in session.ledger.entries]
    assert called.index("frost_wiped") < called.index("dew_wiped")
    review = review_of(session)
    (pint,) = (one for one in review.heroes if one.stay.flavour == "chocolate pint")
    assert [part.stages[part.stage_at(part.stay.until)] for part in pint.parts[-1:]] == ["dry"]
    assert len(pint.parts) == 3
    bars = next(product for product in results_of(session.plan).products if product.flavour == "chocolate bar")
    assert bars.scoops_a_tub.text.endswith("bars")
