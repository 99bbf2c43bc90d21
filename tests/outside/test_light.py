"""Lamps against the CIE's luminous efficiency."""

import warnings

import numpy as np
import pytest

from studiotimer.lamps import lamps


def test_luminous_efficacy_of_a_3200_k_black_body():
    """CIE V(lambda), 1924 photopic observer, from colour-science; Planck's law: 27 lm/W within 2 %."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from colour import SDS_LEFS

        photopic = SDS_LEFS["CIE 1924 Photopic Standard Observer"]
    wavelength = np.geomspace(1e-7, 1e-4, 20_001)
    planck = wavelength**-5 / np.expm1(1.438776877e-2 / (wavelength * 3200.0))
    seen = np.interp(wavelength * 1e9, photopic.wavelengths, photopic.values, left=0.0, right=0.0)
    efficacy = 683.0 * np.trapezoid(planck * seen, wavelength) / np.trapezoid(planck, wavelength)
    assert lamps()["tungsten"].lumens_per_watt == pytest.approx(efficacy, rel=0.02)
