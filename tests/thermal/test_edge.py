"""The edge's clock against stepping the same equation, both ways toward equilibrium."""

import math

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp

from studiotimer.mixes import mixes
from studiotimer.thermal.air import heat_flux
from studiotimer.thermal.criteria import targets
from studiotimer.thermal.drain import drips_in
from studiotimer.thermal.edge import EDGE_M, WIDTH_M, _Branch, _end, edge_clock
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
def test_equilibrium_and_what_lies_past_it_never_come(place):
    clock = edge_clock(MIX, PLACES[place])
    past = np.array([10.0, 1e3, 1e5])
    assert np.all(np.isposinf(clock.warming.clock_at(clock.rests_from + past)))
    assert np.all(np.isposinf(clock.cooling.clock_at(-clock.rests_to + past)))
    assert np.all(np.isfinite(clock.warming.clock_at(clock.rests_from - past)))


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


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("target_c", [-20.0, -11.0, -5.0])
def test_before_is_where_an_edge_comes_from_whether_it_warms_or_cools_to_there(place, target_c):
    """By `advance`, which is held against scipy; what no edge comes from is the end of the mix's own table."""
    clock, table = edge_clock(MIX, PLACES[place]), material(MIX)
    target = float(table.enthalpy(target_c))
    there = [clock.before(target, seconds) for seconds in (0.0, 20.0, 60.0, 1e6)]
    ends = table.enthalpies[0], table.enthalpies[-1]
    warms = target < clock.rests_from
    assert there[0] == pytest.approx(target, abs=1.0)
    assert np.all((np.diff(there) <= 0.0) if warms else (np.diff(there) >= 0.0))
    assert there[-1] == pytest.approx(ends[0] if warms else ends[1])
    for h, seconds in zip(there[1:3], (20.0, 60.0), strict=True):
        if h not in (pytest.approx(ends[0]), pytest.approx(ends[1])):
            assert float(clock.advance(h, seconds)) == pytest.approx(target, abs=1.0)


def test_what_rests_was_there_before():
    clock = edge_clock(MIX, PLACES["freezer"])
    rests = (clock.rests_from + clock.rests_to) / 2.0
    assert clock.before(rests, 300.0) == pytest.approx(rests, abs=1.0)
    assert float(clock.advance(clock.before(rests, 300.0), 300.0)) == pytest.approx(rests, abs=1.0)


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


@pytest.mark.parametrize("rate", [[1.0, 2.0, 4.0, 9.0], [3.0, 3.0, 3.0, 3.0], [9.0, 4.0, 2.0, -1.0]])
def test_the_clock_of_an_edge_is_the_time_at_its_rates_and_is_read_back(rate):
    """The rate is linear between its nodes: the time to an enthalpy is the integral of 1 / rate."""
    h, rate = np.array([0.0, 1.0, 2.5, 3.0]), np.array(rate)
    branch = _Branch.along(h, rate)
    for reached in (0.4, 1.0, 2.0, 2.6):
        fine = np.linspace(0.0, reached, 20_001)
        seconds = np.trapezoid(1.0 / np.interp(fine, h, rate), fine)
        assert float(branch.clock_at(np.array(reached))) == pytest.approx(seconds, rel=1e-5)
        assert float(branch.at(np.array(seconds))) == pytest.approx(reached, rel=1e-5)


@pytest.mark.parametrize(
    ("rate", "end"),
    [([2.0, 1.0, -1.0], 1.5), ([2.0, 1.0, 0.5], 2.0), ([-1.0, -1.0, -1.0], 0.0), ([3.0, -1.0, 4.0], 0.75)],
)
def test_an_edge_rests_where_its_rate_falls_to_nothing(rate, end):
    h = np.array([0.0, 1.0, 2.0])
    assert _end(_Branch.along(h, np.array(rate))) == pytest.approx(end)


def test_how_long_an_edge_stays_above_is_how_long_it_cools_to_there():
    clock, table = edge_clock(MIX, PLACES["freezer"]), material(MIX)
    warm, wanted, rest = (float(table.enthalpy(t)) for t in (-5.0, -8.0, -30.0))
    seconds = clock.seconds_above([warm, wanted, warm], [wanted, warm, rest])
    assert 0.0 < seconds[0] < np.inf
    assert float(clock.advance(warm, seconds[0])) == pytest.approx(wanted, rel=1e-4)
    assert seconds[1:].tolist() == [0.0, np.inf], "below already, and colder than the place is"


def test_what_has_drained_already_is_not_waited_for_again():
    goals, clock = targets(MIX), edge_clock(MIX, PLACES["room"])
    running = goals.runs + 100.0
    drained = [0.0, 10.0, goals.drains_s, goals.drains_s + 5.0]
    assert drips_in(clock, goals, running, drained, 0.0) == pytest.approx(
        [goals.drains_s, goals.drains_s - 10.0, 0.0, 0.0]
    )
    before = float(drips_in(clock, goals, goals.runs - 500.0, 0.0, 70.0))
    assert before == pytest.approx(70.0 + goals.drains_s)


def test_a_branch_whose_rate_falls_evenly_goes_as_an_exponential_to_where_it_rests():
    """dh/dt = 4 - 2 h, by hand: h = 2 (1 - e^(-2 t)), which comes to 2 and never there."""
    nodes = np.arange(4.0)
    branch = _Branch.along(nodes, 4.0 - 2.0 * nodes)
    times = np.array([0.0, 0.1, 0.3, math.log(2.0) / 2, 0.8, 3.0])
    heights = 2.0 * (1.0 - np.exp(-2.0 * times))
    assert branch.at(times) == pytest.approx(heights)
    assert branch.clock_at(heights) == pytest.approx(times)
    assert branch.clock_at(np.array([2.0])) == np.inf
    assert _end(branch) == pytest.approx(2.0)


@pytest.mark.parametrize("rate", [[2.0, 2.0, 2.0, 2.0], [1.0, 3.0, 1.0, 2.0]])
def test_a_branch_takes_as_long_as_the_integral_of_one_over_its_rate(rate):
    """By scipy's quadrature, of a rate on straight lines between its nodes."""
    nodes = np.array([0.0, 1.0, 3.0, 4.0])
    branch = _Branch.along(nodes, np.array(rate))
    for h in (0.5, 1.0, 2.2, 3.9, 4.0):
        took, _ = quad(lambda x: 1.0 / np.interp(x, nodes, rate), 0.0, h, points=[1.0, 3.0])
        assert branch.clock_at(np.array([h])) == pytest.approx([took], rel=1e-6)
        assert branch.at(np.array([took])) == pytest.approx([h], rel=1e-6)
    assert _end(branch) == 4.0


def test_a_branch_that_rests_at_its_first_node_goes_nowhere():
    assert _end(_Branch.along(np.arange(3.0), np.array([-1.0, -2.0, -3.0]))) == 0.0
