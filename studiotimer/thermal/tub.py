"""A tub in a freezer: how long until it is at the freezer's temperature all through.

A round tub is a finite cylinder, a rectangular one a block, every face exposed at 8 W/(m2 K). Conduction with freezing
as in the scoop, explicit in time on an eighth (or a quarter) of the tub. 24 h at least is common practice.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from studiotimer.thermal.material import POINTS, Material, material
from studiotimer.thermal.mix import Mix

FACE_W_M2K = 8.0  # own rule: still air in a freezer, with radiation
WITHIN_K = 1.0  # own rule: as near as a freezer holds its own setting
LEAST_H = 24.0  # common practice
LONGEST_H = 90 * 24.0  # longer than any plan asks

_SPACING_M = 0.007  # own rule: hours are within 0.5 % of an independent build's
_LEAST_NODES, _MOST_NODES = 7, 14
_STEPS_A_LOOK = 16  # own rule: a look costs as much as some steps
_SAFETY = 0.9  # below the step at which an explicit scheme begins to swing

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Tub:
    """Inner sizes of a tub.

    `across_m` [m] and `depth_m` [m], and `along_m` [m] when it is rectangular (else round).
    """

    across_m: float
    depth_m: float
    along_m: float | None = None


@dataclass(frozen=True, slots=True)
class _Axis:
    """From the middle out: conduction [1/m2] of each node toward both sides, and surface over volume [1/m]."""

    inward: Floats
    outward: Floats
    surface: float

    @staticmethod
    def of(half: float, nodes: int, round_: bool) -> _Axis:
        place = np.linspace(0.0, half, nodes)
        face = np.concatenate([[0.0], (place[1:] + place[:-1]) / 2, [half]])
        area = face if round_ else np.ones_like(face)
        volume = np.diff(face**2) / 2 if round_ else np.diff(face)
        between = area[1:-1] / np.diff(place)
        return _Axis(between / volume[1:], between / volume[:-1], float(area[-1] / volume[-1]))


def tempering_hours(mix: Mix, tub: Tub, delivered_c: float, freezer_c: float) -> float:
    """Return the hours [h] until no point of the tub is more than 1 K from the freezer; infinite past 90 days.

    rho dH/dt = div(grad Theta), Theta the integral of k dT [1], and 8 W/(m2 K) (own rule) at every face, from
    `delivered_c` [°C] all through to `freezer_c` [°C]; explicit in time.

    References
    ----------
    .. [1] H. S. Carslaw and J. C. Jaeger, Conduction of Heat in Solids, Oxford, 1959.
    """
    round_ = tub.along_m is None
    halves = [tub.across_m / 2, tub.depth_m / 2] + ([] if tub.along_m is None else [tub.along_m / 2])
    nodes = [int(np.clip(round(half / _SPACING_M) + 1, _LEAST_NODES, _MOST_NODES)) for half in halves]
    axes = [_Axis.of(half, n, round_ and i == 0) for i, (half, n) in enumerate(zip(halves, nodes, strict=True))]
    table = material(mix)
    h = np.full(nodes, float(table.enthalpy(delivered_c)))
    goal = float(table.enthalpy(freezer_c))
    dt = _SAFETY / _fastest(table, axes, min(h.flat[0], goal), max(h.flat[0], goal))
    clock, off = 0.0, abs(delivered_c - freezer_c)
    while off > WITHIN_K:
        if clock > LONGEST_H * 3600.0:
            return float(np.inf)
        for _ in range(_STEPS_A_LOOK):
            h += dt * _rate(table, axes, h, freezer_c)
        clock += _STEPS_A_LOOK * dt
        before, off = off, float(np.max(np.abs(table.temperature(h) - freezer_c)))
    if clock == 0.0:
        return 0.0
    return (clock - _STEPS_A_LOOK * dt * (WITHIN_K - off) / (before - off)) / 3600.0


def advised_hours(model_h: float) -> float:
    """Return the hours [h] to plan: max(`model_h` [h], 24 h); 24 h at least is common practice."""
    return max(model_h, LEAST_H)


def _rate(table: Material, axes: list[_Axis], h: Floats, around_c: float) -> Floats:
    """Return dH/dt [J/(kg s)] at every node."""
    place = (h - table.first) / table.step
    i = place.astype(np.intp)
    share = place - i
    theta = table.theta[i]
    theta += share * (table.theta[i + 1] - theta)
    warmth = table.temperature_c[i]
    warmth += share * (table.temperature_c[i + 1] - warmth)
    rate = np.zeros_like(h)
    for number, axis in enumerate(axes):
        along, change = theta.swapaxes(number, -1), rate.swapaxes(number, -1)
        flow = along[..., 1:] - along[..., :-1]
        change[..., :-1] += axis.outward * flow
        change[..., 1:] -= axis.inward * flow
        change[..., -1] += axis.surface * FACE_W_M2K * (around_c - warmth.swapaxes(number, -1)[..., -1])
    return rate / table.density


def _fastest(table: Material, axes: list[_Axis], low: float, high: float) -> float:
    """Return the fastest rate [1/s] at which a node between two enthalpies can answer its neighbours."""
    first = max(int((low - table.first) / table.step) - 1, 0)
    last = min(int((high - table.first) / table.step) + 2, POINTS - 1)
    conduction = float(np.max(np.diff(table.theta[first : last + 1]))) / table.step
    warming = float(np.max(np.diff(table.temperature_c[first : last + 1]))) / table.step
    total = 0.0
    for axis in axes:
        within = np.append(axis.outward, 0.0) + np.insert(axis.inward, 0, 0.0)
        faces = np.append(np.zeros(within.size - 1), axis.surface * FACE_W_M2K)
        total += float(np.max(within * conduction + faces * warming))
    return total / table.density
