"""What carries a scoop's shape once its ice goes: orders that publications give, and the layer that stays on a slope."""

from dataclasses import replace
from statistics import NormalDist

import numpy as np
import pytest
from scipy.constants import g

from studiotimer.mixes import mixes
from studiotimer.thermal.bands import CHANGES, spread_changes
from studiotimer.thermal.criteria import drains_s, lets_go, yield_layer_m, yield_stress_pa
from studiotimer.thermal.freezing import initial_freezing_point
from studiotimer.thermal.learn import Belief
from studiotimer.thermal.mix import Mix
from studiotimer.thermal.properties import density
from studiotimer.thermal.scoop import Piece, changes, edge_temperature_after
from studiotimer.thermal.structure import EMULSIFIERS
from studiotimer.thermal.surroundings import room

ROOM = room(22.0, 0.45, 2000 / 300 * 0.25 / 2)
HOUSE = Mix("house", fat=12, msnf=11, sucrose=12, css=4, stab=0.3, other=0.15)
FREEZERS = (-14.0, -16.0, -18.0, -20.0, -22.0, -24.0)
CLASSES = ("superpremium", "premium", "regular", "economy")
LOOKS = ("edges_s", "first_drip_s", "slump_s")


def whipped(overrun, emulsifier="mono- and diglycerides", start=-18.0):
    return changes(replace(HOUSE, overrun=overrun, emulsifier=emulsifier), start, ROOM)


@pytest.mark.parametrize("freezer", FREEZERS)
@pytest.mark.parametrize("look", LOOKS)
def test_rich_before_cheap_from_one_freezer(freezer, look):
    """Common practice; side-by-side tests in the press: superpremium and premium, either first, then regular, and
    economy last."""
    rich, premium, regular, economy = (getattr(changes(mixes()[name], freezer, ROOM), look) for name in CLASSES)
    assert max(rich, premium) < regular < economy


@pytest.mark.parametrize("emulsifier", EMULSIFIERS)
def test_more_air_slumps_later_above_80_percent(emulsifier):
    """Sofjan and Hartel, Int. Dairy J. 14, 2004 (80, 100, 120 %); VanWees, Rankin and Hartel, J. Texture Stud. 2019 (100
    to 175 %), abstracts: at one composition, the more air the better the shape and the slower the drip. Up to where
    the network is as strong as it can be (with polysorbate at 119 %)."""
    overruns = (0.8, 1.0, 1.15) if emulsifier == "polysorbate" else (0.8, 1.0, 1.2, 1.5, 1.75)
    found = [whipped(overrun, emulsifier) for overrun in overruns]
    assert np.all(np.diff([each.slump_s for each in found]) > 0)
    assert np.all(np.diff([drains_s(replace(HOUSE, overrun=air, emulsifier=emulsifier)) for air in overruns]) > 0)


def test_a_foam_stands_when_its_ice_has_gone():
    """University of Guelph ice cream notes (Goff): ice cream does not collapse when its ice has melted, but when the
    fat-stabilised foam does. Of regular and economy the edge holds no ice any more when the scoop slumps."""
    for name in ("regular", "economy"):
        mix = mixes()[name]
        slump = changes(mix, -18.0, ROOM).slump_s
        assert edge_temperature_after(mix, -18.0, [Piece(ROOM, slump)]) > initial_freezing_point(mix)


def test_the_emulsifier_that_clusters_fat_keeps_the_shape():
    """University of Guelph ice cream notes (Goff): mostly a matter of the emulsifier, polysorbate above mono- and
    diglycerides above egg; Freire, Wu and Hartel, J. Food Sci. 2020, abstract: the clustering of fat above all."""
    for overrun in (0.3, 0.6, 0.95):
        egg, mono, polysorbate = (whipped(overrun, emulsifier) for emulsifier in EMULSIFIERS[1:])
        for look in LOOKS:
            assert getattr(egg, look) < getattr(mono, look) < getattr(polysorbate, look)


def test_fat_clusters_count_for_more_than_viscosity_and_that_for_more_than_air():
    """Freire, Wu and Hartel, J. Food Sci. 2020, abstract: shape and drip follow the clustering of fat above all, then
    the viscosity of the mix, then overrun. Each is taken from the low to the high end of what is made."""
    base = replace(HOUSE, stab=0.2, overrun=0.8)
    plain = np.log(drains_s(base))
    fat = np.log(drains_s(replace(base, emulsifier="polysorbate"))) - plain
    viscosity = np.log(drains_s(replace(base, stab=0.5))) - plain
    air = np.log(drains_s(replace(base, overrun=1.0))) - plain
    assert fat > viscosity
    assert fat > air


@pytest.mark.parametrize("name", list(mixes()))
def test_the_layer_that_stays_is_that_of_a_bingham_material(name):
    """A Bingham film on an upright face (Bird, Stewart and Lightfoot, Transport Phenomena; memory): it flows where its
    own weight, summed from its free side inward, is more than the yield stress."""
    mix = mixes()[name]

    def slides(layer_m, viscosity_pa_s=1.0):
        depth = np.linspace(0.0, layer_m, 1001)
        shear = np.maximum(density(mix) * g * depth - yield_stress_pa(mix), 0.0) / viscosity_pa_s
        return float(np.trapezoid(shear, depth))

    assert slides(0.99 * yield_layer_m(mix)) == 0.0
    assert slides(1.01 * yield_layer_m(mix)) > 0.0


def test_more_stabiliser_keeps_a_ruffle_and_a_layer():
    """Common practice: stabiliser keeps shape, and slows what has melted."""
    plain, stabilised = replace(HOUSE, stab=0.1, overrun=0.6), replace(HOUSE, stab=0.4, overrun=0.6)
    assert lets_go(stabilised) < lets_go(plain)
    assert yield_layer_m(stabilised) > yield_layer_m(plain)


def test_first_drip_of_eighteen_lots_lies_in_the_band_of_a_mix_like_them():
    """Akademik Gıda 23(2), 2025, abstract: 18 lots of one kind of ice cream, first drip after 3 to 38 min, middle 10.7.
    The middle lies inside the band of a mix like them (regular), and the band is wide enough for half of them: their
    logarithms taken for normal, with the range that 18 of such show (3.64 standard deviations, Tippett 1925)."""
    drip = changes(mixes()["regular"], -18.0, ROOM).first_drip_s
    slump = changes(mixes()["regular"], -18.0, ROOM).slump_s
    book = (drip / 6, drip / 2, drip, slump)
    early, _, late = spread_changes(np.outer(book, np.exp(Belief().band("regular")))[None])[
        0, CHANGES.index("first drip")
    ]
    assert early < 10.7 * 60 < late
    lots = NormalDist(np.log(10.7 * 60), np.log(38 / 3) / 3.64)
    assert lots.cdf(np.log(late)) - lots.cdf(np.log(early)) >= 0.5
