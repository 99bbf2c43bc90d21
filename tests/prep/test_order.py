"""What is ordered: tubs by kind, dry ice as it is sold, sauce and garnish, and whether the truck comes in time."""

from __future__ import annotations

import copy
import datetime as dt
from typing import Any

import pytest

from studiotimer.prep.arrival import arrival
from studiotimer.prep.parts import DryIce
from studiotimer.prep.plan import parse_plan
from studiotimer.prep.results import Results, results_of
from studiotimer.prep.sold import as_sold
from studiotimer.units import KG_PER_LB
from tests.prep.plans import CALM, THREE_FLAVOURS, WHOLE_JOB


@pytest.fixture(scope="module")
def whole() -> Results:
    return results_of(parse_plan(WHOLE_JOB), "US")


def test_tubs_are_added_by_kind_alone() -> None:
    values = copy.deepcopy(THREE_FLAVOURS)
    values["flavours"][2]["tub"] = {"size": "pint"}
    values["flavours"][1]["spare_tubs"] = 0
    results = results_of(parse_plan(values))
    tubs = {each.flavour: int(each.tubs.value or 0) for each in results.products}
    assert [(kind.name, kind.tubs) for kind in results.kinds] == [
        ("10 L pan", tubs["Pistachio"] + tubs["Hazelnut"]), ("pint tub", tubs["Lemon"]),
    ]  # fmt: skip
    assert results.kinds[0].text.endswith(f"(Pistachio {tubs['Pistachio']}, Hazelnut {tubs['Hazelnut']})")
    assert [each.spare_tubs for each in results.products] == [1, 0, 1]
    assert results.products[0].tubs.how.endswith("and 1 spare tub")
    assert "spare tub" not in results.products[1].tubs.how


@pytest.mark.parametrize(
    ("ice", "kg", "style", "text"),
    [
        ({}, 4.2, "metric", "5 kg"), ({}, 4.2, "US", "10 lb"),
        ({"sold": "blocks"}, 4.2, "metric", "1 block of 5 kg, 5 kg"),
        ({"sold": "blocks"}, 10.1, "US", "3 blocks of 10 lb, 30 lb"),
        ({"sold": "bags", "unit": "2.5 kg"}, 4.2, "metric", "2 bags of 2.5 kg, 5 kg"),
        ({"sold": "bags", "unit": "2.5 kg", "minimum": "10 kg"}, 4.2, "metric", "4 bags of 2.5 kg, 10 kg"),
        ({"minimum": "20 lb"}, 4.2, "US", "20 lb"),
    ],
)  # fmt: skip
def test_dry_ice_is_bought_as_it_is_sold(ice: dict[str, str], kg: float, style: Any, text: str) -> None:
    sold = as_sold(DryIce.model_validate(ice), kg, style)
    assert sold.text == text
    assert sold.kg >= kg - 1e-9
    assert ("no less than" in sold.why) == ("minimum" in ice)


def test_the_whole_order(whole: Results) -> None:
    lines = {line.what: line for line in whole.order}
    assert list(lines) == [
        "Pistachio (superpremium)", "Hazelnut (gelato)", "Lemon (sorbet)", "dry ice, slab", "cherry sauce", "wafer",
    ]  # fmt: skip
    ice = lines["dry ice, slab"]
    assert (ice.how_much, ice.supplier, ice.phone) == ("5 blocks of 10 lb, 50 lb", "Carbo Nord", "555 0142")
    assert ice.comes == whole.day.ice_fetched
    assert "no less than 50 lb is sold" in ice.how
    assert "loss on the way" in ice.how
    assert lines["Lemon (sorbet)"].comes == dt.datetime(2031, 6, 13, 7, 0)
    assert lines["Lemon (sorbet)"].order_by == dt.date(2031, 6, 6)
    assert whole.ice is not None
    assert whole.ice.bought_kg == pytest.approx(50 * KG_PER_LB)


def test_sauce_and_garnish_are_for_every_scoop_that_gets_some(whole: Results) -> None:
    """By hand: two groups of three heroes and a stand-in are 7 scoops; half as much again."""
    lines = {line.what: line.how_much for line in whole.order}
    assert whole.shots[0].groups.value == 2
    assert lines["wafer"] == "11 × wafer"
    assert lines["cherry sauce"] == "6 fl oz"  # 7 x 15 ml x 1.5 = 157.5 ml, 5.3 fl oz
    metric = {line.what: line.how_much for line in results_of(whole.plan).order}
    assert metric["cherry sauce"] == "160 ml"


def came(at: dt.datetime, core_c: float | None = None, **values: Any) -> Any:
    plan = parse_plan(WHOLE_JOB | values)
    return arrival(plan, at, core_c)


def test_a_delivery_in_time_is_not_flagged() -> None:
    there = came(dt.datetime(2031, 6, 13, 7, 30))
    assert (there.sentence, there.wrong) == ("", ())
    assert set(there.ready.values()) == {dt.datetime(2031, 6, 14, 7, 30)}, "24 h: common practice"


def test_a_late_delivery_is_flagged_with_what_can_still_be_done() -> None:
    there = came(dt.datetime(2031, 6, 13, 13, 0))
    assert "it must stand 24 h and would be ready 13:00, after the test pulls at 08:00" in there.sentence
    assert "call time 14:00 or later" in there.sentence
    assert "cut Pistachio" in there.sentence


def test_a_large_tub_is_flagged_by_the_model_though_it_stood_24_h() -> None:
    values = {"tub": {"size": "3 gallon"}, "delivered": "-30 °C"}
    there = came(dt.datetime(2031, 6, 13, 7, 0), -30.0, **values)
    assert "must stand" in there.sentence
    assert "24 h" not in there.sentence
    assert came(dt.datetime(2031, 6, 10, 7, 0), -30.0, **values).sentence == ""


def test_some_flavours_in_time_are_begun_with() -> None:
    values = copy.deepcopy(WHOLE_JOB)
    values["flavours"][0]["tub"] = {"across": "400 mm", "depth": "400 mm"}
    plan = parse_plan(values | {"delivered": "-30 °C"})
    said = arrival(plan, dt.datetime(2031, 6, 13, 7, 30), -30.0).sentence
    assert "Pistachio must stand" in said
    assert "begin with Hazelnut, Lemon" in said


def test_soft_product_is_not_taken_for_heroes() -> None:
    """−18 °C with at most 3 K over it for a while: Council Directive 89/108/EEC, article 5 (memory)."""
    soft = came(dt.datetime(2031, 6, 12, 7, 0), -14.0)
    assert "it came at −14 °C, warmer than −15 °C" in soft.sentence
    assert "stand-ins" in soft.sentence
    assert came(dt.datetime(2031, 6, 12, 7, 0), -15.0).sentence == ""


def test_a_truck_planned_too_late_makes_the_day_doubtful() -> None:
    late = WHOLE_JOB["delivery"] | {"from_time": "12:00", "to_time": "14:00"}
    said = results_of(parse_plan(WHOLE_JOB | {"delivery": late})).warnings
    assert said[0].startswith("delivery: as planned, it must stand 24 h and would be ready 14:00")
    assert results_of(parse_plan(CALM)).truck is None
