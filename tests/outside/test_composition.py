"""Mixes against legal standards and published latent heats."""

from dataclasses import replace

import pytest

from studiotimer.mixes import mixes
from studiotimer.thermal.mix import Mix
from studiotimer.thermal.properties import density, enthalpy_at

CLASSES = ("superpremium", "premium", "regular", "economy")
LB_PER_GALLON = 0.45359237 / 3.785411784e-3  # kg/m3


@pytest.mark.parametrize(
    ("flavour", "water", "latent_kj"), [("vanilla", 61.0, 204), ("chocolate", 55.7, 186), ("strawberry", 60.0, 200)]
)
def test_latent_heat_of_ice_cream(flavour, water, latent_kj):
    """ASHRAE Handbook Refrigeration, Thermal Properties of Foods, unfrozen composition table (from memory)."""
    mix = Mix(flavour, sucrose=100 - water)
    frozen = float(enthalpy_at(mix, 0.0, 0.0) - enthalpy_at(mix, 0.0, 1.0))
    assert frozen / 1000 == pytest.approx(latent_kj, abs=0.6)


@pytest.mark.parametrize("name", CLASSES)
def test_least_weight_of_ice_cream(name):
    """21 CFR 135.110: ice cream weighs at least 4.5 pounds to the US gallon."""
    assert density(mixes()[name]) >= 4.5 * LB_PER_GALLON


def test_economy_whipped_further_falls_below_the_least_weight():
    """21 CFR 135.110: at 120 % overrun the economy mix would be too light to be sold as ice cream."""
    assert density(replace(mixes()["economy"], overrun=1.2)) < 4.5 * LB_PER_GALLON


@pytest.mark.parametrize("name", CLASSES)
def test_milk_solids_of_ice_cream(name):
    """21 CFR 135.110 and 7 CFR 58.2825: at least 10 % milk fat and 20 % total milk solids."""
    mix = mixes()[name]
    assert mix.fat >= 10.0
    assert mix.fat + mix.msnf + mix.whey >= 20.0
