"""A top-up at the set is as large as it takes to hold the plan's target until the next one."""

from dataclasses import replace

import pytest

from studiotimer.prep.ice_needed import LEAST_TOP_UP_KG
from studiotimer.prep.plan import parse_plan
from studiotimer.session.climate import Climate
from studiotimer.session.cues import _top_ups
from studiotimer.session.topping import WEIGHED_KG, top_up_kg
from studiotimer.thermal.charge import Charge
from studiotimer.thermal.dryice import heat_taken_w
from tests.session.test_cues import PLAN, Shoot, on_set

EVERY_S = 1800.0


def iced(tmp_path, **changes):
    """Return a shoot with two heroes on set, for which the plan has dry ice every half hour."""
    ice = PLAN["dry_ice"] | {"top_up_every": "30 min"} | changes
    shoot = Shoot(tmp_path / "ice.setlog", parse_plan(PLAN | {"dry_ice": ice}))
    on_set(shoot)
    return shoot


def climate(shoot):
    return Climate(shoot.session.state, shoot.session.plan)


def air_c(shoot, ahead_s=0.0):
    return climate(shoot).local_air_c(shoot.session.time() + ahead_s)


def cue(shoot):
    """Return the cue of a top-up, as if the air wanted one now."""
    shoot.clock.advance(1.0)
    forecast = shoot.forecast()
    warm = replace(forecast.climate, top_up_at=shoot.session.time())
    return next(iter(_top_ups(shoot.session.desk(), replace(forecast, climate=warm))))


def test_top_ups_as_they_are_cued_hold_the_target_and_do_not_freeze_the_set(tmp_path):
    """Not as much again each time: half of the first charge is left when the next one comes."""
    shoot = iced(tmp_path)
    masses = []
    for _ in range(6):
        masses.append(cue(shoot).given["mass_kg"])
        shoot.call("top_up", wait=0.0, **cue(shoot).given)
        assert air_c(shoot, EVERY_S) == pytest.approx(12.0, abs=1.0)
        assert air_c(shoot, EVERY_S) <= 12.0
        shoot.clock.advance(EVERY_S)
    assert masses[0] > 2 * max(masses[1:])
    assert min(masses) >= LEAST_TOP_UP_KG
    assert all(mass / WEIGHED_KG == pytest.approx(round(mass / WEIGHED_KG)) for mass in masses)
    shoot.session.close()


def test_the_first_one_by_hand(tmp_path):
    """23 to 12 °C at 0.15 K/W are 73.3 W: 12 (m / 1560)^(2/3) times 10 times 120 K leave 0.57 kg.

    Half an hour takes 1800 times 1200 x 12 / (3 x 571,000 x 1560^(2/3)) = 0.1125 off the cube root of the mass, which
    began with 0.94: 0.83 kg, told as 0.85.
    """
    shoot = iced(tmp_path)
    kg = top_up_kg(climate(shoot), shoot.session.plan, shoot.session.time())
    assert kg == pytest.approx(0.85)
    shoot.session.close()


def test_what_a_reading_beside_the_scoop_says_is_reckoned_with(tmp_path):
    """Half as much cooling a watt takes twice the heat."""
    shoot = iced(tmp_path)
    shoot.call("top_up", mass_kg=0.8, form="pellets", where="set")
    now = shoot.session.time()
    watts = climate(shoot).ice_w(now + 5.0)
    shoot.call("reading", what="air_c", value=23.0 - 0.075 * watts)
    kg, now = top_up_kg(climate(shoot), shoot.session.plan, shoot.session.time()), shoot.session.time()
    put = [*shoot.session.state.charges["set"]]
    later = heat_taken_w([*put, Charge(kg, "pellets", now)], 23.0, now + EVERY_S)
    assert later == pytest.approx(11.0 / 0.075, rel=0.05)
    shoot.session.close()


def test_nothing_is_told_without_a_target_or_where_ice_was_read_to_do_nothing(tmp_path):
    shoot = iced(tmp_path)
    plan, at = shoot.session.plan, shoot.session.time()
    assert top_up_kg(climate(shoot), parse_plan(PLAN | {"dry_ice": {}}), at) is None
    assert top_up_kg(climate(shoot), parse_plan(PLAN | {"dry_ice": {"target_air": "-38 °C", "gain_k_per_w": 0.01}}), at) is None  # fmt: skip
    shoot.call("top_up", mass_kg=0.5, form="pellets", where="set")
    shoot.call("reading", what="air_c", value=23.0)
    assert top_up_kg(climate(shoot), plan, shoot.session.time()) is None
    assert cue(shoot).given == {"where": "set"}
    shoot.session.close()


def test_the_cue_is_of_the_set_also_where_the_box_had_the_last_one(tmp_path):
    shoot = iced(tmp_path)
    shoot.call("top_up", mass_kg=5.0, form="slab", where="box")
    told = cue(shoot)
    assert told.given["where"] == "set"
    assert told.given["form"] == "pellets"
    assert told.given["mass_kg"] < 1.0
    assert told.note.endswith("hold 12 °C for 30 min")
    shoot.session.close()


def test_as_much_as_there_last(tmp_path):
    shoot = iced(tmp_path)
    shoot.call("top_up", mass_kg=0.4, form="pellets", where="set")
    shoot.call("top_up", mass_kg=5.0, form="slab", where="box")
    shoot.call("top_up", where="set")
    assert [one.mass_kg for one in shoot.session.state.charges["set"]] == [0.4, 0.4]
    shoot.call("top_up", where="box")
    assert [one.mass_kg for one in shoot.session.state.charges["box"]] == [5.0, 5.0]
    shoot.session.close()
