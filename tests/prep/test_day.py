"""The day of a plan: set changes, locks, approvals, lunch, ends, dry ice fetched, daylight, and what makes it doubtful."""

from __future__ import annotations

import copy
import datetime as dt
from typing import Any

import pytest

from studiotimer.places import demo_sessions
from studiotimer.prep.day import Day, day_of
from studiotimer.prep.loading import load_plan
from studiotimer.prep.plan import parse_plan
from studiotimer.prep.results import Results, results_of
from studiotimer.trial.answer import answer_of
from tests.prep.plans import CALM, THREE_FLAVOURS, WHOLE_JOB

HOUR = 3600.0


def day(groups: int = 3, group_s: float = 600.0, **values: Any) -> Day:
    shots = [dict(CALM["shots"][0], name=name, locks="20 min", **values.pop(name, {})) for name in ("one", "two")]
    plan = parse_plan(CALM | {"shots": shots, "call_time": "10:00"} | values)
    return day_of(plan, 24 * HOUR, {"one": (groups, group_s), "two": (1, group_s)})


def at(moment: dt.datetime) -> str:
    return f"{moment:%H:%M}"


def test_set_change_locks_heroes_and_approval_follow_each_other() -> None:
    one, two = day(one={"set_change": "15 min", "approval": "10 min"}, two={"set_change": "5 min"}).slots
    assert [at(each) for each in (one.start, one.locks, one.heroes, one.over, one.end)] == [
        "10:00", "10:15", "10:35", "11:05", "11:15",
    ]  # fmt: skip
    assert [at(each) for each in (two.start, two.locks, two.heroes, two.over, two.end)] == [
        "11:15", "11:20", "11:40", "11:50", "11:50",
    ]  # fmt: skip


def test_lunch_is_between_two_heroes_and_moves_what_follows() -> None:
    with_lunch = day(lunch_at="10:35", lunch="40 min")
    one, two = with_lunch.slots
    assert [at(each) for each in with_lunch.lunch or ()] == ["10:40", "11:20"], "the hero of 10:30 is shot first"
    assert (at(one.heroes), at(one.over), at(two.heroes)) == ("10:20", "11:30", "11:50")
    assert day(lunch_at="10:35", lunch="0 min").slots[0].over == one.over - dt.timedelta(minutes=40)


def test_heroes_come_after_a_lunch_that_follows_the_locks() -> None:
    one = day(lunch_at="10:20", lunch="40 min").slots[0]
    assert (at(one.locks), at(one.heroes), at(one.over)) == ("10:00", "11:00", "11:30")
    for slot in results_of(load_plan(demo_sessions() / "three_gallon" / "plan.json")).day.slots:
        assert slot.heroes <= slot.over <= slot.end


@pytest.mark.parametrize("lunch", ["15:00", "9:00"])
def test_a_lunch_after_the_day_or_before_the_call_is_none(lunch: str) -> None:
    assert day(lunch_at=lunch).lunch is None


def test_past_sessions_hours_count_where_they_are_longer() -> None:
    plan = parse_plan(CALM)
    usual = results_of(plan).shots[0].group_s
    assert results_of(parse_plan(CALM | {"hero_takes": "40 min"})).shots[0].group_s == 2400.0
    assert results_of(parse_plan(CALM | {"hero_takes": "1 min"})).shots[0].group_s == usual > 60.0


@pytest.mark.parametrize("name", ["calm_led", "hot_tungsten", "whole job"])
def test_earliest_and_latest_ends_lie_near_those_of_simulated_days(name: str) -> None:
    """Two ways to one answer: spans added up here, days drawn there."""
    plan = parse_plan(WHOLE_JOB) if name == "whole job" else load_plan(demo_sessions() / name / "plan.json")
    results = results_of(plan)
    simulated = answer_of(results, 1000, 1).wrap_by
    for ours, theirs in zip(results.day.ends, (simulated[10], simulated[90]), strict=True):
        assert abs(ours - theirs) <= dt.timedelta(minutes=25), name
    early, late = results.day.ends
    assert early <= results.day.slots[-1].end <= late
    assert f"{early:%H:%M} to {late:%H:%M}" == results.ends.text


def test_lunch_and_approval_are_in_the_simulated_days_too() -> None:
    plain = copy.deepcopy(WHOLE_JOB)
    for shot in plain["shots"]:
        shot.pop("approval", None)
    longer = plain | {"lunch_at": "9:30", "lunch": "60 min"}
    ends = [answer_of(results_of(parse_plan(each)), 300, 1).wrap_by[50] for each in (plain, longer)]
    assert ends[1] - ends[0] == pytest.approx(dt.timedelta(minutes=60), abs=dt.timedelta(minutes=1))


FETCHED = [
    ({}, "10:00", "13 June 07:00"),  # 08:30 used, 06:30 wanted: the supplier opens in time
    ({}, "8:30", "12 June 17:00"),  # 07:00 used: nobody is open that morning
    ({"fetch_from": "4:00"}, "8:30", "13 June 05:00"),
    ({"pickup_before": "20 h"}, "8:30", "12 June 11:00"),
    ({}, "22:00", "13 June 17:00"),  # the supplier shuts before
]


@pytest.mark.parametrize(("ice", "call", "fetched"), FETCHED)
def test_dry_ice_is_fetched_while_its_supplier_is_open(ice: dict[str, str], call: str, fetched: str) -> None:
    values = CALM | {"date": "2031-06-13", "call_time": call, "dry_ice": ice}
    results = results_of(parse_plan(values))
    found = results.day.ice_fetched
    assert found is not None
    assert f"{found:%d %B %H:%M}" == fetched
    assert results.ice is not None
    assert results.day.ice_used is not None
    lost = 8 * 0.45359237 / 86400 * (results.day.ice_used - found).total_seconds()
    assert results.ice.way.value == pytest.approx(lost)
    assert ("the day before" in results.ice.way.how) == (found.day == 12)


def whole(**values: Any) -> Results:
    return results_of(parse_plan(WHOLE_JOB | values))


def lit(place: dict[str, Any], **values: Any) -> list[str]:
    return [said for said in whole(place=place, **values).warnings if "daylight" in said or "sun" in said]


def test_daylights_end_is_flagged_as_planned_and_on_a_late_day() -> None:
    chicago = {"city": "Chicago"}
    assert lit(chicago) == []
    shot_at = {"date": "2031-12-14", "delivery": {}}
    assert "put it earlier" in lit(chicago, call_time="15:00", **shot_at)[0]
    assert "the sun sets at 16:20" in lit(chicago, call_time="15:00", **shot_at)[0]
    assert "on a late day it ends at" in lit(chicago, call_time="14:30", **shot_at)[0]
    assert "before sunrise at 07:1" in lit(chicago, call_time="5:00", **shot_at)[0]


def test_daylight_of_an_unknown_place_is_said_to_be_unknown() -> None:
    unknown = "shot 2 (Cone, backlit), light: when its daylight ends is not known; give the studio's city, or"
    for place in ({}, {"city": "Nowhere-on-Sea"}, {"latitude": 41.9}):
        assert lit(place)[0].startswith(unknown), place
    by_numbers = {"latitude": 41.88, "longitude": -87.63}
    assert lit(by_numbers, timezone=None)[0].startswith(unknown), "a place without a time zone has no clock"
    assert lit(by_numbers) == []


def test_a_long_day_without_lunch_and_a_late_lunch_are_flagged() -> None:
    long = {"hero_takes": "3 h", "lunch_at": None}
    assert [said for said in whole(**long).warnings if said.startswith("lunch at: the last hero is at")]
    assert [said for said in whole(**long | {"lunch_at": "16:00"}).warnings if "over 6 h after call time" in said]
    assert not [said for said in whole(**long | {"lunch_at": "12:30"}).warnings if said.startswith("lunch")]


def test_the_run_sheet_tells_the_whole_day() -> None:
    sheet = {event.key: event for event in whole(lunch_at="9:45").run_sheet}
    for key in ("truck", "lunch", "change Coupe", "locks Coupe", "heroes Coupe", "approval Coupe"):
        assert key in sheet
    assert sheet["truck"].what == "Truck with the product: temperature read, 9 cartons counted, damage noted"
    assert sheet["truck"].note == "until 07:30, Maison Alder, Sam, 555 0150"
    assert "daylight until 20:26" in sheet["heroes Cone, backlit"].note
    assert "ends " in sheet["heroes Coupe"].note


def test_freezers_are_on_before_a_truck_that_comes_early() -> None:
    assert "change" not in " ".join(event.key for event in results_of(parse_plan(THREE_FLAVOURS)).run_sheet)
    results = whole(delivery={"day": "2031-06-10", "from_time": "9:00"})
    assert results.day.freezer_on == dt.datetime(2031, 6, 9, 21, 0)
