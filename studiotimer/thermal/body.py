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
from studiotimer.thermal.criteria import targets
from studiotimer.thermal.grid import Grid
from studiotimer.thermal.horizon import HORIZON_S
from studiotimer.thermal.lookup import Tables
from studiotimer.thermal.material import POINTS, material, uniform_enthalpy
from studiotimer.thermal.mix import Mix
from studiotimer.thermal.surroundings import Surroundings

RINGS = 40

Floats = NDArray[np.float64]

_OUTER = 26  # the outer fifth of the radius, where a layer softens: thin rings hold its front
_GROWTH, _INNER_GROWTH = 1.04, 1.25  # each ring's thickness over that of the one outside it
_GAMMA = 1 - np.sqrt(0.5)
_TOLERANCE = 400.0  # J/kg in a step
_FIRST_STEP_S = 0.3
_SAFETY, _LEAST, _MOST = 0.9, 0.2, 4.0
_NUDGE_C = 0.01
_NEAR = 0.7  # of the slump's layer: a step from there on is short enough to read the slump off within it
_TILT = 1e-9  # keeps the front findable in a mix without sugars, which melts at one temperature
_SURROUNDINGS = ("air_c", "walls_c", "humidity_ratio", "absorbed_w_m2", "draught_m_s", "pressure_pa")
_OWN = ("inside", "outside", "width", "softened", "front", "limit", "soft", "scale", "origin", "dt", "left", "clock")
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


GRID = Grid.stretched(RINGS, _OUTER, _GROWTH, _INNER_GROWTH)


def start_body(mix: Mix, t_c: float) -> Floats:
    """Return the state of a scoop uniform at `t_c` [°C], shape (RINGS,)."""
    return np.full(RINGS, uniform_enthalpy(mix, t_c))


def mean_enthalpy(state: Floats) -> float:
    """Return the mean enthalpy [J/kg] of a state over the scoop's volume."""
    return float(state @ GRID.volume * 3.0)


def advance_bodies(cases: Sequence[Case]) -> list[Floats]:
    """Return each scoop's state after its pieces, shape (RINGS,) each."""
    return _Batch(cases, 0.0).run()[0] if cases else []


def slump_times(cases: Sequence[Case], horizon_s: float = HORIZON_S) -> Floats:
    """Return the seconds in its last surroundings until each scoop slumps, shape (len(cases),).

    It slumps when its softened layer, as volume over surface area, is as thick as its mix can carry (`criteria`). 0
    where it already has, infinite where it does not within `horizon_s`.
    """
    return _Batch(cases, horizon_s).run()[1] if cases else np.empty(0)


class _Batch:
    """Scoops under way, one column each; a column whose scoop is done rests until enough of them are let go."""

    def __init__(
        self, cases: Sequence[Case], horizon_s: float, grid: Grid = GRID, tolerance: float = _TOLERANCE
    ) -> None:
        self.grid, self.tolerance = grid, tolerance
        self.plans = [_plan(case, horizon_s) for case in cases]
        mixes = list(dict.fromkeys(case.mix for case in cases))
        tables = [material(mix) for mix in mixes]
        self.tables = Tables(tables)
        which = [mixes.index(case.mix) for case in cases]
        goals = [targets(mix) for mix in mixes]
        softened = [max(goal.softened, table.first) for goal, table in zip(goals, tables, strict=True)]
        c = np.zeros(len(cases), dtype=_COLUMN)
        radius = np.array([case.width_m / 2 for case in cases])
        density = np.array([tables[i].density for i in which])
        c["scoop"] = np.arange(len(cases))
        c["offset"] = np.array(which, dtype=np.intp) * POINTS
        c["scale"] = [1.0 / tables[i].step for i in which]
        c["origin"] = [tables[i].first / tables[i].step for i in which]
        c["inside"] = 1.0 / (density * radius**2)
        c["outside"] = 1.0 / (density * radius * grid.volume[-1])
        c["width"] = 2 * radius
        c["softened"] = [softened[i] for i in which]
        c["front"] = self.tables.conduction(c["softened"], c)[0]
        c["limit"] = 3.0 * np.array([goals[i].layer_m for i in which]) / radius
        self.c = c
        self.alive = np.ones(len(cases), dtype=bool)
        self.h = np.stack([case.state for case in cases], axis=1)
        self.theta, self.slope = self.tables.conduction(self.h, c)
        self.surface, self.surface_slope = self.tables.temperature(self.h[-1], c)
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
        self.theta, self.slope = self.theta[:, kept], self.slope[:, kept]
        self.surface, self.surface_slope = self.surface[kept], self.surface_slope[kept]
        self.alive = np.ones(self.c.size, dtype=bool)

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
            column["soft"] = self._softened(self.h[:, [j]], self.theta[:, [j]], self.c[[j]])[0]
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
        inside, outside, width, around = c["inside"], c["outside"], c["width"], _around(c)
        flux, nudged = heat_flux(np.stack([self.surface, self.surface + _NUDGE_C]), around, width)
        rise = self.surface_slope * (nudged - flux) / _NUDGE_C
        pace = _GAMMA * dt
        system = self.grid.implicit(self.slope, pace * inside, pace * outside * rise)
        first = system.solve(self.grid.rate(self.theta, inside, outside * flux))
        middle = dt * first
        middle += h
        theta, slope = self.tables.conduction(middle, c)
        surface, surface_slope = self.tables.temperature(middle[-1], c)
        rate = self.grid.rate(theta, inside, outside * heat_flux(surface, around, width))
        rate -= 2.0 * first
        change = system.solve(rate)
        change += first
        change *= dt / 2
        error = np.sqrt(np.einsum("ij,ij->j", change, change) / len(h)) / self.tolerance
        next_dt = dt * np.minimum(np.maximum(_SAFETY / np.sqrt(np.maximum(error, 1e-8)), _LEAST), _MOST)
        good = (error <= 1.0) & self.alive
        # a step that fell over a bend of the curve is tried again with the steeper slope beyond it
        self.slope = np.where(good, self.slope, np.maximum(self.slope, slope))
        self.surface_slope = np.where(good, self.surface_slope, np.maximum(self.surface_slope, surface_slope))
        middle += change
        self._accept(middle, dt, next_dt, good)

    def _accept(self, new: Floats, dt: Floats, next_dt: Floats, good: NDArray[np.bool_]) -> None:
        """Take the good steps, stopping at a slump, and start the next pieces where one has ended."""
        c = self.c
        c["dt"] = next_dt
        theta, slope = self.tables.conduction(new, c)
        surface, surface_slope = self.tables.temperature(new[-1], c)
        soft = c["soft"]
        if np.any(soft >= 0.0):
            grown = np.where(soft >= 0.0, self._softened(new, theta, c), -np.inf)
            for j in np.nonzero(good & (grown >= c["limit"]))[0].tolist():
                share = float((c["limit"][j] - soft[j]) / (grown[j] - soft[j]))
                good[j] = False
                if soft[j] < _NEAR * c["limit"][j]:
                    c["dt"][j] = dt[j] * min(max(share, 0.2), 0.9)
                else:
                    self._finish(j, c["clock"][j] + share * dt[j])
            c["soft"] = np.where(good, grown, soft)
        np.copyto(self.h, new, where=good)
        np.copyto(self.theta, theta, where=good)
        np.copyto(self.slope, slope, where=good)
        np.copyto(self.surface, surface, where=good)
        np.copyto(self.surface_slope, surface_slope, where=good)
        moved = np.where(good, dt, 0.0)
        c["clock"] += moved
        c["left"] -= moved
        for j in np.nonzero(good & (c["left"] <= 1e-9))[0].tolist():
            self._next_piece(j)

    def _softened(self, h: Floats, theta: Floats, c: Any) -> Floats:
        above = theta - c["front"] + _TILT * (h - c["softened"])
        return self.grid.softened(above) if np.any(above >= 0.0) else np.zeros(h.shape[1])


def _around(c: Any) -> Any:
    return SimpleNamespace(**{name: c[name] for name in _SURROUNDINGS})


def _plan(case: Case, horizon_s: float) -> list[tuple[Surroundings, float, bool]]:
    plan = [(piece.surroundings, piece.seconds, False) for piece in case.pieces if piece.seconds > 0.0]
    if case.last is not None and horizon_s > 0.0:
        plan.append((case.last, horizon_s, True))
    return plan
