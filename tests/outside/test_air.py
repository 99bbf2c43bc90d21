"""Moist air and convection against psychrolib, CoolProp and ht."""

import numpy as np
import psychrolib
import pytest
from ht.conv_free_immersed import Nu_sphere_Churchill

from studiotimer.thermal import air

TEMPERATURES = np.arange(-40.0, 40.1, 2.5)
psychrolib.SetUnitSystem(psychrolib.SI)


def test_saturation_pressure_against_psychrolib():
    """psychrolib (ASHRAE Handbook Fundamentals 2017, chapter 1), -40 to 40 °C."""
    theirs = [psychrolib.GetSatVapPres(t) for t in TEMPERATURES]
    assert air.saturation_pressure(TEMPERATURES) == pytest.approx(theirs, rel=1e-3)


@pytest.mark.parametrize("relative", [0.05, 0.45, 0.9])
def test_humidity_ratio_against_psychrolib(relative):
    """psychrolib, humidity ratio from relative humidity at 101,325 Pa."""
    theirs = [psychrolib.GetHumRatioFromRelHum(t, relative, 101325.0) for t in TEMPERATURES]
    assert air.humidity_ratio(TEMPERATURES, relative) == pytest.approx(theirs, rel=1e-3)


@pytest.mark.parametrize("t", [-20.0, 5.0, 22.0, 35.0])
def test_dew_point_against_psychrolib(t):
    """psychrolib, dew point from humidity ratio; within 0.1 % in kelvin, and 0.02 K."""
    ratio = psychrolib.GetHumRatioFromRelHum(t, 0.6, 101325.0)
    assert air.dew_point(ratio) == pytest.approx(psychrolib.GetTDewPointFromHumRatio(t, ratio, 101325.0), abs=0.02)


@pytest.fixture(scope="module")
def dry_air():
    """Return what CoolProp says of dry air at 101,325 Pa; it takes seconds to import, for each worker that collects this."""
    from CoolProp.CoolProp import PropsSI

    return lambda what, t_c: PropsSI(what, "T", t_c + 273.15, "P", 101325.0, "Air")


def test_viscosity_against_coolprop(dry_air):
    """CoolProp, dry air (Lemmon and Jacobsen 2004), -60 to 40 °C, within 1 %."""
    t = np.arange(-60.0, 41.0, 5.0)
    theirs = [dry_air("V", x) for x in t]
    assert air.viscosity(t) == pytest.approx(theirs, rel=0.01)


def test_conductivity_against_coolprop(dry_air):
    """CoolProp, dry air (Lemmon and Jacobsen 2004), -60 to 40 °C, within 3 %."""
    t = np.arange(-60.0, 41.0, 5.0)
    theirs = [dry_air("L", x) for x in t]
    assert air.air_conductivity(t) == pytest.approx(theirs, rel=0.03)


@pytest.mark.parametrize("rayleigh", [1e2, 1e4, 1e5, 1e6])
def test_natural_convection_against_ht(rayleigh):
    """ht, Nu_sphere_Churchill (Churchill 1983), which keeps the turbulent factor; within 0.3 % for a scoop's Ra."""
    theirs = Nu_sphere_Churchill(0.71, rayleigh / 0.71)
    assert float(air.sphere_natural(rayleigh, 0.71)) == pytest.approx(theirs, rel=3e-3)


@pytest.mark.parametrize("rayleigh", [1e4, 1e7, 1e9])
def test_laminar_part_against_ht(rayleigh):
    """ht, Nu_sphere_Churchill less its turbulent factor (Churchill 1983), which matters above Ra = 1e6."""
    shape = 1 + (0.469 / 0.71) ** (9 / 16)
    turbulent = (1 + 7.44e-8 * rayleigh / shape ** (16 / 9)) ** (1 / 12)
    theirs = 2 + (Nu_sphere_Churchill(0.71, rayleigh / 0.71) - 2) / turbulent
    assert float(air.sphere_natural(rayleigh, 0.71)) == pytest.approx(theirs, rel=3e-3)


@pytest.mark.parametrize("flow", ["sphere", "plate", "cylinder"])
def test_still_and_moving_air_add_by_their_cubes_over_what_is_left_where_nothing_moves(flow):
    """Churchill, AIChE Journal 23, 1977 (memory): (Nu - N0)³ = (Nu_n - N0)³ + (Nu_f - N0)³."""
    warmer, width = 20.0 + 1e-3, 0.065

    def h(surface_c, draught_m_s):
        return float(air.convection(surface_c, 20.0, draught_m_s, width, 101325.0, flow))

    none = air.CONVECTED[flow][2] * float(air.air_conductivity(20.0)) / width
    natural, forced, both = h(warmer, 0.0), h(20.0, 0.01), h(warmer, 0.01)
    assert (both - none) ** 3 == pytest.approx((natural - none) ** 3 + (forced - none) ** 3, rel=0.01)


@pytest.mark.parametrize("flow", ["sphere", "plate", "cylinder"])
@pytest.mark.parametrize("draught_m_s", [0.05, 0.15, 0.6])
def test_a_warm_surface_in_a_draught_has_the_cubes_of_both(flow, draught_m_s):
    """Churchill, AIChE Journal 23, 1977 (memory), of the Nusselt numbers of still and of moving air about a cold body."""
    surface, width = 0.0, 0.065
    film = 10.0
    k = float(air.air_conductivity(film))
    still = air.CONVECTED[flow][2]
    natural = float(air.convection(surface, 20.0, 0.0, width, 101325.0, flow)) * width / k
    density = 101325.0 / (287.055 * (film + 273.15))
    reynolds = draught_m_s * width * density / float(air.viscosity(film))
    driven = float(air.CONVECTED[flow][1](reynolds, 0.71))
    both = float(air.convection(surface, 20.0, draught_m_s, width, 101325.0, flow)) * width / k
    assert both == pytest.approx(still + ((natural - still) ** 3 + (driven - still) ** 3) ** (1 / 3), rel=0.01)
