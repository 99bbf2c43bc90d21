"""The batch solver: it conserves heat, batches agree with single scoops, and a state can be carried on."""

from dataclasses import replace

import numpy as np
import pytest

from studiotimer.mixes import mixes
from studiotimer.thermal.air import heat_flux
from studiotimer.thermal.body import (
    RINGS,
    Case,
    Piece,
    _Batch,
    _grid,
    _summed,
    advance_bodies,
    mean_enthalpy,
    slump_times,
    start_body,
    surfaces,
)
from studiotimer.thermal.form import ball
from studiotimer.thermal.grid import Grid
from studiotimer.thermal.horizon import HORIZON_S
from studiotimer.thermal.material import material
from studiotimer.thermal.properties import density
from studiotimer.thermal.surroundings import cold_store, room
from studiotimer.thermal.tridiagonal import Tridiagonal

ROOM = room(22.0, 0.45, 5.0)


def cases():
    return [
        Case(mix, ball(width), start_body(mix, start), pieces, ROOM)
        for mix in mixes().values()
        for width, start, pieces in (
            (0.065, -18.0, ()),
            (0.05, -12.0, (Piece(cold_store(-40.0), 900.0), Piece(ROOM, 60.0))),
        )
    ]


def test_a_batch_agrees_with_single_scoops():
    together = slump_times(cases())
    alone = [slump_times([case])[0] for case in cases()]
    assert together == pytest.approx(alone, rel=1e-9)


def test_a_state_carried_on_agrees_with_one_go():
    mix = mixes()["premium"]
    pieces = (Piece(cold_store(-40.0), 600.0), Piece(ROOM, 90.0))
    whole = slump_times([Case(mix, ball(0.065), start_body(mix, -16.0), pieces, ROOM)])[0]
    (state,) = advance_bodies([Case(mix, ball(0.065), start_body(mix, -16.0), pieces)])
    assert state.shape == (RINGS,)
    assert slump_times([Case(mix, ball(0.065), state, (), ROOM)])[0] == pytest.approx(whole, rel=1e-6)


def test_heat_balance():
    """What the scoop holds more is what came in through its surface, here integrated every second."""
    mix, width, seconds = mixes()["regular"], 0.065, 400
    state = start_body(mix, -18.0)
    surface = [state[-1]]
    first = mean_enthalpy(state, ball(width))
    for _ in range(seconds):
        (state,) = advance_bodies([Case(mix, ball(width), state, (Piece(ROOM, 1.0),))])
        surface.append(state[-1])
    flux = heat_flux(material(mix).temperature(np.array(surface)), ROOM, width)
    came = float(np.trapezoid(flux)) * 3 / (width / 2) / density(mix)
    assert mean_enthalpy(state, ball(width)) - first == pytest.approx(came, rel=1e-3)


def test_start_is_not_changed():
    mix = mixes()["regular"]
    state = start_body(mix, -18.0)
    advance_bodies([Case(mix, ball(0.065), state, (Piece(ROOM, 50.0),))])
    assert np.all(state == start_body(mix, -18.0))


def test_no_cases_and_no_pieces():
    mix = mixes()["regular"]
    assert slump_times([]).size == 0
    (state,) = advance_bodies([Case(mix, ball(0.065), start_body(mix, -18.0))])
    assert np.all(state == start_body(mix, -18.0))


def test_volumes_fill_the_sphere():
    assert float(np.sum(_grid((3.0,)).volume)) == pytest.approx(1 / 3)


@pytest.mark.parametrize("n", [4, 6, 32])
def test_tridiagonal(n):
    random = np.random.default_rng(n)
    below, above = random.uniform(-1, 1, (2, n - 1, 3))
    diagonal = random.uniform(2.5, 4, (n, 3))
    right = random.uniform(-1, 1, (n, 3))
    found = Tridiagonal(below, diagonal, above).solve(right)
    for j in range(3):
        full = np.diag(diagonal[:, j]) + np.diag(below[:, j], -1) + np.diag(above[:, j], 1)
        assert full @ found[:, j] == pytest.approx(right[:, j], abs=1e-12)


def test_rows_are_summed_all_of_them_however_many_there_are():
    for count in range(1, 26):
        rows = np.random.default_rng(count).random((count, 3))
        assert _summed(rows) == pytest.approx(rows.sum(axis=0))


@pytest.mark.parametrize(
    ("name", "width", "start", "around"),
    [("gelato", 0.09, -25.0, room(16.0, 0.3, 0.0)), ("nonfat", 0.065, -18.0, room(30.0, 0.7, 600.0))],
)
def test_a_slump_is_that_of_finer_rings_and_shorter_steps(name, width, start, around):
    """In the calm and dark, where steps grow long, and in a hot light, where a thin layer lets go: 160 rings."""
    case = Case(mixes()[name], ball(width), start_body(mixes()[name], start), (), around)
    finer = replace(case, state=np.full(160, case.state[0]))
    grid = Grid.stretched(160, 104, 1.01, 1.06, 3.0)
    assert slump_times([case]) == pytest.approx(_Batch([finer], HORIZON_S, grid, 50.0).run()[1], rel=4e-3)


def test_a_surface_is_told_from_the_beginning_to_the_end_of_every_piece():
    mix = mixes()["regular"]
    pieces = Piece(ROOM, 70.0), Piece(cold_store(-40.0), 200.0), Piece(ROOM, 30.5)
    (state,) = advance_bodies([Case(mix, ball(0.065), start_body(mix, -18.0), (Piece(ROOM, 300.0),))])
    case = Case(mix, ball(0.065), state, pieces)
    ((seconds, surface),) = surfaces([case])
    assert (seconds[0], surface[0]) == (0.0, state[-1])
    assert state[-1] > state[1]
    assert np.all(np.diff(seconds) > 0.0)
    for count, end in ((1, 70.0), (2, 270.0), (3, 300.5)):
        (there,) = advance_bodies([replace(case, pieces=pieces[:count])])
        place = int(np.argmin(np.abs(seconds - end)))
        assert (seconds[place], surface[place]) == pytest.approx((end, there[-1]))
    assert seconds[-1] == pytest.approx(300.5)
    assert surfaces([]) == []
