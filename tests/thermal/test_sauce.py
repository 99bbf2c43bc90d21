"""Sauce: bites from an independent build, and the pouring temperature advised."""

import pytest

from studiotimer.mixes import mixes
from studiotimer.thermal.sauce import DEEP_M, HARMLESS_M, advised_c, bite_m, bites_m

POURED = [10.0, 20.0, 30.0, 40.0, 60.0]


@pytest.mark.parametrize(
    ("name", "edge", "bites"),
    [("superpremium", -12.0, [0, 0.19, 0.47, 0.76, 1.29]), ("economy", -18.0, [0, 0.11, 0.37, 0.65, 1.18])],
)
def test_bites_of_an_independent_build(name, edge, bites):
    assert bites_m(mixes()[name], edge, POURED) * 1000 == pytest.approx(bites, rel=0.05)


def test_bite_on_a_ruffle():
    assert bite_m(mixes()["superpremium"], -12.0, 24.0) * 1000 == pytest.approx(0.36, rel=0.05)


@pytest.mark.parametrize(("edge", "advised"), [(-12.0, 24.0), (-8.0, 14.0), (-6.0, 7.0)])
def test_advised_on_a_half_space(edge, advised):
    assert advised_c(mixes()["superpremium"], edge, DEEP_M) == pytest.approx(advised, abs=0.7)


@pytest.mark.parametrize("edge", [-18.0, -12.0, -8.0])
def test_what_is_advised_is_harmless_and_a_degree_more_is_not(edge):
    mix = mixes()["regular"]
    advised = advised_c(mix, edge)
    assert bite_m(mix, edge, advised) <= HARMLESS_M
    assert advised == 60.0 or bite_m(mix, edge, advised + 1.0) > HARMLESS_M


def test_none_is_harmless_on_what_melts_already():
    assert advised_c(mixes()["superpremium"], -2.0) is None
