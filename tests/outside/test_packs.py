"""Frost and dew on a closed pack against psychrolib and an example worked by hand."""

import psychrolib
import pytest

from studiotimer import forms
from studiotimer.thermal.air import convection, settling
from studiotimer.thermal.surroundings import room
from tests.thermal.walls import settled_on

psychrolib.SetUnitSystem(psychrolib.SI)
PINT = forms.build("pint", 0.065, 0.0012).body


@pytest.mark.parametrize(("air", "relative"), [(22.0, 0.5), (25.0, 0.7), (18.0, 0.35), (30.0, 0.85)])
def test_dew_begins_where_psychrolib_has_the_dew_point(air, relative):
    """psychrolib (ASHRAE Handbook Fundamentals 2017, chapter 1): 0.1 K colder it gathers, 0.1 K warmer it stays bare."""
    point = psychrolib.GetTDewPointFromRelHum(air, relative)
    around = room(air, relative)
    assert float(settling(point - 0.1, around, PINT.along_m, PINT.flow)) > 0.0
    assert float(settling(point + 0.1, around, PINT.along_m, PINT.flow)) < 0.0
    assert settled_on([0.0, 60.0], [5.0, 5.0], around, PINT).bare_above_c == pytest.approx(point, abs=0.1)


@pytest.mark.parametrize("wall", [-15.0, -5.0, 2.0, 8.0])
def test_what_settles_follows_psychrolibs_humidity_ratios(wall):
    """The analogy of heat and mass transfer with Le = 0.87 (Incropera and DeWitt, chapter 6), w by psychrolib."""
    around = room(22.0, 0.5)
    h = float(convection(wall, 22.0, 0.0, PINT.along_m, 101325.0, PINT.flow))
    there = psychrolib.GetHumRatioFromRelHum(22.0, 0.5, 101325.0)
    here = psychrolib.GetHumRatioFromRelHum(wall, 1.0, 101325.0)
    wanted = h / (1006.0 * 0.87 ** (2 / 3)) * (there - here)
    assert float(settling(wall, around, PINT.along_m, PINT.flow)) == pytest.approx(wanted, rel=5e-3)


def test_a_cold_bottle_worked_by_hand():
    """A wall 0.1 m high at 5 °C in air of 22 °C and 50 %, by hand with table values (memory).

    Air at 13.5 °C: nu 14.7e-6 m2/s, k 0.0252 W/(m K), Pr 0.71. Ra = 9.81/286.7 · 17 · 0.001 / 14.7e-6² · 0.71 = 1.911e6;
    Ra^1/4 = 37.2, Nu = 0.68 + 0.515 · 37.2 = 19.8, h = 5.0 W/(m2 K). w = 0.00822 in the room, 0.00540 at the wall;
    5.0 / (1006 · 0.911) · 0.00282 = 1.54e-5 kg/(m2 s), 55 g/m2 in an hour.
    """
    around = room(22.0, 0.5)
    found = settled_on([0.0, 3600.0], [5.0, 5.0], around, PINT)
    assert found.settled[-1] == pytest.approx(0.055, rel=0.03)
