"""Moist air and convection against psychrolib, CoolProp and ht."""

import numpy as np
import psychrolib
import pytest
from CoolProp.CoolProp import PropsSI
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


def test_viscosity_against_coolprop():
    """CoolProp, dry air (Lemmon and Jacobsen 2004), -60 to 40 °C, within 1 %."""
    t = np.arange(-60.0, 41.0, 5.0)
    theirs = [PropsSI("V", "T", x + 273.15, "P", 101325.0, "Air") for x in t]
    assert air.viscosity(t) == pytest.approx(theirs, rel=0.01)


def test_conductivity_against_coolprop():
    """CoolProp, dry air (Lemmon and Jacobsen 2004), -60 to 40 °C, within 3 %."""
    t = np.arange(-60.0, 41.0, 5.0)
    theirs = [PropsSI("L", "T", x + 273.15, "P", 101325.0, "Air") for x in t]
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
