"""A plan being written: texts for every number, wrong fields named one by one while the rest counts."""

from __future__ import annotations

import copy
import datetime as dt

import pytest

from studiotimer import units
from studiotimer.places import demo_sessions
from studiotimer.prep.draft import (
    draft_of,
    file_values,
    free_name,
    new_draft,
    put,
    quantity_at,
    value_at,
    without_flavour,
    work_out,
)  # fmt: skip
from studiotimer.prep.loading import load_plan
from studiotimer.prep.plan import Plan, parse_plan, plan_text
from tests.prep.plans import CALM, THREE_FLAVOURS, WHOLE_JOB

NOW = dt.datetime(2031, 1, 1, 12, 0)


def numbers(plan: Plan) -> object:
    return plan.model_dump()


@pytest.fixture
def draft():
    return draft_of(parse_plan(THREE_FLAVOURS))


@pytest.mark.parametrize("name", ["calm_led", "hot_tungsten"])
def test_a_draft_is_the_plan(name):
    plan = load_plan(demo_sessions() / name / "plan.json")
    again = parse_plan(file_values(draft_of(plan)))
    assert numbers(again) == numbers(plan)
    assert plan_text(again) == plan_text(plan)


def test_a_plan_with_everything_is_a_draft_and_back():
    plan = parse_plan(WHOLE_JOB)
    draft = draft_of(plan)
    assert (draft["call_time"], draft["lunch_at"], draft["delivery"]["from_time"]) == ("09:00", "12:30", "07:00")
    assert draft["dry_ice"]["fetch_from"] == "06:30"
    assert draft["shots"][0]["steps"][0]["amount"] == "15 ml"
    assert plan_text(parse_plan(file_values(draft))) == plan_text(plan)


def test_numbers_in_si_become_texts_that_read_back():
    plan = parse_plan(
        {
            "room": {"air_c": 21.5, "humidity": 0.425, "volume_m3": 150.0, "changes_per_s": 3 / 3600},
            "flavours": [{"name": "a", "tub": {"across_m": 0.2, "depth_m": 0.15}}],
            "shots": [{"name": "s", "heroes": [{"flavour": "a"}], "dressing_s": 12.5}],
            "good_share": 0.25,
            "dry_ice": {"box_loss_kg_per_s": 1e-4, "gain_k_per_w": 0.2},
        }
    )
    draft = draft_of(plan)
    assert draft["room"] == {"air": "21.5 °C", "humidity": "42.5 %", "volume": "150 m3", "changes": "3/h"}
    assert draft["shots"][0]["dressing"] == "12.5 s"
    again = parse_plan(file_values(draft))
    for part, field in (
        ("room", "air_c"),
        ("room", "humidity"),
        ("room", "changes_per_s"),
        ("dry_ice", "gain_k_per_w"),
    ):
        assert getattr(getattr(again, part), field) == pytest.approx(getattr(getattr(plan, part), field))
    assert again.dry_ice.box_loss_kg_per_s == pytest.approx(1e-4)
    assert again.flavours[0].tub.across_m == pytest.approx(0.2)
    assert again.good_share == pytest.approx(0.25)


@pytest.mark.parametrize(
    ("path", "bad", "said"),
    [
        (("room", "air"), "23 X", "room, air"),
        (("room", "humidity"), "140 %", "room, humidity"),
        (("room", "air"), "", "room, air"),
        (("date",), "14 June", "date"),
        (("call_time",), "nine", "call time"),
        (("title",), "", "title"),
        (("width",), "3 kg", "width"),
        (("good_share",), "4 in 3", "good share"),
        (("freezer",), "-300 °C", "freezer"),
        (("timezone",), "Mars/Olympus", "timezone"),
        (("tub", "size"), "bathtub", "tub"),
        (("flavours", 1, "name"), "", "flavour 2"),
        (("flavours", 1, "mix"), "marble", "flavour Hazelnut, mix"),
        (("flavours", 1, "mix"), {"recipe": {"fat": 190.0, "overrun_percent": 50}}, "flavour Hazelnut"),
        (("flavours", 1, "freezer"), "two", "flavour 2 (Hazelnut), freezer"),
        (("shots", 1, "light"), "moonlight", "shot Cone, backlit, light"),
        (("shots", 1, "between"), "0 s", "shot 2 (Cone, backlit), between"),
        (("shots", 0, "takes"), "some", "shot 1 (Coupe), takes"),
        (("shots", 0, "heroes", 1, "spot"), "left", "shot 1 (Coupe)"),
        (("dry_ice", "gain_k_per_w"), "much", "dry ice, gain"),
        (("dry_ice", "target_air"), "6 kg", "dry ice, target air"),
    ],
)  # fmt: skip
def test_a_wrong_field_is_named_and_its_last_good_value_counts(draft, path, bad, said):
    good = copy.deepcopy(draft)
    put(draft, path, bad)
    put(draft, ("pull_to_set",), "90 s")
    worked = work_out(draft, good, "metric", NOW, number=7)
    assert worked.number == 7
    (wrong,) = worked.wrong
    assert wrong.sentence.startswith(said)
    assert path[: len(wrong.path)] == wrong.path
    assert value_at(worked.good, path) == value_at(good, path)
    assert worked.results.plan.pull_to_set_s == 90.0
    if isinstance(value_at(good, wrong.path), str):
        kind, kept = quantity_at(wrong.path), value_at(good, wrong.path)
        shown = units.as_shown(kept, kind, "metric") if kind else kept
        assert f"Until then {shown} counts." in wrong.beside


def test_many_wrong_fields_are_all_named(draft):
    good = copy.deepcopy(draft)
    bad = {("room", "air"): "warm", ("shots", 0, "light"): "moon", ("shots", 2, "frames"): "0", ("delivered",): "cold"}
    for path, text in bad.items():
        put(draft, path, text)
    worked = work_out(draft, good, "metric", NOW)
    assert {wrong.path for wrong in worked.wrong} == set(bad)
    assert worked.good == good


def test_a_name_that_stands_twice_is_kept_apart(draft):
    good = copy.deepcopy(draft)
    draft["flavours"][1]["name"] = "Pistachio"
    worked = work_out(draft, good, "metric", NOW)
    (wrong,) = worked.wrong
    assert wrong.path == ("flavours", 1, "name")
    assert [flavour.name for flavour in worked.results.plan.flavours] == ["Pistachio", "Pistachio 2", "Lemon"]
    assert [hero.flavour for hero in worked.results.plan.shots[0].heroes] == ["Pistachio", "Pistachio 2", "Lemon"]


def test_a_wrong_field_of_a_part_that_was_never_good_falls_back_to_its_default(draft):
    good = copy.deepcopy(draft)
    draft["shots"].append({"name": "New", "heroes": [{"flavour": 0, "spot": "a"}], "dressing": "soon"})
    worked = work_out(draft, good, "metric", NOW)
    (wrong,) = worked.wrong
    assert wrong.path == ("shots", 3, "dressing")
    assert worked.results.plan.shots[3].dressing_s == 20.0


def test_a_tub_too_large_to_temper_is_said_at_the_tub(draft):
    good = copy.deepcopy(draft)
    put(draft, ("tub",), {"across": "9 m", "depth": "9 m", "cut": 1})
    worked = work_out(draft, good, "metric", NOW)
    assert [wrong.path for wrong in worked.wrong] == [("tub",)]
    assert worked.results.plan.tub.size == "10 L pan"


def test_a_day_that_is_past_is_said_and_still_worked_out(draft):
    worked = work_out(draft, draft, "metric", dt.datetime(2031, 7, 1, 12, 0))
    assert worked.past[0].startswith("date: 14 Jun 2031, 09:00 is past")
    assert worked.wrong == ()


def test_taking_a_flavour_out_takes_its_heroes_out(draft):
    without_flavour(draft, 0)
    plan = parse_plan(file_values(draft))
    assert [flavour.name for flavour in plan.flavours] == ["Hazelnut", "Lemon"]
    assert [[hero.flavour for hero in shot.heroes] for shot in plan.shots] == [
        ["Hazelnut", "Lemon"], ["Hazelnut"], ["Lemon"],
    ]  # fmt: skip


def test_a_new_plan_is_whole_in_either_units_and_its_scoop_the_same():
    for style, room in (("metric", "22 °C"), ("US", "72 °F")):
        draft = new_draft(dt.date(2031, 1, 1), style)
        worked = work_out(draft, draft, style, NOW)
        assert worked.wrong == worked.past == ()
        assert (draft["room"]["air"], draft["width"]) == (room, "65 mm")
        assert all(shot.works for shot in worked.results.shots)


def test_a_number_without_a_unit_means_the_units_shown():
    draft = new_draft(dt.date(2031, 1, 1))
    put(draft, ("room", "air"), "68")
    worked = work_out(draft, draft_of(parse_plan(CALM)), "metric", NOW)
    assert [wrong.sentence for wrong in worked.wrong] == ["room, air: 68 °C? F makes it °F"]
    assert work_out(draft, draft, "US", NOW).results.plan.room.air_c == pytest.approx(20.0)


def test_what_kind_of_number_stands_where():
    assert quantity_at(("room", "air")) == units.WARMTH
    assert quantity_at(("shots", 2, "between")) == units.TIME
    assert quantity_at(("dry_ice", "hours")) == units.HOURS
    assert quantity_at(("flavours", 0, "tub", "across")) == units.LENGTH
    assert quantity_at(("freezer",)) == units.FREEZER
    assert quantity_at(("flavours", 0, "freezer")) is quantity_at(("title",)) is quantity_at(("nowhere",)) is None


def test_names_and_places():
    assert free_name("a", ["b"]) == "a"
    assert free_name("a", ["a", "a 2"]) == "a 3"
    draft = draft_of(parse_plan(CALM))
    put(draft, ("checklist",), {"stylist": ["spoons"]})
    assert value_at(draft, ("checklist", "stylist")) == ["spoons"]
    put(draft, ("checklist",), None)
    assert value_at(draft, ("checklist",)) is None
    assert value_at(draft, ("shots", 9, "name")) is None
