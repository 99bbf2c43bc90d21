"""The freezing curve against worked examples and measured freezing points."""

import pytest

from studiotimer.mixes import mixes
from studiotimer.thermal.freezing import ice_fraction, initial_freezing_point
from studiotimer.thermal.mix import Mix


def test_guelph_example_of_the_freezing_point_calculation():
    """Goff, University of Guelph, Ice Cream Technology e-book: example of the freezing point calculation."""
    mix = Mix("example", msnf=10, whey=2, sucrose=12, css=4, css_de=42, other=12)
    assert mix.water == pytest.approx(60.0)
    assert mix.sucrose_equivalent == pytest.approx(22.2, abs=0.05)
    assert initial_freezing_point(mix) == pytest.approx(-2.74, abs=0.02)


def test_whole_milk():
    """Leighton 1927, J. Dairy Science 10: whole milk freezes at -0.55 °C."""
    milk = Mix("milk", fat=3.9, msnf=8.99)
    assert milk.water == pytest.approx(87.11)
    assert initial_freezing_point(milk) == pytest.approx(-0.55, abs=0.05)


def test_common_mix():
    """A review's value for a common mix of 12 % fat, 11 % msnf, 15 % sucrose (from memory): about -2.5 °C."""
    mix = Mix("common", fat=12, msnf=11, sucrose=15, other=0.3)
    assert mix.water == pytest.approx(61.7)
    assert initial_freezing_point(mix) == pytest.approx(-2.5, abs=0.3)


@pytest.mark.parametrize("name", ["superpremium", "premium", "regular", "economy"])
def test_share_of_water_frozen_in_a_freezer(name):
    """General references and a freezing curve by Goff: about 80 % of the water is ice at -18 °C."""
    assert 0.75 <= float(ice_fraction(mixes()[name], -18.0)) <= 0.87
