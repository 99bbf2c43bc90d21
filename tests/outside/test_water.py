"""Water and ice against the international formulations."""

import numpy as np
import pytest
from iapws import IAPWS95
from iapws._iapws import _Ice

from studiotimer.thermal.properties import _CONDUCTIVITY, _DENSITY, FUSION, _value, ice_enthalpy, water_enthalpy

PRESSURE_MPA = 0.101325


@pytest.mark.parametrize("t", [-40.0, -30.0, -20.0, -10.0])
def test_enthalpy_of_ice_against_iapws_06(t):
    """iapws (IAPWS-06): enthalpy of ice below that of water at 0 °C, within 1.5 %."""
    theirs = 1000 * (_Ice(t + 273.15, PRESSURE_MPA)["h"] - IAPWS95(T=273.1526, P=PRESSURE_MPA).h)
    assert float(ice_enthalpy(t)) == pytest.approx(theirs, rel=0.015)


@pytest.mark.parametrize("t", [5.0, 20.0, 40.0, 60.0])
def test_enthalpy_of_water_against_iapws_95(t):
    """iapws (IAPWS-95): enthalpy of liquid water above that at 0 °C, within 1.5 %."""
    theirs = 1000 * (IAPWS95(T=t + 273.15, P=PRESSURE_MPA).h - IAPWS95(T=273.1526, P=PRESSURE_MPA).h)
    assert float(water_enthalpy(t)) == pytest.approx(theirs, rel=0.015)


def test_latent_heat_of_fusion_against_iapws():
    """iapws (IAPWS-06 and IAPWS-95) at 0 °C, within 1.5 %."""
    water = IAPWS95(T=273.1526, P=PRESSURE_MPA).h
    ice = _Ice(273.15, PRESSURE_MPA)["h"]
    assert pytest.approx(1000 * (water - ice), rel=0.015) == FUSION


def test_latent_heat_of_sublimation_against_iapws():
    """iapws: saturated vapour (IAPWS-95) above ice (IAPWS-06) at the triple point, within 1.5 %."""
    vapour = IAPWS95(T=273.16, x=1).h
    ice = _Ice(273.15, PRESSURE_MPA)["h"]
    used = 2.501e6 + 0.333e6
    assert used == pytest.approx(1000 * (vapour - ice), rel=0.015)


@pytest.mark.parametrize("t", [1.0, 5.0, 20.0, 40.0, 60.0])
def test_density_of_water_against_iapws_95(t):
    """iapws (IAPWS-95): density of liquid water, within 0.5 %; with it the shares of volume are reckoned."""
    theirs = IAPWS95(T=t + 273.15, P=PRESSURE_MPA).rho
    assert float(_value(_DENSITY["water"], np.array(t))) == pytest.approx(theirs, rel=0.005)


@pytest.mark.parametrize("t", [-40.0, -20.0, -1.0])
def test_density_of_ice_against_iapws_06(t):
    """iapws (IAPWS-06): density of ice, within 0.2 %."""
    theirs = _Ice(t + 273.15, PRESSURE_MPA)["rho"]
    assert float(_value(_DENSITY["ice"], np.array(t))) == pytest.approx(theirs, rel=0.002)


@pytest.mark.parametrize("t", [1.0, 20.0, 40.0])
def test_conductivity_of_water_against_iapws(t):
    """iapws (IAPWS R15-11): thermal conductivity of liquid water, within 3 %."""
    theirs = IAPWS95(T=t + 273.15, P=PRESSURE_MPA).k
    assert float(_value(_CONDUCTIVITY["water"], np.array(t))) == pytest.approx(theirs, rel=0.03)
