"""A closed pack: frost and dew on the outside of its wall, and when they show, bead and run.

The mix inside is a body like any other; between its surface and the air is the wall's resistance. What settles on the
wall goes by the heat and mass transfer analogy that a scoop's moisture has (`air`).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from studiotimer.thermal.air import dew_point, settling
from studiotimer.thermal.body import Case, Piece, advance_bodies, start_body
from studiotimer.thermal.form import Form
from studiotimer.thermal.horizon import HORIZON_S
from studiotimer.thermal.lookup import outer_c
from studiotimer.thermal.material import material
from studiotimer.thermal.mix import Mix
from studiotimer.thermal.surroundings import Surroundings

FROST_SHOWS_KG_M2 = 0.002
"""Own rule: some 20 micrometres of loose frost dull a printed wall."""
RUNS_KG_M2 = 0.1
"""Own rule: drops on an upright wall hold about a tenth of a millimetre of water before they run."""
_POINTS = 96
_FIRST_S = 2.0

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Sweat:
    """What settles on a pack's wall: seconds until frost shows, dew beads and dew runs, infinite where they do not.

    `times` [s], `wall_c` [°C] and `settled` [kg/m2] have shape (n,); `bare_above_c` is the frost or dew point.
    """

    frost_s: float
    dew_s: float
    runs_s: float
    bare_above_c: float
    times: Floats
    wall_c: Floats
    settled: Floats


def sweat(
    mix: Mix,
    form: Form,
    start_c: float,
    around: Surroundings,
    history: Sequence[Piece] = (),
    horizon_s: float = HORIZON_S,
) -> Sweat:
    """Return what settles on a closed pack that stands `around` with a dry wall, from uniform at `start_c` [°C]."""
    times = np.concatenate([[0.0], np.geomspace(_FIRST_S, horizon_s, _POINTS)])
    start = start_body(mix, start_c)
    states = advance_bodies([Case(mix, form, start, (*history, Piece(around, float(t)))) for t in times])
    inner = material(mix).temperature(np.array([state[-1] for state in states]))
    wall = outer_c(inner, form, around)
    return settled_on(times, wall, around, form)


def settled_on(times: ArrayLike, wall_c: ArrayLike, around: Surroundings, form: Form) -> Sweat:
    """Return what settles on a wall of temperatures `wall_c` [°C] at `times` [s]; it dries where it is warm enough."""
    t, wall = np.asarray(times, dtype=float), np.asarray(wall_c, dtype=float)
    rate = settling(wall, around, form.along_m, form.flow)
    mass = np.zeros_like(t)
    for i in range(1, t.size):
        mass[i] = max(mass[i - 1] + (rate[i - 1] + rate[i]) / 2 * (t[i] - t[i - 1]), 0.0)
    frozen = wall < 0.0
    return Sweat(
        _first(t, np.where(frozen, mass, 0.0), FROST_SHOWS_KG_M2),
        _thawed(t, wall, mass),
        _first(t, np.where(frozen, 0.0, mass), RUNS_KG_M2),
        dew_point(around.humidity_ratio, around.pressure_pa),
        t,
        wall,
        mass,
    )


def _first(times: Floats, values: Floats, wanted: float) -> float:
    """Return when `values` first come to `wanted`, between two times in proportion."""
    past = np.nonzero(values >= wanted)[0]
    if not past.size:
        return math.inf
    i = int(past[0])
    if i == 0 or values[i] == values[i - 1]:
        return float(times[i])
    return float(times[i - 1] + (times[i] - times[i - 1]) * (wanted - values[i - 1]) / (values[i] - values[i - 1]))


def _thawed(times: Floats, wall: Floats, mass: Floats) -> float:
    """Return when there is first something wet on a wall at or above 0 °C."""
    wet = np.nonzero((wall >= 0.0) & (mass > 0.0))[0]
    if not wet.size:
        return math.inf
    i = int(wet[0])
    if i == 0 or wall[i - 1] >= 0.0:
        return float(times[max(i - 1, 0)])
    return float(times[i - 1] + (times[i] - times[i - 1]) * -wall[i - 1] / (wall[i] - wall[i - 1]))
