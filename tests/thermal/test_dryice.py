"""Dry ice: charges melt away as the closed form says, add up, and chill the air within limits."""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from studiotimer.thermal.charge import CAUTIONS, CAUTIONS_SHORT, Charge
from studiotimer.thermal.co2 import gas_m3_kg, ppm_after, ppm_over, sublimation_kg_s
from studiotimer.thermal.dryice import (
    AREA_FACTOR,
    FACE_C,
    heat_taken_w,
    lasts_s,
    least_kg,
    left_kg,
    link_from_reading,
    local_air_c,
)


@pytest.mark.parametrize("form", AREA_FACTOR)
def test_left_against_stepping(form):
    """dm/dt = -10 c (m/1560)^(2/3) (22 + 97) / 571000 through scipy's solve_ivp."""
    run = solve_ivp(
        lambda _, m: -10 * AREA_FACTOR[form] * (m / 1560) ** (2 / 3) * 119.0 / 571e3,
        (0, 7200),
        [2.0],
        rtol=1e-10,
        atol=1e-12,
        t_eval=[0, 1800, 7200],
    )
    assert left_kg(Charge(2.0, form), 22.0, [0, 1800, 7200]) == pytest.approx(run.y[0], rel=1e-6)


def test_a_charge_ends_when_it_says():
    charge = Charge(1.0, "crushed")
    end = lasts_s(charge, 22.0)
    assert float(left_kg(charge, 22.0, end * 0.999)) > 0.0
    assert float(left_kg(charge, 22.0, end * 1.001)) == 0.0
    assert lasts_s(charge, -98.0) == np.inf
    assert float(left_kg(charge, -98.0, 1e6)) == pytest.approx(1.0)


def test_heat_is_what_the_lost_mass_took_up():
    charge = Charge(2.0, "pellets", at=100.0)
    times = np.linspace(100.0, 5100.0, 2001)
    heat = np.trapezoid(heat_taken_w([charge], 22.0, times), times)
    assert heat == pytest.approx(571e3 * float(2.0 - left_kg(charge, 22.0, 5000.0)), rel=1e-5)


def test_charges_add_from_when_they_are_put_out():
    first, second = Charge(1.0, "slab", 0.0), Charge(2.0, "pellets", 600.0)
    assert heat_taken_w([Charge(1.0, "slab")], 22.0, 0.0) == heat_taken_w([first], 22.0, 0.0) > 0.0
    both = heat_taken_w([first, second], 22.0, [0.0, 599.0, 601.0])
    alone = heat_taken_w([first], 22.0, [0.0, 599.0, 601.0])
    assert both[:2] == pytest.approx(alone[:2])
    assert both[2] == pytest.approx(alone[2] + heat_taken_w([second], 22.0, 601.0))


def test_local_air():
    assert local_air_c(22.0, [0.0, 100.0, -5.0, 1e6]) == pytest.approx([22.0, 7.0, 22.0, -40.0])
    assert float(local_air_c(-50.0, 100.0)) == -50.0


def test_a_reading_sets_the_link():
    heat = 80.0
    link = link_from_reading(22.0, 6.0, heat)
    assert float(local_air_c(22.0, heat, link)) == pytest.approx(6.0)
    assert link_from_reading(22.0, 23.0, heat) == 0.0
    assert link_from_reading(22.0, 21.0, 0.5) == pytest.approx(2.0)
    for none in (0.0, -1.0):
        with pytest.raises(ValueError, match="no dry ice"):
            link_from_reading(22.0, 6.0, none)


def test_room_piece_by_piece_agrees_with_one_piece():
    room = {"volume_m3": 80.0, "changes_per_s": 1.5 / 3600, "room_c": 22.0}
    source = float(sublimation_kg_s(70.0))
    pieces = ppm_over(600.0, [(source, 900.0), (source, 2700.0)], **room)
    assert pieces[-1] == pytest.approx(float(ppm_after(600.0, source, 3600.0, **room)))
    assert pieces[0] < pieces[1]


def test_a_room_never_holds_more_than_all():
    assert float(ppm_after(420.0, 1.0, 1e6, volume_m3=1.0, changes_per_s=0.0)) == 1e6


def test_sealed_room_rises_evenly():
    risen = float(ppm_after(420.0, 1e-4, 1000.0, volume_m3=50.0, changes_per_s=0.0)) - 420.0
    assert risen == pytest.approx(1e6 * 0.1 * gas_m3_kg(20.0) / 50.0)


@pytest.mark.parametrize("text", [" ".join(CAUTIONS), CAUTIONS_SHORT])
def test_cautions_say_what_they_must(text):
    for word in (
        "gloves", "eye protection", "ventilate", "sealed", "closed car", "cold room", "low places", "monitor", "alarm",
        "everyone leaves",
    ):  # fmt: skip
        assert word in text.lower()


def test_the_whole_cautions_defer_to_others():
    text = " ".join(CAUTIONS)
    assert all(words in text for words in ("data sheet", "Local codes", "licensed practice"))


def test_its_face_in_moving_air_is_colder_than_in_its_own_gas():
    """-97.3 °C measured in air free of CO2 (Purandare, Verbruggen and Vanapalli, University of Twente)."""
    assert pytest.approx(-97.3, abs=0.5) == FACE_C
    assert FACE_C < -78.5, "at which it sublimes in its own gas"


def test_of_one_mass_pellets_have_twice_and_crushed_ice_three_times_the_surface_of_a_slab():
    """An own rule, as it is told: six of a slab, twelve of pellets, eighteen of crushed ice."""
    slab, pellets, crushed = (lasts_s(Charge(2.0, form), 22.0) for form in ("slab", "pellets", "crushed"))
    assert slab / pellets == pytest.approx(2.0)
    assert slab / crushed == pytest.approx(3.0)


@pytest.mark.parametrize("changes_per_s", [0.0, 0.5 / 3600])
def test_a_room_holds_no_more_co2_than_there_is_room(changes_per_s):
    """A tonne turned to gas in a closet: a million parts of a million, and not one more."""
    found = ppm_after(420.0, 1000.0 / 3600, 3600.0, volume_m3=2.0, changes_per_s=changes_per_s)
    assert float(found) == 1e6


def test_what_is_not_told_of_a_room_is_the_same_for_one_piece_and_for_several():
    room = {"volume_m3": 60.0, "changes_per_s": 1.5 / 3600}
    (over,) = ppm_over(420.0, [(1e-4, 1800.0)], **room)
    assert over == pytest.approx(float(ppm_after(420.0, 1e-4, 1800.0, **room)))
    assert over == pytest.approx(float(ppm_after(420.0, 1e-4, 1800.0, **room, room_c=20.0)))


def test_where_no_heat_comes_nothing_turns_to_gas():
    assert sublimation_kg_s([-5.0, 0.0, 0.5, 571.0]) == pytest.approx([0.0, 0.0, 0.5 / 571e3, 1e-3], rel=1e-3)


@pytest.mark.parametrize("form", AREA_FACTOR)
def test_the_least_charge_takes_up_what_is_wanted_when_it_is_and_no_less_would(form):
    mass = least_kg(form, 22.0, 60.0, 1800.0)
    assert heat_taken_w([Charge(mass, form)], 22.0, 1800.0) == pytest.approx(60.0)
    assert heat_taken_w([Charge(0.99 * mass, form)], 22.0, 1800.0) < 59.9
    assert least_kg(form, 22.0, 0.0, 1800.0) == 0.0
    assert least_kg(form, FACE_C, 60.0, 1800.0) == math.inf, "where nothing sublimes nothing is cooled"
