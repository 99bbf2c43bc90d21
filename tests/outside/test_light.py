"""Lamps against the CIE's luminous efficiency."""

import warnings

import numpy as np
import pytest

from studiotimer.lamps import lamps, parse_light


def black_body_efficacy(kelvin):
    """Return lm/W of a black body: CIE V(lambda), 1924 photopic observer, from colour-science; Planck's law."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from colour import SDS_LEFS

        photopic = SDS_LEFS["CIE 1924 Photopic Standard Observer"]
    wavelength = np.geomspace(1e-7, 1e-4, 20_001)
    planck = wavelength**-5 / np.expm1(1.438776877e-2 / (wavelength * kelvin))
    seen = np.interp(wavelength * 1e9, photopic.wavelengths, photopic.values, left=0.0, right=0.0)
    return 683.0 * np.trapezoid(planck * seen, wavelength) / np.trapezoid(planck, wavelength)


def test_luminous_efficacy_of_a_3200_k_black_body():
    """27 lm/W within 2 %. Only the integral is checked by it: filament tungsten is no black body."""
    assert black_body_efficacy(3200.0) == pytest.approx(27.0, rel=0.02)


def test_filament_tungsten():
    """It gives off 0.43 of a black body in the visible and 0.34 in all: de Vos 1954, from memory. 34 lm/W within 2 %."""
    assert lamps()["tungsten"].lumens_per_watt == pytest.approx(black_body_efficacy(3200.0) * 0.43 / 0.34, rel=0.02)


def reflected(lightness):
    """Return Y of a CIE L* (CIE 15, colorimetry)."""
    return ((lightness + 16.0) / 116.0) ** 3


def test_milk_takes_up_what_it_does_not_reflect():
    """Milk of 3.2 % fat: L* 89.9, mean reflectance 76 % (Popov-Raljić and others, Sensors 8, 2008): 1 - Y within 0.03."""
    assert 1.0 - reflected(89.9) == pytest.approx(1.0 - 0.76, abs=0.03)


@pytest.mark.parametrize(("tone", "lightness"), [("pale", 88.0), ("mid", 68.0), ("dark", 45.0)])
def test_shares_of_a_lamp_without_infrared(tone, lightness):
    """An LED's light is all visible: its shares are 1 - Y(L*), within 0.035."""
    assert lamps()["LED"].share(tone) == pytest.approx(1.0 - reflected(lightness), abs=0.035)


def test_modelling_lamp_is_the_inverse_square():
    """Even light over a sphere: 250 W at 2 m is 250 x 0.9 / (4 pi 4) W/m2; half of that taken up by a LED."""
    taken = 250 * 0.9 / (4 * np.pi * 4) * 0.57 / 2
    assert parse_light("flash, modelling 250 W at 2 m").absorbed("pale") == pytest.approx(taken)
    assert parse_light("flash, LED modelling 250 W at 2 m").absorbed("pale") == pytest.approx(taken / 2)
