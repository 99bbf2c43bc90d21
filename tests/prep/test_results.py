from __future__ import annotations

import copy
import datetime as dt
import json
import math
import time

import pytest
from scipy import stats

from studiotimer.prep.checklist import checklist_of
from studiotimer.prep.cold import freezers_of, tempering
from studiotimer.prep.found import Found, percent
from studiotimer.prep.plan import Plan, PlanError, parse_plan, quick_plan
from studiotimer.prep.plan_numbers import Written
from studiotimer.prep.results import Results, dates_past, day_text, results_of
from tests.prep.plans import CALM, THREE_FLAVOURS


@pytest.fixture(scope="module")
def three() -> Results:
    return results_of(parse_plan(THREE_FLAVOURS))


def found_in(value: object) -> list[dict[str, object]]:
    if isinstance(value, dict):
        own = [value] if {"value", "text", "how", "source"} <= set(value) else []
        return own + [each for inner in value.values() for each in found_in(inner)]
    return [each for inner in value for each in found_in(inner)] if isinstance(value, list) else []


def test_every_result_says_how_it_was_found_and_where_from(three: Results) -> None:
    found = found_in(three.as_json())
    assert len(found) > 20
    for each in found:
        assert each["text"], each
        assert each["how"], each
        assert each["source"], each
    json.dumps(three.as_json(), allow_nan=False)


@pytest.mark.parametrize("mix", ["superpremium", "regular", "gelato", "sorbet", "nonfat"])
@pytest.mark.parametrize("delivered", ["-8 °C", "-25 °C"])
@pytest.mark.parametrize("tub", [{"size": "pint"}, {"size": "three gallon"}, {"across": "300 mm", "depth": "350 mm"}])
def test_no_plan_lets_product_arrive_less_than_a_day_before(mix: str, delivered: str, tub: dict[str, str]) -> None:
    """Common practice: product stands at least 24 h in the freezer it is pulled from."""
    values = copy.deepcopy(CALM) | {"delivered": delivered, "tub": tub}
    values["flavours"][0]["mix"] = mix
    results = results_of(parse_plan(values))
    day = results.day
    assert day.test_pulls - day.product_in >= dt.timedelta(hours=24)
    assert (day.test_pulls - day.product_in).total_seconds() >= (results.tempering.value or 0.0)
    assert day.product_in - day.freezer_on >= dt.timedelta(hours=12)


def test_a_large_tub_takes_the_models_time_when_that_is_longer() -> None:
    values = CALM | {"tub": {"across": "400 mm", "depth": "400 mm"}, "delivered": "-30 °C"}
    assert (tempering(parse_plan(values)).value or 0.0) > 24 * 3600


def test_the_tempering_of_the_slowest_tub_counts() -> None:
    """Check value of an independent build: 240 mm by 250 mm, superpremium, -8 to -12 °C, 21.2 h."""
    values = copy.deepcopy(CALM) | {"tub": {"across": "240 mm", "depth": "250 mm"}, "delivered": "-8 °C"}
    values["flavours"] = [{"name": "Vanilla", "mix": "superpremium"}]
    assert "needs 21 h to −12 °C" in tempering(parse_plan(values)).how


def test_the_day_runs_in_order(three: Results) -> None:
    day = three.day
    assert day.ice_fetched is not None
    assert day.box_charged is not None
    assert day.ice_on_set is not None
    moments = [day.freezer_on, day.product_in, day.ice_fetched, day.box_charged, day.test_pulls, day.stand_ins,
               day.call, day.ice_on_set, day.slots[0].heroes, day.last_hero, day.wrap]  # fmt: skip
    assert moments == sorted(moments)
    assert day.call == dt.datetime(2031, 6, 14, 9, 0)
    for slot, later in zip(day.slots, day.slots[1:], strict=False):
        assert slot.end <= later.start
    for slot, shot, result in zip(day.slots, three.plan.shots, three.shots, strict=True):
        assert (slot.heroes - slot.start).total_seconds() >= shot.locks_s
        assert (slot.end - slot.heroes).total_seconds() >= (result.groups.value or 0) * result.group_s
    assert [event.at for event in three.run_sheet] == sorted(event.at for event in three.run_sheet)
    whats = " / ".join(event.what for event in three.run_sheet)
    for part in ("Freezers on", "Product in", "Dry ice fetched", "box charged", "Test pulls", "Stand-ins", "locked",
                 "Coupe: 2 groups of 3 heroes", "Wrap"):  # fmt: skip
        assert part in whats


def test_pulls_cover_heroes_and_spares_with_the_confidence_asked(three: Results) -> None:
    groups = {shot.name: shot.groups.value for shot in three.shots}
    pistachio = three.products[0]
    assert pistachio.heroes == (groups["Coupe"] or 0) + (groups["Cone, backlit"] or 0)
    assert (pistachio.spares, pistachio.stand_ins) == (2, 2)
    for each in three.products:
        good = each.heroes + each.spares
        assert each.pulls.value == good + int(stats.nbinom.ppf(0.95, good, 1 / 3))
        assert each.tubs.value == math.ceil((each.pulls.value or 0) / (each.scoops_a_tub.value or 1)) + 1
    assert three.pulls.value == sum(each.pulls.value or 0 for each in three.products)


def test_spares_are_shared_among_the_flavours_of_a_shot() -> None:
    values = copy.deepcopy(THREE_FLAVOURS)
    values["shots"] = [values["shots"][0] | {"spares": 3, "stand_ins": 4}]
    for product in results_of(parse_plan(values)).products:
        assert (product.spares, product.stand_ins) == (1, 2)


def test_stand_ins_come_from_the_rest() -> None:
    values = copy.deepcopy(CALM) | {"good_share": 1}
    values["shots"][0]["stand_ins"] = 4
    product = results_of(parse_plan(values)).products[0]
    assert product.pulls.value == product.heroes + product.spares + 4


def test_more_confidence_takes_more_pulls() -> None:
    pulls = [results_of(parse_plan(CALM | {"confidence": each})).pulls.value or 0 for each in ("80 %", "95 %", "99 %")]
    assert pulls[0] < pulls[1] < pulls[2]


def test_mixes_that_share_a_freezer_are_told_the_cost() -> None:
    apart = copy.deepcopy(THREE_FLAVOURS)
    apart["flavours"] = [{"name": "Plain", "mix": "regular"}, {"name": "Lemon", "mix": "sorbet"}]
    for shot in apart["shots"]:
        shot["heroes"] = [{"flavour": "Plain", "spot": "a"}, {"flavour": "Lemon", "spot": "b"}]
    (shared,) = freezers_of(parse_plan(apart))
    plain, lemon = shared.costs
    assert shared.setting.value == pytest.approx((plain.advised_c + lemon.advised_c) / 2)
    assert plain.firmness_share < 1 < lemon.firmness_share
    assert plain.working_share is not None
    assert "Plain at −14 °C instead of −18 °C: softer by" in plain.text
    unboxed = apart | {"dry_ice": {"holding_box": False}}
    warm = freezers_of(parse_plan(unboxed))[0].costs[0]
    assert warm.working_share is not None
    assert warm.working_share < 0.95
    assert "working time −" in warm.text
    apart["flavours"][1]["freezer"] = 2
    assert all(not freezer.costs for freezer in freezers_of(parse_plan(apart)))


def test_mixes_within_two_degrees_share_without_a_word() -> None:
    (first, _) = freezers_of(parse_plan(THREE_FLAVOURS))
    assert first.flavours == ("Pistachio", "Hazelnut")
    assert not first.costs


def test_a_set_freezer_far_from_the_advised_costs_too() -> None:
    (only,) = freezers_of(parse_plan(CALM | {"freezer": "-23 °C"}))
    assert only.setting.value == -23
    assert only.costs[0].firmness_share > 1


def test_dates_that_are_past_are_named() -> None:
    results = results_of(parse_plan(CALM))
    call = results.plan.call
    assert dates_past(results.plan, results, call - dt.timedelta(days=9)) == []
    assert "freezers must be on by" in dates_past(results.plan, results, call - dt.timedelta(hours=30))[0]
    assert "product must be in by" in dates_past(results.plan, results, call - dt.timedelta(hours=5))[0]
    assert (
        "date: 2 Mar 2031, 09:00 is past today; write a later"
        in dates_past(results.plan, results, call + dt.timedelta(minutes=1))[0]
    )
    assert "3 Mar 2031 or later" in dates_past(results.plan, results, call + dt.timedelta(days=1))[0]


def test_a_plan_of_four_answers_has_all_results() -> None:
    results = results_of(quick_plan("Vanilla", "premium", "crisp", 22.0, "LED 2000 lx"))
    assert results.ice is not None
    assert results.shots[0].works
    assert len(results.run_sheet) == 11


def test_a_tub_too_small_or_too_large_is_named() -> None:
    small = results_of(parse_plan(CALM | {"tub": {"size": "pint"}, "width": "120 mm"})).products[0]
    assert small.tubs.value is None
    assert small.tubs.text == "none fits"
    with pytest.raises(PlanError, match="tub: the own size tub of Vanilla would not temper in 90 days"):
        results_of(parse_plan(CALM | {"tub": {"across": "4 m", "depth": "4 m"}, "delivered": "-35 °C"}))


def test_us_units_are_shown_when_asked() -> None:
    results = results_of(parse_plan(THREE_FLAVOURS), "US")
    assert results.freezers[0].setting.text.endswith("°F")
    assert results.ice is not None
    assert results.ice.buy.text.endswith("lb")
    assert "in across" in results.products[0].scoops_a_tub.how


def test_the_plans_own_checklist_goes_first() -> None:
    assert checklist_of(parse_plan(CALM | {"checklist": {"stylist": ["one spoon"]}})) == {"stylist": ["one spoon"]}


def test_the_shipped_checklist_has_what_this_work_needs() -> None:
    said = json.dumps(checklist_of(parse_plan(THREE_FLAVOURS)), ensure_ascii=False)
    for item in ("laptop of its own", "thermometer", "CO₂ monitor", "gloves", "scoops", "dry cotton cloths",
                 "stand-in product", "extra freezer", "second monitor", "foot switch"):  # fmt: skip
        assert item in said, item
    assert "CO₂" not in json.dumps(checklist_of(parse_plan(CALM)), ensure_ascii=False)
    assert set(checklist_of(parse_plan(CALM))) == {"stylist", "assistant", "photographer", "studio"}


def test_an_unknown_mix_is_named() -> None:
    with pytest.raises(PlanError, match="flavour Vanilla, mix: “plutonium” is not known"):
        results_of(quick_plan("Vanilla", "plutonium", "crisp", 22.0, "LED 2000 lx"))


def test_a_shot_that_cannot_work_says_so() -> None:
    plan = quick_plan("Vanilla", "economy", "crisp", 30.0, "tungsten 60000 lx")
    shot = plan.shots[0].model_copy(update={"dressing_s": Written(180.0)})
    hot: Plan = plan.model_copy(update={"shots": [shot]})
    (result,) = results_of(hot).shots
    assert result.frames_fit.value == 0
    assert result.verdict.startswith("cannot work; ")
    assert result.groups.text == "none will do"


def test_a_day_that_is_too_long_is_named_and_still_reckoned_fast() -> None:
    values = copy.deepcopy(THREE_FLAVOURS)
    for shot in values["shots"]:
        shot.update(takes=50, frames=200, between="90 s")
    began = time.process_time()
    results = results_of(parse_plan(values))
    assert time.process_time() - began < 15.0
    assert results.warnings[0].startswith("shots: they take")
    assert results.ice is not None
    assert len(results.ice.charges) <= 48
    assert results_of(parse_plan(CALM)).warnings == []


@pytest.mark.parametrize(("share", "text"), [(0.48, "48 %"), (-0.001, "0 %"), (-0.09, "−9 %")])
def test_percentages_have_no_stray_sign(share: float, text: str) -> None:
    assert percent(share) == text
    assert percent(0.1, signed=True) == "+10 %"


def test_times_of_the_day_itself_have_no_date() -> None:
    call = dt.datetime(2031, 6, 14, 9)
    assert day_text(call, call) == "09:00"
    assert day_text(call - dt.timedelta(days=2), call) == "12 Jun, 09:00"
    assert Found(1, "a", "b", "c").as_json()["source"] == "c"
