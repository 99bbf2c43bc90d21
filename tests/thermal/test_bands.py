"""The band of each look holds what it says, whatever the looks' order does to one another."""

import math

import numpy as np
import pytest

from studiotimer.thermal.bands import CHANGES, spread_changes
from studiotimer.thermal.learn import BAND, MIX_SD, RESIDUAL_SD, SCOOP_SD, SET_SD, Belief, seen_sd

BOOKS = {
    "superpremium": (62.8, 171.0, 275.7, 708.0),
    "economy": (81.8, 313.9, 1332.0, 2274.0),
    "a slump that brings the drip": (60.0, 100.0, 400.0, 400.0),
    "all close together": (90.0, 100.0, 110.0, 120.0),
}


def truths(chance, book, count=20_000):
    """What scoops really do: each with its own tau, and a residual in each look; none before the one it waits for."""
    tau = chance.normal(0, math.hypot(SET_SD, MIX_SD, SCOOP_SD), count)
    sheen, edges, drip, slump = (
        seconds * np.exp(tau + chance.normal(0, max(RESIDUAL_SD[look], 1e-12), count))
        for look, seconds in zip(CHANGES, book, strict=True)
    )
    edges = np.maximum(edges, sheen)
    slump = np.maximum(slump, edges)
    return np.array([sheen, edges, np.minimum(np.maximum(drip, edges), slump), slump])


def banded(book):
    return spread_changes(np.outer(book, np.exp(Belief().band("a")))[None])[0]


@pytest.mark.parametrize("book", BOOKS.values(), ids=BOOKS)
def test_the_band_holds_eight_in_ten_of_each_look(book):
    bands = banded(book)
    real = truths(np.random.default_rng(3), book)
    held = np.mean((bands[:, :1] <= real) & (real <= bands[:, 2:]), axis=1)
    assert held == pytest.approx(0.8, abs=0.03)


def test_the_middle_is_the_model_s_and_the_looks_stay_in_order():
    for book in BOOKS.values():
        bands = banded(book)
        assert bands[:, 1] == pytest.approx(book)
        assert np.all(np.diff(bands, axis=1) >= 0)
        assert np.all(np.diff(bands[[0, 1, 3]], axis=0) >= -1e-9)
        assert np.all(bands[2] >= bands[1] - 1e-9)
        assert np.all(bands[2] <= bands[3] + 1e-9)


def test_sheen_is_sharp_and_a_drip_is_not():
    """10 and 90 % of sheen by hand: tau and the scoop's own; a drip's, of a mix whose looks lie far apart."""
    sheen, edges, drip, _ = banded((10.0, 100.0, 1000.0, 50_000.0))
    for band, own in ((sheen, 0.0), (edges, 0.10), (drip, 0.40)):
        sd = math.hypot(SET_SD, MIX_SD, SCOOP_SD, own)
        assert np.log(band / band[1]) == pytest.approx([-1.2816 * sd, 0.0, 1.2816 * sd], abs=0.045)


def test_what_has_passed_and_what_never_comes():
    taus = np.exp(Belief().band("a"))
    passed, never = spread_changes(
        np.array([np.outer([0.0, 0.0, 90.0, 300.0], taus), [[60, 80, 100], *[[np.inf] * 3] * 3]])
    )
    assert np.all(passed[:2] == 0.0)
    assert 0.0 < passed[2, 0] < 90.0 < passed[2, 2]
    assert np.all(np.isinf(never[1:]))
    late = spread_changes(np.array([[[60, 80, 100], [90, 120, np.inf], [100, np.inf, np.inf], [np.inf] * 3]]))[0]
    assert math.isinf(late[1, 2])
    assert late[1, 0] <= 90.0
    assert math.isinf(late[2, 1])
    assert not np.any(np.isnan(late))


def test_an_observation_s_error_by_hand():
    assert seen_sd("sheen", 60.0) == pytest.approx(math.sqrt(0.15**2 + 0.05**2 + 0.10**2))
    assert seen_sd("first drip", 300.0) == pytest.approx(math.sqrt(0.15**2 + 0.01**2 + 0.40**2 + 0.10**2))
    assert seen_sd("edges", 0.0) < 3.1
    assert tuple(BAND) == (0.10, 0.50, 0.90)


def test_a_look_that_has_passed_where_all_is_quick_comes_at_once_on_one_day_in_ten_and_evenly_from_there():
    """Sheen has no part of its own: with tau's 10 % point at 0 it has passed there, and in no draw sooner than that."""
    (sheen, *_) = spread_changes(np.array([[[0.0, 600.0, 1200.0], *[[np.inf] * 3] * 3]]))[0]
    assert sheen[:2] == pytest.approx([0.0, 600.0], abs=12.0)
    (later, *_) = spread_changes(np.array([[[0.0, 600.0, 2400.0], *[[np.inf] * 3] * 3]]))[0]
    assert later[:2] == pytest.approx(sheen[:2])
    assert later[2] > sheen[2] > 1100.0
