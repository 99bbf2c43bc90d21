"""What foot and sauce have in common: tables read anywhere, liquid between nodes, BDF2's weights, graded cells."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from studiotimer.mixes import mixes
from studiotimer.thermal.material import POINTS, material
from studiotimer.thermal.melting import graded, liquid_m, look_up, second_order


def test_a_table_is_read_between_its_points_from_the_first_to_the_last():
    """Against numpy's own interpolation, and past both ends along the line of the first cell and of the last."""
    table = material(mixes()["regular"])
    points = table.first + table.step * np.arange(POINTS)
    squares = np.arange(POINTS) ** 2.0
    at = np.array([0.0, 0.25, 1.0, 1.75, POINTS / 2 + 0.5, POINTS - 2.5, POINTS - 1.5, POINTS - 1.0])
    found, slopes = look_up(table, squares, table.first + table.step * at)
    assert found == pytest.approx(np.interp(table.first + table.step * at, points, squares), rel=1e-6)
    assert slopes[[0, 1, 3, 6]] * table.step == pytest.approx([1.0, 1.0, 3.0, 2.0 * POINTS - 3.0])
    below, above = look_up(table, squares, table.first + table.step * np.array([-2.0, POINTS]))[0]
    assert (below, above) == pytest.approx((-2.0, squares[-1] + 2.0 * POINTS - 3.0))


def test_liquid_is_measured_to_where_it_begins_between_two_nodes():
    """By hand, of nodes 1 and 3 mm apart: all, none, from outside to a quarter, from inside, one that lies at it."""
    over = np.array([[1.0, -1.0, 1.0, -2.0, 0.0], [2.0, -1.0, -3.0, 2.0, -1.0], [1.0, -1.0, -1.0, 2.0, -1.0]])
    between = np.array([[1e-3], [3e-3]])
    assert liquid_m(over, between) == pytest.approx([4e-3, 0.0, 0.25e-3, 3.5e-3, 0.0])


@given(st.floats(0.01, 10.0), st.floats(0.2, 5.0), st.tuples(*[st.floats(-3.0, 3.0)] * 3))
def test_a_step_of_second_order_is_exact_on_a_parabola(dt, ratio, parts):
    """Whatever the step before was: c0 + c1 t + c2 t² has the rate c1 at t = 0, where the new state is."""
    last = dt / ratio
    new, now, before = second_order(dt, last)
    states = [parts[0] + parts[1] * t + parts[2] * t * t for t in (0.0, -dt, -dt - last)]
    assert new * states[0] - now * states[1] - before * states[2] == pytest.approx(dt * parts[1], rel=1e-9, abs=1e-9)
    new, now, before = second_order(dt, None)
    assert new * dt - now * 0.0 - before * 9.9 == pytest.approx(dt), "a line, without one before"


@given(st.floats(1e-4, 0.1), st.floats(0.01, 2.0), st.floats(1.01, 1.5), st.sampled_from([None, 0, 1]))
def test_cells_are_graded_from_a_first_no_thicker_than_asked(span, share, growth, rest):
    """As few as can be, or one more where their number is to be even, or odd."""
    first = span * share
    faces = graded(span, first, growth, rest)
    cells = np.diff(faces)
    assert (faces[0], faces[-1]) == (0.0, pytest.approx(span))
    assert cells[1:] / cells[:-1] == pytest.approx(np.full(cells.size - 1, growth))
    assert cells[0] <= first * (1 + 1e-9) or (cells.size == 1 and span <= first)
    assert rest is None or cells.size % 2 == rest
    fewer = cells.size - 1 if rest is None else cells.size - 2
    if fewer > 0:
        assert span * (growth - 1) / (growth**fewer - 1) > first * (1 - 1e-9)
