"""What is around a scoop, from place to place."""

from dataclasses import replace

import numpy as np
import pytest

from studiotimer.thermal.air import humidity_ratio
from studiotimer.thermal.plate import _conduction
from studiotimer.thermal.surroundings import Surroundings, carrying, chilled, cold_store, pulling, room

LIT = room(22.0, 0.45, 600.0, 0.1, 95_000.0)


@pytest.mark.parametrize(("place", "draught_m_s"), [(pulling, 0.2), (carrying, 0.5)])
def test_in_the_hand_and_on_the_way_air_moves_as_it_is_told_and_no_lamp_shines(place, draught_m_s):
    assert place(LIT) == replace(LIT, absorbed_w_m2=0.0, draught_m_s=draught_m_s)


def test_a_cold_store_is_dark_still_and_saturated():
    assert cold_store(-18.0) == Surroundings(-18.0, -18.0, float(humidity_ratio(-18.0, 1.0)), 0.0, 0.0, 101_325.0)


@pytest.mark.parametrize(("air_c", "frozen_out"), [(-10.0, True), (20.0, False)])
def test_chilled_air_holds_no_more_than_it_can_and_the_walls_stay_warm(air_c, frozen_out):
    place = chilled(LIT, air_c)
    most = float(humidity_ratio(air_c, 1.0, 95_000.0))
    assert (place.air_c, place.walls_c) == (air_c, 22.0)
    assert place.humidity_ratio == (most if frozen_out else LIT.humidity_ratio)
    assert (place.absorbed_w_m2, place.draught_m_s, place.pressure_pa) == (600.0, 0.1, 95_000.0)


def test_what_leaves_a_cell_of_a_plate_comes_to_its_neighbours():
    """A chain of conductances: its matrix is symmetric, what it takes away adds to nothing, and only neighbours meet."""
    matrix = _conduction(np.array([2.0, 5.0, 1.0]))
    assert (matrix == matrix.T).all()
    assert matrix.sum(axis=0) == pytest.approx(np.zeros(4))
    assert np.diag(matrix, 1).tolist() == [-2.0, -5.0, -1.0]
    assert not np.triu(matrix, 2).any()
