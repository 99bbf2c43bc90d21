"""Forms: exponents, orders that must hold, and many forms in one go."""

import math
from dataclasses import replace

import numpy as np
import pytest

from studiotimer import forms
from studiotimer.mixes import mixes
from studiotimer.thermal.body import Case, Piece, advance_bodies, mean_enthalpy, slump_times, start_body
from studiotimer.thermal.criteria import targets
from studiotimer.thermal.form import ball, block, cone, opened, roll
from studiotimer.thermal.scoop import changes
from studiotimer.thermal.surroundings import room
from studiotimer.units import UnitError

ROOM = room(22.0, 0.45, 600.0)


def test_exponents_of_the_standard_bodies_are_exact():
    assert ball(0.065).exponent == 3.0
    assert roll(0.05).exponent == 2.0
    assert opened(0.1, 0.01).exponent == 1.0


@pytest.mark.parametrize(
    ("form", "volume", "area"),
    [
        (roll(0.05, 0.05), math.pi * 0.025**2 * 0.05, math.pi * 0.05 * 0.05 + 2 * math.pi * 0.025**2),
        (roll(0.05, 0.02), math.pi * 0.025**2 * 0.02, math.pi * 0.05 * 0.02 + 2 * math.pi * 0.025**2),
        (block(0.02, 0.06, 0.1), 0.02 * 0.06 * 0.1, 2 * (0.02 * 0.06 + 0.06 * 0.1 + 0.1 * 0.02)),
        (cone(0.06, 0.09), math.pi * 0.03**2 * 0.03, math.pi * 0.03 * (0.03 + math.hypot(0.03, 0.09))),
    ],
)
def test_volume_over_area_is_the_bodys_own(form, volume, area):
    assert form.half_m / form.exponent == pytest.approx(volume / area)


def test_a_block_lies_as_it_likes():
    assert block(0.1, 0.02, 0.06).exponent == pytest.approx(block(0.02, 0.06, 0.1).exponent)


@pytest.mark.parametrize("name", ["superpremium", "economy", "sorbet"])
def test_many_forms_in_one_go_are_as_each_alone(name):
    mix = mixes()[name]
    every = [ball(0.065), block(0.02, 0.06, 0.1), roll(0.035, 0.07), opened(0.1, 0.01), ball(0.05)]
    cases = [Case(mix, form, start_body(mix, -18.0), (Piece(ROOM, 40.0),), ROOM) for form in every]
    alone = [slump_times([case])[0] for case in cases]
    assert slump_times(cases) == pytest.approx(alone, rel=1e-12)
    for one, case in zip(advance_bodies(cases), cases, strict=True):
        assert np.array_equal(one, advance_bodies([case])[0]), "to the last bit: steps tried again make much of little"


@pytest.mark.parametrize("form", [block(0.02, 0.06, 0.1), roll(0.035, 0.07), opened(0.1, 0.015)])
def test_heat_is_kept_in_every_form(form):
    """What comes through the surface is what the body gains: over a second, to 0.1 %."""
    from studiotimer.thermal.air import heat_flux
    from studiotimer.thermal.material import material

    mix = mixes()["regular"]
    (state,) = advance_bodies([Case(mix, form, start_body(mix, -18.0), (Piece(ROOM, 60.0),))])
    before, came = mean_enthalpy(state, form), 0.0
    for _ in range(20):
        surface = float(material(mix).temperature(state[-1]))
        (state,) = advance_bodies([Case(mix, form, state, (Piece(ROOM, 0.5),))])
        after = float(material(mix).temperature(state[-1]))
        flux = heat_flux(np.array([surface, after]), ROOM, form.along_m, form.flow)
        came += 0.5 * float(flux.mean()) / material(mix).density / (form.half_m / form.exponent)
    assert mean_enthalpy(state, form) - before == pytest.approx(came, rel=2e-3)


@pytest.mark.parametrize("name", list(mixes()))
def test_a_thicker_bar_lasts_longer(name):
    mix = mixes()[name]
    thick = [block(one, 0.06, 0.1) for one in (0.01, 0.015, 0.02, 0.03, 0.04)]
    lasts = slump_times([Case(mix, form, start_body(mix, -18.0), (), ROOM) for form in thick])
    assert np.all(np.diff(lasts) > 0.0)


@pytest.mark.parametrize("name", ["superpremium", "premium", "regular", "economy", "gelato"])
def test_a_slice_goes_before_a_scoop_of_its_thickness_is_through(name):
    mix = mixes()[name]
    (lasts,) = slump_times([Case(mix, block(0.03, 0.07, 0.09), start_body(mix, -18.0), (), ROOM)])
    (state,) = advance_bodies([Case(mix, ball(0.03), start_body(mix, -18.0), (Piece(ROOM, float(lasts)),))])
    assert state[0] < targets(mix).softened


def test_a_cones_scoop_is_like_a_scoop():
    mix = mixes()["premium"]
    assert changes(mix, -18.0, ROOM, (), forms.build("cone", 0.065, 0.0012)) == changes(
        mix, -18.0, ROOM, (), forms.build("scoop", 0.065, 0.0012)
    )


def test_forms_as_people_write_them():
    bar = forms.build("bar 20 x 60 x 100 mm", 0.065, 0.0012)
    assert bar.form == block(0.02, 0.06, 0.1)
    assert forms.build("Stick bar 2cm by 6cm by 10cm", 0.065, 0.0012).form.exponent == pytest.approx(bar.form.exponent)
    assert forms.build("scoop", 0.05, 0.001).body == ball(0.05)
    assert forms.named("soft serve") == "swirl"
    assert forms.draws_at_c("swirl") == -6.0
    assert forms.draws_at_c("scoop") is None


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("cake", "form: “cake” is not known; write one of scoop, quenelle, bar, sandwich, slice, cone, swirl"),
        ("bar 20 mm", "form: a bar has 3 sizes; write bar 22 x 45 x 90 mm"),
        ("bar 0 x 2 x 3 mm", "form: 0 mm is not possible; give 4 to 500 mm"),
        ("scoop 3 kg", "form: "),
    ],
)
def test_what_is_no_form_is_refused_in_a_sentence(text, says):
    with pytest.raises(UnitError) as caught:
        forms.build(text, 0.065, 0.0012)
    assert str(caught.value).startswith(says)
    assert "\n" not in str(caught.value)


def test_a_cone_has_the_half_thickness_of_the_largest_ball_inside_it():
    """By plane geometry: base 60 mm and 40 mm high have sides of 50 mm, and a ball of 15 mm in them (a 3-4-5 triangle)."""
    made = cone(0.060, 0.040)
    assert (made.half_m, made.exponent) == (pytest.approx(0.015), 3.0)


@pytest.mark.parametrize(("name", "start_c", "wanted"), [("superpremium", -12.0, 110.1), ("premium", -18.0, 222.1)])
def test_a_bar_with_sharp_edges_slumps_within_a_few_per_cent_of_finite_elements(name, start_c, wanted):
    """The values that scikit-fem gave in three dimensions (`tests/outside/solid.py`, its mesh within 1 %), kept."""
    bar = replace(block(0.02, 0.06, 0.1), flow="sphere", along_m=0.02)
    (found,) = slump_times([Case(mixes()[name], bar, start_body(mixes()[name], start_c), (), ROOM)])
    assert found == pytest.approx(wanted, rel=0.035)
