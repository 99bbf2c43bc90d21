"""The edge's clock against stepping the same equation, both ways toward equilibrium."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from studiotimer.mixes import mixes
from studiotimer.thermal.air import heat_flux
from studiotimer.thermal.edge import EDGE_M, WIDTH_M, edge_clock
from studiotimer.thermal.material import material
from studiotimer.thermal.properties import density
from studiotimer.thermal.surroundings import carrying, chilled, cold_store, room

MIX = mixes()["premium"]
PLACES = {
    "room": room(22.0, 0.45, 5.0),
    "carrying": carrying(room(22.0, 0.45)),
    "cold air": chilled(room(22.0, 0.45), -20.0),
    "box": cold_store(-40.0),
    "freezer": cold_store(-12.0),
}


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("start", [-30.0, -16.0, -4.0])
def test_advance_against_scipy(place, start):
    """The plate's own equation through scipy's LSODA at rtol 1e-8."""
    around, table = PLACES[place], material(MIX)
    thickness = density(MIX) * EDGE_M

    def rate(_, h):
        return heat_flux(table.temperature(h), around, WIDTH_M) / thickness

    h0 = float(table.enthalpy(start))
    times = np.array([0.0, 5.0, 60.0, 300.0, 1500.0])
    stepped = solve_ivp(rate, (0.0, 1500.0), [h0], t_eval=times, method="LSODA", rtol=1e-8, atol=1e-2).y[0]
    found = edge_clock(MIX, around).advance(h0, times)
    assert table.temperature(found) == pytest.approx(table.temperature(stepped), abs=0.05)
    assert float(edge_clock(MIX, around).advance(h0, 0.0)) == pytest.approx(h0)


def test_there_and_seconds_agree():
    clock = edge_clock(MIX, PLACES["room"])
    table = material(MIX)
    start, goal = table.enthalpy(-16.0), table.enthalpy([-12.0, -6.0, -3.0])
    seconds = clock.seconds_to(start, goal)
    assert np.all(np.diff(seconds) > 0)
    assert clock.advance(start, seconds) == pytest.approx(goal, abs=1.0)


def test_passed_and_never():
    clock = edge_clock(MIX, PLACES["freezer"])
    table = material(MIX)
    assert float(clock.seconds_to(table.enthalpy(-8.0), table.enthalpy(-10.0))) == 0.0
    assert float(clock.seconds_to(table.enthalpy(-16.0), table.enthalpy(-5.0))) == np.inf


def test_rest_is_approached_and_not_passed():
    clock = edge_clock(MIX, PLACES["freezer"])
    table = material(MIX)
    for start in (-30.0, -5.0):
        end = table.temperature(clock.advance(table.enthalpy(start), 1e7))
        assert float(end) == pytest.approx(-12.0, abs=0.05)
