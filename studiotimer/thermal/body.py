"""The body of a scoop: conduction in a sphere with freezing, many scoops at once.

Each scoop is nested rings, thin near the surface, with enthalpy as the state. Between rings flows the difference of
the integral of conductivity over temperature (Kirchhoff). Time goes in linearly implicit steps of second order (ROS2:
Verwer, Spee, Blom and Hundsdorfer, SIAM J. Sci. Comput. 20, 1999), each scoop at its own pace.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from studiotimer.thermal.air import heat_flux
from studiotimer.thermal.criteria import SLUMP_M, targets
from studiotimer.thermal.material import POINTS, material
from studiotimer.thermal.mix import Mix
from studiotimer.thermal.surroundings import Surroundings
from studiotimer.thermal.tridiagonal import Tridiagonal

RINGS = 32
HORIZON_S = 3 * 3600.0

Floats = NDArray[np.float64]

_GROWTH = 1.13  # each ring's thickness over that of the one outside it
_GAMMA = 1 - np.sqrt(0.5)
_TOLERANCE = 600.0  # J/kg in a step
_FIRST_STEP_S = 0.3
_SAFETY, _LEAST, _MOST = 0.9, 0.2, 4.0
_NUDGE_C = 0.01
_EVENT_SHARE = 2e-3  # of the slump's layer: how near a step must end to it
_SURROUNDINGS = ("air_c", "walls_c", "humidity_ratio", "absorbed_w_m2", "draught_m_s", "pressure_pa")
_OWN = ("inside", "outside", "width", "softened", "front", "limit", "soft", "first", "step", "dt", "left", "clock")
_COLUMN = np.dtype([(name, float) for name in (*_OWN, *_SURROUNDINGS)] + [("scoop", np.intp), ("offset", np.intp)])


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of a scoop's history: what was around it, and for how many seconds."""

    surroundings: Surroundings
    seconds: float


@dataclass(frozen=True, slots=True, eq=False)
class Case:
    """A scoop to carry on: its mix, diameter [m], state, and what happens to it in order.

    `state` is enthalpies [J/kg] from the centre to the surface, shape (RINGS,); `pieces` come first, then it stays
    in `last` (which only `slump_times` needs).
    """

    mix: Mix
    width_m: float
    state: Floats
    pieces: tuple[Piece, ...] = ()
    last: Surroundings | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Grid:
    """Rings of a sphere of radius 1: node radii, volumes over 4 pi, conduction to the inner and the outer neighbour.

    All but `volume` are columns, shape (n, 1) and (n - 1, 1).
    """

    nodes: Floats
    volume: Floats
    to_inner: Floats
    to_outer: Floats

    @staticmethod
    def stretched(rings: int, growth: float) -> Grid:
        """Return an even number of rings, each thicker by `growth` than the one outside it."""
        depth = np.concatenate([[0.0], np.cumsum(growth ** np.arange(rings - 1.0))])
        radius = (1.0 - depth / depth[-1])[::-1]
        face = np.concatenate([[0.0], (radius[1:] + radius[:-1]) / 2, [1.0]])
        volume = np.diff(face**3) / 3.0
        between = face[1:-1] ** 2 / np.diff(radius)
        return Grid(radius[:, None], volume, (between / volume[:-1])[:, None], (between / volume[1:])[:, None])


GRID = Grid.stretched(RINGS, _GROWTH)


def start_body(mix: Mix, t_c: float) -> Floats:
    """Return the state of a scoop uniform at `t_c` [°C], shape (RINGS,)."""
    return np.full(RINGS, float(material(mix).enthalpy(t_c)))


def mean_enthalpy(state: Floats) -> float:
    """Return the mean enthalpy [J/kg] of a state over the scoop's volume."""
    return float(state @ GRID.volume * 3.0)


def advance_bodies(cases: Sequence[Case]) -> list[Floats]:
    """Return each scoop's state after its pieces, shape (RINGS,) each."""
    return _Batch(cases, 0.0).run()[0]


def slump_times(cases: Sequence[Case], horizon_s: float = HORIZON_S) -> Floats:
    """Return the seconds in its last surroundings until each scoop slumps, shape (len(cases),).

    Slump is a softened layer of 0.3 mm, as softened volume over surface area. 0 where it already has, infinite where
    it does not within `horizon_s`.
    """
    return _Batch(cases, horizon_s).run()[1]


class _Batch:
    """Scoops under way, one column each; a column whose scoop is done rests until enough of them are let go."""

    def __init__(
        self, cases: Sequence[Case], horizon_s: float, grid: Grid = GRID, tolerance: float = _TOLERANCE
    ) -> None:
        self.grid, self.tolerance = grid, tolerance
        self.plans = [_plan(case, horizon_s) for case in cases]
        mixes = list(dict.fromkeys(case.mix for case in cases))
        tables = [material(mix) for mix in mixes]
        if tables:
            self.temperature = np.concatenate([table.temperature_c for table in tables])
            self.theta = np.concatenate([table.theta for table in tables])
        which = [mixes.index(case.mix) for case in cases]
        softened = [max(targets(mix).softened, table.first) for mix, table in zip(mixes, tables, strict=True)]
        c = np.zeros(len(cases), dtype=_COLUMN)
        radius = np.array([case.width_m / 2 for case in cases])
        density = np.array([tables[i].density for i in which])
        c["scoop"] = np.arange(len(cases))
        c["offset"] = np.array(which, dtype=np.intp) * POINTS
        c["first"] = [tables[i].first for i in which]
        c["step"] = [tables[i].step for i in which]
        c["inside"] = 1.0 / (density * radius**2)
        c["outside"] = 1.0 / (density * radius * grid.volume[-1])
        c["width"] = 2 * radius
        c["softened"] = [softened[i] for i in which]
        c["front"] = self._conduction(c["softened"], c)[0]
        c["limit"] = 3.0 * SLUMP_M / radius
        self.c = c
        self.alive = np.ones(len(cases), dtype=bool)
        self.h = np.stack([case.state for case in cases], axis=1) if cases else np.zeros((len(grid.volume), 0))
        self._look()
        self.states = [np.array(case.state) for case in cases]
        self.slumps = np.full(len(cases), np.inf)

    def run(self) -> tuple[list[Floats], Floats]:
        """Return all states and slump times."""
        for j in range(self.c.size):
            self._next_piece(j)
        self._compact()
        while np.any(self.alive):
            if np.count_nonzero(self.alive) < 0.8 * self.alive.size:
                self._compact()
            self._step()
        return self.states, self.slumps

    def _compact(self) -> None:
        """Let the resting columns go."""
        kept = self.alive
        self.c, self.h = self.c[kept], np.ascontiguousarray(self.h[:, kept])
        self._look()
        self.alive = np.ones(self.c.size, dtype=bool)

    def _look(self) -> None:
        """Read the tables at the state."""
        self.theta_now, self.slope = self._conduction(self.h, self.c)
        self.surface_slope = self._interpolated(self.temperature, self.h[-1], self.c)[1]

    def _next_piece(self, j: int) -> None:
        """Start the next piece of column `j`, or end it when there is none."""
        column = self.c[j]
        plan = self.plans[column["scoop"]]
        if not plan:
            self._finish(j)
            return
        around, seconds, watched = plan.pop(0)
        for name in _SURROUNDINGS:
            column[name] = getattr(around, name)
        column["left"], column["clock"], column["dt"] = seconds, 0.0, _FIRST_STEP_S
        column["soft"] = -np.inf
        if watched:
            column["soft"] = _softened(self.grid, self.h[:, [j]], self.theta_now[:, [j]], self.c[[j]])[0]
            if column["soft"] >= column["limit"]:
                self._finish(j, 0.0)

    def _finish(self, j: int, slump: float = np.inf) -> None:
        scoop = self.c["scoop"][j]
        self.states[scoop] = self.h[:, j].copy()
        self.slumps[scoop] = slump
        self.alive[j] = False

    def _step(self) -> None:
        """Carry every column on by its own step, or shorten the step where it was too long."""
        c, h = self.c, self.h
        dt = np.minimum(c["dt"], c["left"])
        surface = self._interpolated(self.temperature, h[-1], c)[0]
        flux = heat_flux(np.stack([surface, surface + _NUDGE_C]), _around(c), c["width"])
        rise = self.surface_slope * (flux[1] - flux[0]) / _NUDGE_C
        system = _system(self.grid, self.slope, _GAMMA * dt * c["inside"], _GAMMA * dt * c["outside"] * rise)
        first = system.solve(_rate(self.grid, self.theta_now, flux[0], c))
        middle = h + dt * first
        surface, surface_slope = self._interpolated(self.temperature, middle[-1], c)
        flux = heat_flux(surface, _around(c), c["width"])
        ahead, slope = self._conduction(middle, c)
        second = system.solve(_rate(self.grid, ahead, flux, c) - 2.0 * first)
        change = dt * (first + second) / 2
        error = np.sqrt(np.mean(change * change, axis=0)) / self.tolerance
        next_dt = dt * np.clip(_SAFETY / np.sqrt(np.maximum(error, 1e-8)), _LEAST, _MOST)
        good = (error <= 1.0) & self.alive
        # a step that fell over a kink of the curve is tried again with the steeper slope beyond it
        self.slope = np.where(good, self.slope, np.maximum(self.slope, slope))
        self.surface_slope = np.where(good, self.surface_slope, np.maximum(self.surface_slope, surface_slope))
        self._accept(middle + change, dt, next_dt, good)

    def _accept(self, new: Floats, dt: Floats, next_dt: Floats, good: NDArray[np.bool_]) -> None:
        """Take the good steps, stopping at a slump, and start the next pieces where one has ended."""
        c = self.c
        c["dt"] = next_dt
        theta, slope = self._conduction(new, c)
        soft = c["soft"]
        if np.any(soft >= 0.0):
            grown = np.where(soft >= 0.0, _softened(self.grid, new, theta, c), -np.inf)
            for j in np.nonzero(good & (grown >= c["limit"]))[0].tolist():
                share = float((c["limit"][j] - soft[j]) / (grown[j] - soft[j]))
                good[j] = False
                if grown[j] > c["limit"][j] * (1 + _EVENT_SHARE):
                    c["dt"][j] = dt[j] * min(max(share, 0.1), 0.95)
                else:
                    self._finish(j, c["clock"][j] + share * dt[j])
            c["soft"] = np.where(good, grown, soft)
        self.h = np.where(good, new, self.h)
        self.theta_now = np.where(good, theta, self.theta_now)
        self.slope = np.where(good, slope, self.slope)
        self.surface_slope = np.where(good, self._interpolated(self.temperature, new[-1], c)[1], self.surface_slope)
        moved = np.where(good, dt, 0.0)
        c["clock"] += moved
        c["left"] -= moved
        for j in np.nonzero(good & (c["left"] <= 1e-9))[0].tolist():
            self._next_piece(j)

    def _conduction(self, h: Floats, c: Any) -> tuple[Floats, Floats]:
        """Return the conduction integral [W/m] at `h`, and its slope."""
        return self._interpolated(self.theta, h, c)

    def _interpolated(self, table: Floats, h: Floats, c: Any) -> tuple[Floats, Floats]:
        """Return the table's value at `h` and its slope, going on linearly past its ends."""
        place = (h - c["first"]) / c["step"]
        i = np.clip(place, 0, POINTS - 2).astype(np.intp)
        at = i + c["offset"]
        low = table[at]
        rise = table[at + 1] - low
        return low + (place - i) * rise, rise / c["step"]


def _softened(grid: Grid, h: Floats, theta: Floats, c: Any) -> Floats:
    """Return the softened volume of each column, as a share of the sphere's, with the front between nodes."""
    soft = h >= c["softened"]
    if not np.any(soft):
        return np.zeros(h.shape[1])
    above = theta - c["front"]
    inner, outer = above[:-1], above[1:]
    crossed = soft[:-1] != soft[1:]
    share = np.where(crossed, inner / np.where(crossed, inner - outer, 1.0), 0.0)
    front = grid.nodes[:-1] + share * (grid.nodes[1:] - grid.nodes[:-1])
    low = np.where(soft[:-1], grid.nodes[:-1], front)
    high = np.where(soft[1:], grid.nodes[1:], front)
    return np.asarray(np.sum(np.where(soft[:-1] | soft[1:], high**3 - low**3, 0.0), axis=0))


def _around(c: Any) -> Any:
    return SimpleNamespace(**{name: c[name] for name in _SURROUNDINGS})


def _rate(grid: Grid, theta: Floats, flux: Floats, c: Any) -> Floats:
    """Return dH/dt [J/(kg s)] of every ring."""
    flow = np.diff(theta, axis=0) * c["inside"]
    rate = np.zeros_like(theta)
    rate[:-1] = grid.to_inner * flow
    rate[1:] -= grid.to_outer * flow
    rate[-1] += c["outside"] * flux
    return rate


def _system(grid: Grid, slope: Floats, pace: Floats, surface: Floats) -> Tridiagonal:
    """Return 1 - gamma dt J, J the Jacobian of `_rate`."""
    weighted = pace * slope
    diagonal = np.ones_like(slope)
    diagonal[:-1] += grid.to_inner * weighted[:-1]
    diagonal[1:] += grid.to_outer * weighted[1:]
    diagonal[-1] -= surface
    return Tridiagonal(-grid.to_outer * weighted[:-1], diagonal, -grid.to_inner * weighted[1:])


def _plan(case: Case, horizon_s: float) -> list[tuple[Surroundings, float, bool]]:
    plan = [(piece.surroundings, piece.seconds, False) for piece in case.pieces if piece.seconds > 0.0]
    if case.last is not None and horizon_s > 0.0:
        plan.append((case.last, horizon_s, True))
    return plan
