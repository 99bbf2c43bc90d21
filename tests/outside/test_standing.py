"""What a scoop stands on, and sauce, against closed forms: contact of half-spaces, Neumann's melting, a disc."""

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import erf, erfc

from studiotimer.mixes import mixes
from studiotimer.thermal import foot, sauce
from studiotimer.thermal.foot import Base, Mesh
from studiotimer.thermal.material import POINTS, Material
from studiotimer.thermal.plate import Plate, Stuff
from studiotimer.thermal.sauce import Sauce

REGULAR = mixes()["regular"]
FINE = Mesh(mix_growth=1.05, step_growth=1.05, layer_growth=1.1, ring_growth=1.15)


@pytest.fixture
def made_of(monkeypatch):
    """Put a made-up substance, whose temperature runs through the points (h, t), in the mix's place."""

    def put(h, t, k, density, latent=None):
        grid = np.linspace(h[0], h[-1], POINTS)
        temperature = np.interp(grid, h, t)
        phi = np.zeros(POINTS) if latent is None else np.interp(grid, [0.0, latent], [1.0, 0.0])
        step = float(grid[1] - grid[0])
        substance = Material(REGULAR, density, float(h[0]), step, temperature, phi, phi, k * temperature)
        for module in (foot, sauce):
            monkeypatch.setattr(module, "material", lambda _: substance)
            monkeypatch.setattr(module, "uniform_enthalpy", lambda _, t_c: float(np.interp(t_c, t, h)))
            monkeypatch.setattr(module, "runs", lambda _: 0.5)

    return put


def plain(heat):
    return np.array([-100 * heat, 100 * heat]), np.array([-100.0, 100.0])


def effusivity(k, density, heat):
    return np.sqrt(k * density * heat)


@pytest.mark.parametrize(("k", "density", "heat"), [(2.0, 2750.0, 760.0), (1.0, 2500.0, 840.0), (14.9, 7900.0, 477.0)])
def test_two_half_spaces_touch_at_their_mean_by_effusivity(made_of, k, density, heat):
    """(e1 T1 + e2 T2) / (e1 + e2), e = sqrt(k rho c): Carslaw and Jaeger 1959, section 2.15. Within 0.1 K of 40."""
    made_of(*plain(3000.0), 0.5, 900.0)
    plate = Plate(Stuff("plate", k, density, heat), 0.09, 25.0)
    standing = foot._MixOnPlate(Base(REGULAR, -15.0, plate, 0.05, 25.0), foot.MESH)
    for _ in range(40):
        standing.advance(0.05)
    e1, e2 = effusivity(0.5, 900.0, 3000.0), effusivity(k, density, heat)
    touching = standing.table.temperature(standing.h[0, 0])
    assert float(touching) == pytest.approx((e1 * -15.0 + e2 * 25.0) / (e1 + e2), abs=0.1)


def neumann(hot, cold, k, density, heat, latent):
    """Return x of the front 2 x sqrt(alpha t): Carslaw and Jaeger 1959, section 11.2."""

    def balance(x):
        liquid = np.exp(-(x**2)) / erf(x)
        return liquid + cold / hot * np.exp(-(x**2)) / erfc(x) - x * latent * np.sqrt(np.pi) / (heat * hot)

    return brentq(balance, 1e-6, 5.0)


def test_melting_above_a_plate_that_stays_warm(made_of):
    """Neumann's solution of the Stefan problem: the layer within 1 %."""
    k, density, heat, latent, hot, cold = 0.5, 900.0, 2500.0, 150e3, 15.0, -10.0
    points = np.array([-40 * heat, 0.0, latent, latent + 60 * heat])
    made_of(points, np.array([-40.0, -0.02, 0.02, 60.0]), k, density, latent)
    plate = Plate(Stuff("very much of it", 1e5, 1e5, 1e4), 0.01, hot)
    times, depths = foot.melt(Base(REGULAR, cold, plate, 0.05, hot), 1.0, FINE, 60.0)
    x = neumann(hot, cold, k, density, heat, latent)
    assert depths[-1] == pytest.approx(2 * x * np.sqrt(k / density / heat * times[-1]), rel=0.01)


def test_a_disc_on_a_half_space(made_of):
    """A disc held warm on a half-space draws 4 k a dT (1 + 2 a / (pi^1.5 sqrt(alpha t))) when t is long.

    Carslaw and Jaeger 1959, section 8.2. Without the transient term it would be 7 to 9 % more than the formula gives.
    """
    made_of(np.array([-1e12, 1e12]), np.array([-100.0, 100.0]), 1e7, 1e6)
    k, heat_m3, a = 200.0, 2e6, 0.004
    plate = Plate(Stuff("half-space", k, 1000.0, heat_m3 / 1000.0), 0.09, 0.0)
    standing = foot._MixOnPlate(Base(REGULAR, 10.0, plate, a, 0.0), FINE)
    step = 1e-4
    at, held = [0.0], [0.0]
    while at[-1] < 6.0:
        standing.advance(step)
        at.append(at[-1] + step)
        held.append(np.pi * heat_m3 * float(np.sum(standing.modes.even * standing.plate)))
        step = max(step, 0.05 * at[-1])
    draws = np.diff(held) / np.diff(at)
    middle = (np.array(at[1:]) + np.array(at[:-1])) / 2
    for i in np.nonzero(middle > 3.0)[0]:
        exact = 4 * k * a * 10.0 * (1 + 2 * a / (np.pi**1.5 * np.sqrt(k / heat_m3 * middle[i])))
        assert draws[i] == pytest.approx(exact, rel=0.01)
        assert exact > 1.05 * 4 * k * a * 10.0


def test_sauce_and_mix_touch_at_their_mean_by_effusivity(made_of):
    """As two half-spaces, while neither's far side is felt; within 0.1 K of 45."""
    made_of(*plain(3000.0), 0.5, 900.0)
    columns = sauce._Columns(REGULAR, -15.0, [30.0, 60.0], 0.05, Sauce(layer_m=0.02))
    for _ in range(30):
        columns.advance(0.05)
    e1, e2 = effusivity(0.5, 900.0, 3000.0), effusivity(0.35, 1250.0, 2500.0)
    touching = columns.table.temperature(columns.state[columns.touch])
    assert touching == pytest.approx([(e1 * -15.0 + e2 * hot) / (e1 + e2) for hot in (30.0, 60.0)], abs=0.1)


def test_a_sauce_keeps_its_heat_within_itself_and_the_mix(made_of):
    """Energy: after long both are as warm as all the heat shared out among them."""
    made_of(*plain(3000.0), 0.5, 900.0)
    columns = sauce._Columns(REGULAR, -10.0, [40.0], 0.0024, sauce.SYRUP)
    for _ in range(200):
        columns.advance(5.0)
    of_sauce, of_mix = 1250 * 2500 * 0.002, 900 * 3000 * 0.0024
    shared = (of_sauce * 40.0 - of_mix * 10.0) / (of_sauce + of_mix)
    assert float(columns.state[0, 0]) == pytest.approx(shared, abs=0.02)


def test_sauce_melts_a_half_space_as_neumann(made_of, monkeypatch):
    """A sauce so thick and heavy that it stays as warm as it is poured: the bite within 1 %."""
    k, density, heat, latent, hot, cold = 0.5, 900.0, 2500.0, 150e3, 15.0, -10.0
    points = np.array([-40 * heat, 0.0, latent, latent + 60 * heat])
    made_of(points, np.array([-40.0, -0.02, 0.02, 60.0]), k, density, latent)
    monkeypatch.setattr(sauce, "_GROWTH", 1.03)
    columns = sauce._Columns(REGULAR, cold, [hot], 0.06, Sauce(0.01, 1e5, 1e5, 1e4))
    columns.melts = 0.0
    at, step = 0.0, 1e-3
    while at < 30.0:
        columns.advance(step)
        at += step
        step = max(step, 0.05 * at)
    x = neumann(hot, cold, k, density, heat, latent)
    assert float(columns.liquid()[0]) == pytest.approx(2 * x * np.sqrt(k / density / heat * at), rel=0.01)
