"""Forms against finite elements in two and three dimensions, and their convection against a library.

scikit-fem (BSD-3) solves the same enthalpy, conductivity and surface balance on an eighth of a bar with sharp edges and on
a quarter of a cylinder's section; the mesh is fine enough that halving its cells moves the slump by under 1 %.
"""

import dataclasses

import ht
import numpy as np
import pytest

from studiotimer.mixes import mixes
from studiotimer.thermal.air import cylinder_forced, cylinder_natural, heat_flux, plate_forced, plate_natural
from studiotimer.thermal.body import Case, slump_times, start_body
from studiotimer.thermal.form import block, roll
from studiotimer.thermal.surroundings import room
from tests.outside import solid

ROOM = room(22.0, 0.45, 600.0)
MIXES = [("superpremium", -12.0), ("premium", -18.0)]  # all of them: python -m tests.speed.forms


def reach(form):
    """Return volume over area [m]."""
    return form.half_m / form.exponent


def compared(made, form, width, name, start_c):
    mix = mixes()[name]
    alike = dataclasses.replace(form, flow="sphere", along_m=width)
    (found,) = slump_times([Case(mix, alike, start_body(mix, start_c), (), ROOM)])
    wanted = solid.slump_of(made, mix, start_c, lambda t: heat_flux(t, ROOM, width))
    return float(found), wanted


@pytest.mark.parametrize(("name", "start_c"), MIXES[:1])
def test_a_bar_slumps_as_in_three_dimensions(name, start_c):
    made = solid.block(0.02, 0.06, 0.1)
    assert made.reach == pytest.approx(reach(block(0.02, 0.06, 0.1)))
    found, wanted = compared(made, block(0.02, 0.06, 0.1), 0.02, name, start_c)
    assert found == pytest.approx(wanted, rel=0.08)


@pytest.mark.parametrize(("name", "start_c"), MIXES)
def test_a_cylinder_as_high_as_wide_slumps_as_in_two_dimensions(name, start_c):
    made = solid.turned(0.05, 0.05)
    assert made.reach == pytest.approx(reach(roll(0.05, 0.05)))
    found, wanted = compared(made, roll(0.05, 0.05), 0.05, name, start_c)
    assert found == pytest.approx(wanted, rel=0.08)


RAYLEIGH = np.array([1e4, 1e5, 1e6, 1e7])


def test_a_vertical_plate_in_still_air():
    """Churchill and Chu's equation for laminar flow lies within 8 % of their equation for all flows (`ht`)."""
    found = plate_natural(RAYLEIGH, 0.71)
    wanted = [ht.conv_free_immersed.Nu_vertical_plate_Churchill(0.71, float(ra) / 0.71) for ra in RAYLEIGH]
    assert found == pytest.approx(wanted, rel=0.08)


def test_a_horizontal_cylinder_in_still_air():
    found = cylinder_natural(RAYLEIGH, 0.71)
    wanted = [ht.conv_free_immersed.Nu_horizontal_cylinder_Churchill_Chu(0.71, float(ra) / 0.71) for ra in RAYLEIGH]
    assert found == pytest.approx(wanted, rel=1e-6)


def test_a_cylinder_in_a_draught():
    for re in (50.0, 500.0, 5000.0):
        wanted = ht.conv_external.Nu_cylinder_Churchill_Bernstein(re, 0.71)
        assert float(cylinder_forced(re, 0.71)) == pytest.approx(wanted, rel=1e-6)


def test_a_plate_along_a_draught():
    for re in (500.0, 5000.0, 50_000.0):
        wanted = ht.conv_external.Nu_horizontal_plate_laminar_Baehr(re, 0.71)
        assert float(plate_forced(re, 0.71)) == pytest.approx(wanted, rel=0.01)
