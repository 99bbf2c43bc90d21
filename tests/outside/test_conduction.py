"""Conduction against series, the Neumann solution and scipy's BDF."""

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import erf, erfc

from studiotimer.lamps import parse_light
from studiotimer.mixes import mixes
from studiotimer.thermal import body, lookup
from studiotimer.thermal.body import Case, Piece, slump_times, start_body
from studiotimer.thermal.form import ball
from studiotimer.thermal.grid import Grid
from studiotimer.thermal.material import POINTS, Material
from studiotimer.thermal.surroundings import chilled, cold_store, room
from tests.bdf import BdfBody

REGULAR = mixes()["regular"]
SOMEWHERE = room(20.0, 0.5)


def made_material(h, t, k, density):
    """Return a table of a made-up substance whose temperature runs through the points (h, t)."""
    grid = np.linspace(h[0], h[-1], POINTS)
    temperature = np.interp(grid, h, t)
    zero = np.zeros(POINTS)
    return Material(REGULAR, density, h[0], float(grid[1] - grid[0]), temperature, zero, zero, k * temperature)


BALL = body._grid((3.0,))


def run(monkeypatch, substance, flux, radius, seconds, grid, start_h, tolerance):
    monkeypatch.setattr(body, "material", lambda _: substance)
    monkeypatch.setattr(lookup, "heat_flux", lambda surface, *_: flux(surface))
    case = Case(REGULAR, ball(2 * radius), np.full(grid.volume.size, start_h), (Piece(SOMEWHERE, seconds),))
    return body._Batch([case], 0.0, grid, tolerance).run()[0][0]


@pytest.mark.parametrize("biot", [0.3, 1.0, 4.0])
@pytest.mark.parametrize("fourier", [0.1, 0.4, 1.0])
def test_cooling_of_a_sphere_with_constant_properties(monkeypatch, biot, fourier):
    """Carslaw and Jaeger, Conduction of Heat in Solids, 1959, section 9.4: sphere with a linear surface law."""
    k, density, heat, radius = 0.5, 800.0, 2500.0, 0.0325
    h = biot * k / radius
    substance = made_material(np.array([-1e5, 1e5]), np.array([-40.0, 40.0]), k, density)
    seconds = fourier * radius**2 * density * heat / k
    state = run(monkeypatch, substance, lambda t: h * (0.0 - t), radius, seconds, BALL, 20 * heat, 20.0)
    r = BALL.nodes[:, 0]
    roots = [
        brentq(lambda z: 1 - z / np.tan(z) - biot, n * np.pi + 1e-9, (n + 1) * np.pi - 1e-9, xtol=1e-13)
        for n in range(40)
    ]
    exact = np.zeros_like(r)
    for z in roots:
        weight = 4 * (np.sin(z) - z * np.cos(z)) / (2 * z - np.sin(2 * z))
        exact += weight * np.exp(-(z**2) * fourier) * np.sinc(z * r / np.pi)
    assert state / heat / 20 == pytest.approx(exact, abs=2e-3)


def test_melting_of_a_half_space(monkeypatch):
    """Neumann's solution of the Stefan problem (Carslaw and Jaeger 1959, section 11.2): front within 1 %."""
    k, density, heat, latent, hot, cold = 0.5, 900.0, 2500.0, 150e3, 15.0, -10.0
    points = np.array([-40 * heat, 0.0, latent, latent + 60 * heat])
    substance = made_material(points, np.array([-40.0, 0.0, 0.0, 60.0]), k, density)
    spread = k / density / heat

    def balance(x):
        liquid = np.exp(-(x**2)) / erf(x)
        return liquid + cold / hot * np.exp(-(x**2)) / erfc(x) - x * latent * np.sqrt(np.pi) / (heat * hot)

    x = brentq(balance, 1e-6, 5.0)
    radius, seconds = 20.0, 40_000.0
    grid = Grid.stretched(300, 300, 1.03, 1.03)
    state = run(monkeypatch, substance, lambda t: 1e5 * (hot - t), radius, seconds, grid, cold * heat, 500.0)
    depth = radius * (1 - grid.nodes[:, 0])
    t = substance.temperature(state)
    melted = np.nonzero(t > 0)[0][0]
    warm, warmer = t[melted], t[melted + 1]
    front = depth[melted] + (depth[melted] - depth[melted + 1]) * warm / (warmer - warm)
    assert front == pytest.approx(2 * x * np.sqrt(spread * seconds), rel=0.01)


@pytest.mark.parametrize("which", ["led", "tungsten", "history", "wide"])
def test_whole_body_against_bdf(which):
    """The same equations through scipy's BDF at rtol 1e-7 on 160 cells: slump within 0.5 %, of 90 mm within 1 %."""
    led = room(22.0, 0.45, parse_light("LED 2000 lx").absorbed("pale"))
    hot = room(24.0, 0.50, parse_light("tungsten 20000 lx").absorbed("pale"))
    pieces = (Piece(cold_store(-40.0), 1200.0), Piece(room(22.0, 0.45), 120.0))
    name, start, history, last = {
        "led": ("superpremium", -12.0, (), led),
        "tungsten": ("sorbet", -9.7, (), hot),
        "history": ("regular", -18.0, pieces, chilled(led, 10.0)),
        "wide": ("superpremium", -14.0, (), room(30.0, 0.70, 0.0, 0.5)),
    }[which]
    width, within = (0.09, 1e-2) if which == "wide" else (0.065, 5e-3)
    mix = mixes()[name]
    case = Case(mix, ball(width), start_body(mix, start), history, last)
    assert slump_times([case])[0] == pytest.approx(BdfBody(case).solve()[1], rel=within)
