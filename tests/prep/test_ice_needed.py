from __future__ import annotations

import datetime as dt
import math

import pytest

from studiotimer.prep.day import Day
from studiotimer.prep.ice_needed import DAY_PPM, LEAST_TOP_UP_KG, SHORT_PPM, Ice, charges_of, ice_of
from studiotimer.prep.plan import DryIce, Plan, parse_plan
from studiotimer.prep.results import results_of
from studiotimer.thermal.charge import Charge
from studiotimer.thermal.dryice import LINK_K_W, heat_taken_w, left_kg
from tests.prep.plans import CALM, THREE_FLAVOURS


def planned(**ice: object) -> tuple[Plan, Day, Ice]:
    plan = parse_plan(THREE_FLAVOURS | {"dry_ice": THREE_FLAVOURS["dry_ice"] | ice})
    results = results_of(plan)
    assert results.ice is not None
    return plan, results.day, results.ice


def test_no_dry_ice_gives_none() -> None:
    results = results_of(parse_plan(CALM))
    assert results.ice is None
    assert ice_of(results.plan, results.day) is None


@pytest.mark.parametrize("form", ["slab", "pellets", "crushed"])
def test_the_charges_hold_the_target_from_first_hero_to_last(form: str) -> None:
    plan, day, ice = planned(form=form)
    assert day.ice_on_set is not None
    needed = (plan.room.air_c - 6.0) / plan.dry_ice.gain_k_per_w
    end = (day.last_hero - day.ice_on_set).total_seconds()
    charges = [
        Charge(each.mass_kg, plan.dry_ice.form, (each.at - day.ice_on_set).total_seconds()) for each in ice.charges
    ]
    for at in [*range(0, int(end), 120), end]:
        heat = float(heat_taken_w(charges, plan.room.air_c, at))
        assert heat >= needed * (1 - 1e-9)
    if charges[-1].mass_kg > LEAST_TOP_UP_KG:
        assert heat == pytest.approx(needed, rel=1e-6)
    assert min(each.mass_kg for each in charges[1:]) >= LEAST_TOP_UP_KG
    gaps = [b.at - a.at for a, b in zip(ice.charges, ice.charges[1:], strict=False)]
    assert max(gaps) <= dt.timedelta(minutes=31)


def test_parts_add_up_to_what_is_bought() -> None:
    _, day, ice = planned(pickup_before="3 h", margin="20 %", fetch_from="4:00")
    assert day.box_charged is not None
    loss = 8 * 0.45359237 / 86400
    box, way, on_set, margin = (each.value or 0.0 for each in (ice.box, ice.way, ice.on_set, ice.margin))
    assert box == pytest.approx(loss * (day.wrap - day.box_charged).total_seconds())
    assert way == pytest.approx(loss * 3 * 3600)
    assert on_set == pytest.approx(sum(charge.mass_kg for charge in ice.charges))
    assert margin == pytest.approx(0.2 * (box + way + on_set))
    assert ice.buy.value == pytest.approx(box + way + on_set + margin)
    assert ice.buy.text == f"{math.ceil(ice.buy.value or 0)} kg"


def test_hours_given_go_before_the_day() -> None:
    _, _, ice = planned(hours="24 h")
    assert ice.box.value == pytest.approx(8 * 0.45359237)


def test_a_warm_target_needs_no_ice_on_set() -> None:
    plan, day, _ = planned(target_air="40 °C")
    assert charges_of(plan, day) == []


def test_gas_into_a_closed_room_is_all_there() -> None:
    """Mass balance: with no air changes every kilogram bought for the day but the rest left is in the air."""
    closed = THREE_FLAVOURS | {"room": THREE_FLAVOURS["room"] | {"changes": "0/h"}}
    results = results_of(parse_plan(closed))
    plan, day, ice = results.plan, results.day, results.ice
    assert ice is not None
    assert day.box_charged is not None
    left = sum(
        float(left_kg(Charge(each.mass_kg, plan.dry_ice.form), plan.room.air_c, (day.wrap - each.at).total_seconds()))
        for each in ice.charges
    )
    gone = sum(each.mass_kg for each in ice.charges) - left
    gone += plan.dry_ice.box_loss_kg_per_s * (day.wrap - day.box_charged).total_seconds()
    cubic_metres = gone * 8.314 * (plan.room.air_c + 273.15) / (0.04401 * 101325)
    assert ice.air[-1][1] - ice.air[0][1] == pytest.approx(1e6 * cubic_metres / plan.room.volume_m3, rel=0.002)
    assert "no air changes: ventilate" in ice.co2.text


def test_the_estimate_never_gives_an_all_clear() -> None:
    _, _, fine = planned()
    assert (fine.co2.value or 0) < DAY_PPM
    assert "a monitor decides, not this estimate" in fine.co2.text
    small = THREE_FLAVOURS | {"room": {"volume": "8 m3", "changes": "0.5/h"}}
    much = results_of(parse_plan(small)).ice
    assert much is not None
    assert (much.co2.value or 0) > SHORT_PPM
    assert "over 30,000 ppm: do not shoot like this; use less dry ice or much more ventilation" in much.co2.text
    middle = THREE_FLAVOURS | {"room": {"volume": "30 m3", "changes": "1/h"}}
    some = results_of(parse_plan(middle)).ice
    assert some is not None
    assert "over 5,000 ppm for" in some.co2.text
    assert max(some.air, key=lambda each: each[1])[1] == some.co2.value


def test_the_limits_and_the_gain_are_the_models() -> None:
    """NIOSH Pocket Guide, carbon dioxide: 5,000 ppm over a working day, 30,000 ppm for 15 minutes."""
    assert (DAY_PPM, SHORT_PPM) == (5_000.0, 30_000.0)
    assert DryIce().gain_k_per_w == LINK_K_W


def test_ice_on_set_without_a_box() -> None:
    _, day, ice = planned(holding_box=False)
    assert day.box_charged is None
    assert ice.box.value == 0.0
    assert (ice.on_set.value or 0.0) > 1.0


def test_a_small_last_span_needs_no_more_than_is_there() -> None:
    _, _, ice = planned(top_up_every="2 h")
    assert len(ice.charges) == 1
