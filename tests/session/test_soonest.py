"""The first of several ends: the distribution of a minimum, against draws."""

import math

import numpy as np
import pytest

from studiotimer.session.countdowns import Band
from studiotimer.session.soonest import OWN_SD, first_of


def band(likely, spread=0.3, began=0.0):
    span = likely - began
    return Band(began + span * math.exp(-1.2816 * spread), likely, began + span * math.exp(1.2816 * spread))


def test_one_alone_is_as_it_is():
    assert first_of([band(200.0)], [0.0]) == band(200.0)
    assert first_of([band(200.0), Band(math.inf, math.inf, math.inf)], [0.0, 0.0]).likely == 200.0


@pytest.mark.parametrize("ends", [[200.0, 200.0], [200.0, 200.0, 200.0], [150.0, 220.0, 300.0], [180.0, 190.0]])
def test_the_median_of_the_first_is_that_of_draws(ends):
    """Independent normals of each one's own part: order statistics, by 400,000 draws."""
    draws = np.random.default_rng(5).standard_normal((400_000, len(ends))) * OWN_SD * np.array(ends) + np.array(ends)
    first = first_of([band(end) for end in ends], [0.0] * len(ends))
    assert first.likely == pytest.approx(float(np.median(draws.min(axis=1))), abs=0.3)
    assert first.early < first.likely < first.late
    assert first.likely <= min(ends) + 1e-6


def test_one_that_was_seen_to_end_is_the_first():
    seen = Band(100.0, 100.0, 100.0)
    assert first_of([seen, band(300.0)], [0.0, 0.0]).likely == pytest.approx(100.0, abs=0.01)
