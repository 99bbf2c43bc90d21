"""Tables and grids that many bodies share, read against what they were made of."""

import numpy as np
import pytest

from studiotimer.mixes import mixes
from studiotimer.thermal.air import heat_flux, sphere_forced
from studiotimer.thermal.depression import _DEPRESSION, sucrose_equivalent
from studiotimer.thermal.form import ball, block
from studiotimer.thermal.grid import Grid
from studiotimer.thermal.lookup import conduction_place, conduction_tables, flux_place, flux_tables
from studiotimer.thermal.material import material
from studiotimer.thermal.melting import graded, liquid_m, second_order
from studiotimer.thermal.properties import _DENSITY
from studiotimer.thermal.surroundings import cold_store, room

MATERIALS = [material(mixes()[name]) for name in ("premium", "sorbet", "superpremium")]
NUMBERS = np.array([2, 0, 1, 0])


def enthalpies(share):
    """Return an enthalpy of each scoop that lies so far along its mix's table."""
    return np.array([np.quantile(MATERIALS[one].enthalpies, share) for one in NUMBERS])


@pytest.mark.parametrize("share", [0.0, 0.0001, 0.37, 0.5012, 0.8123, 1.0])
def test_conduction_is_read_of_each_scoops_own_mix(share):
    h = enthalpies(share)
    values, slopes = conduction_tables(MATERIALS).read(h, conduction_place(MATERIALS, NUMBERS))
    own = [np.interp(one, MATERIALS[n].enthalpies, MATERIALS[n].theta) for one, n in zip(h, NUMBERS, strict=True)]
    assert values == pytest.approx(own, rel=1e-6, abs=1e-9)
    for slope, one, n in zip(slopes, h, NUMBERS, strict=True):
        table = MATERIALS[n]
        cell = min(int((one - table.first) / table.step + 1e-6), table.theta.size - 2)
        ahead = np.diff(table.theta)[cell : cell + 25].max() / table.step
        assert slope == pytest.approx(ahead, rel=1e-6), "the steepest of 24 cells ahead"


def test_beyond_its_ends_a_table_goes_on_as_its_last_cell_does():
    table = MATERIALS[0]
    place = conduction_place([table], np.array([0]))
    read = conduction_tables([table]).read
    for h, cell in ((table.enthalpies[0] - 5 * table.step, 0), (table.enthalpies[-1] + 5 * table.step, -2)):
        rise = np.diff(table.theta)[cell if cell == 0 else -1]
        wanted = table.theta[cell if cell == 0 else -1] + (-5 if cell == 0 else 5) * rise
        assert read(np.array([h]), place)[0] == pytest.approx([wanted], rel=1e-6)


def test_the_heat_that_reaches_a_surface_is_read_of_its_own_mix_form_and_room():
    """Against `heat_flux` at the temperature its enthalpy has; between every fourth cell of the material on a line."""
    faces = [(ball(0.065), room(22.0, 0.45, 600.0)), (block(0.02, 0.06, 0.1), cold_store(-18.0))]
    surfaces = [(MATERIALS[0], *faces[0]), (MATERIALS[1], *faces[1]), (MATERIALS[0], *faces[1])]
    tables = flux_tables(surfaces)
    kinds, which = np.array([0, 1, 0]), np.array([0, 1, 2])
    for share in (0.1, 0.33, 0.7):
        h = np.array([np.quantile(MATERIALS[one].enthalpies, share) for one in kinds])
        values, slopes = tables.read(h, flux_place(conduction_place(MATERIALS, kinds), which))
        for value, slope, one, (table, form, around) in zip(values, slopes, h, surfaces, strict=True):
            flux = float(heat_flux(table.temperature(one), around, form.along_m, form.flow))
            assert value == pytest.approx(flux, rel=2e-3, abs=0.2)
            after = float(heat_flux(table.temperature(one + 4 * table.step), around, form.along_m, form.flow))
            assert slope <= (after - flux) / (4 * table.step) * 0.9 + 1e-12, "no rise is taken for steeper than it is"


@pytest.mark.parametrize("exponent", [1.0, 2.0, 3.0])
def test_a_grid_holds_a_body_whole_and_keeps_its_heat(exponent):
    grid = Grid.stretched(24, 12, 1.05, 1.3, exponent)
    assert grid.nodes[0] == 0.0
    assert grid.nodes[-1] == 1.0
    assert grid.volume.sum() == pytest.approx(1.0 / exponent)
    thickness = np.diff(grid.nodes[:, 0])[::-1]
    assert thickness[1:12] / thickness[:11] == pytest.approx(np.full(11, 1.05))
    assert thickness[14:] / thickness[13:-1] == pytest.approx(np.full(thickness.size - 14, 1.3))
    theta = np.random.default_rng(1).random((grid.nodes.size, 1))
    rate = grid.rate(theta, np.ones(1), 0.0)
    assert (rate * grid.volume).sum() == pytest.approx(0.0, abs=1e-9), "what leaves a ring comes to the next"


@pytest.mark.parametrize("exponent", [1.0, 2.0, 3.0])
def test_heat_flows_as_the_equation_has_it(exponent):
    """r^(1-E) d/dr (r^(E-1) dTheta/dr) of Theta = r² is 2 E everywhere inside."""
    grid = Grid.stretched(240, 240, 1.0, 1.0, exponent)
    theta = grid.nodes**2
    rate = grid.rate(theta, np.full(1, 3.0), 0.0)[1:-1]
    assert rate == pytest.approx(np.full(rate.shape, 3.0 * 2 * exponent), rel=2e-3)


@pytest.mark.parametrize("exponent", [1.0, 2.0, 3.0])
@pytest.mark.parametrize("front", [0.31, 0.75, 0.999])
def test_what_is_soft_is_what_lies_outside_the_front(exponent, front):
    """Theta on a straight line that is over the softening point outside r: the share 1 - r^E of the body's volume."""
    grid = Grid.stretched(24, 12, 1.05, 1.3, exponent)
    assert grid.softened(grid.nodes - front) == pytest.approx([1.0 - front**exponent])
    assert grid.softened(grid.nodes * 0.0 - 1.0) == pytest.approx([0.0])
    assert grid.softened(front - grid.nodes) == pytest.approx([front**exponent])


@pytest.mark.parametrize("front", [0.0, 0.13, 0.5, 0.99])
def test_liquid_is_as_thick_as_what_is_past_the_front(front):
    """Of nodes unevenly apart, each as far past as the front is away: what lies on its side, to the metre."""
    nodes = np.array([0.0, 0.1, 0.15, 0.4, 0.8, 1.0])
    over = np.stack([front - nodes, nodes - front], axis=1)
    between = np.diff(nodes)[:, None]
    assert liquid_m(over, between) == pytest.approx([front, 1.0 - front])
    assert liquid_m(np.full((6, 1), -1.0), between) == pytest.approx([0.0])
    assert liquid_m(np.full((6, 1), 1.0), between) == pytest.approx([1.0])


@pytest.mark.parametrize(("dt", "last"), [(0.2, None), (0.2, 0.2), (0.3, 0.1), (0.1, 0.4)])
def test_a_step_of_second_order_is_exact_for_a_parabola(dt, last):
    """Of t²: what the new state, the one now and the one before come to is the step times the rate at its end."""
    new, now, before = second_order(dt, last)
    at = 1.7

    def left(y):
        return new * y(at + dt) - now * y(at) - before * y(at - (last or 0.0))

    assert left(lambda t: 5.0) == pytest.approx(0.0)
    assert left(lambda t: 3.0 * t) == pytest.approx(dt * 3.0)
    if last is not None:
        assert left(lambda t: t**2) == pytest.approx(dt * 2.0 * (at + dt))


@pytest.mark.parametrize(("span", "first", "growth"), [(0.01, 2e-5, 1.2), (0.05, 3e-5, 1.06), (1e-5, 2e-5, 1.2)])
@pytest.mark.parametrize("rest", [None, 0, 1])
def test_cells_grow_evenly_from_a_first_that_is_thin_enough(span, first, growth, rest):
    faces = graded(span, first, growth, rest)
    cells = np.diff(faces)
    assert (faces[0], faces[-1]) == (0.0, pytest.approx(span))
    assert cells[0] <= first * (1 + 1e-9)
    assert cells[1:] == pytest.approx(growth * cells[:-1])
    assert rest is None or cells.size % 2 == rest
    fewer = (
        span * (growth - 1.0) / (growth ** (cells.size - 1 - (rest is not None)) - 1.0) if cells.size > 2 else np.inf
    )
    assert fewer > first * (1 - 1e-9), "no more of them than that takes"


@pytest.mark.parametrize("exponent", [1.0, 2.0, 3.0])
@pytest.mark.parametrize(("place", "wide"), [(8, 0.07), (12, 0.04), (12, 0.11)])
def test_a_soft_ring_with_hard_ice_inside_and_outside_counts_as_itself(exponent, place, wide):
    grid = Grid.stretched(24, 12, 1.05, 1.3, exponent)
    middle = float(grid.nodes[place, 0])
    found = grid.softened(wide - np.abs(grid.nodes - middle))
    assert found == pytest.approx([(middle + wide) ** exponent - (middle - wide) ** exponent])


def test_freezing_falls_evenly_with_sugar():
    """What is read of a table of measured values has no kink: each step is as steep as the last within a tenth."""
    steps = np.diff(_DEPRESSION)
    assert (steps > 0.0).all()
    assert np.abs(np.diff(steps)).max() < 0.1


@pytest.mark.parametrize(
    ("recipe", "wanted"),
    [((10, 0, 0, 0, 42, 0), 5.45), ((0, 10, 0, 0, 42, 0), 7.65), ((0, 0, 10, 0, 42, 0), 10.0), ((0, 0, 0, 10, 42, 0), 7.98),
     ((0, 0, 0, 0, 42, 10), 19.0), ((10, 2, 12, 4, 36, 3), 5.45 + 1.53 + 12 + 2.736 + 5.7)],
)  # fmt: skip
def test_sugars_and_salts_count_as_so_much_sucrose(recipe, wanted):
    """By hand: 0.545 of milk solids, 0.765 of whey, 1.9 of dextrose and of the part that corn syrup has of it."""
    assert sucrose_equivalent(*recipe) == pytest.approx(wanted)


@pytest.mark.parametrize(
    ("part", "wanted"),
    [("protein", 1319.53), ("fat", 917.24), ("carbohydrate", 1592.89), ("ash", 2418.19), ("water", 995.74)],
)
def test_densities_at_20_degrees(part, wanted):
    """Choi and Okos 1986 at 20 °C, by hand [kg/m3] (memory)."""
    constant, slope, curve = _DENSITY[part]
    assert constant + slope * 20.0 + curve * 400.0 == pytest.approx(wanted, abs=0.02)


@pytest.mark.parametrize(("reynolds", "nusselt"), [(0.0, 2.0), (100.0, 7.352), (2500.0, 28.763)])
def test_a_ball_in_a_draught(reynolds, nusselt):
    """Ranz and Marshall 1952 (memory), by hand: 2 + 0.6 Re^(1/2) Pr^(1/3) of air, Pr = 0.71."""
    assert float(sphere_forced(reynolds, 0.71)) == pytest.approx(nusselt, abs=0.002)
