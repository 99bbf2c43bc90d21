"""The edge of a scoop: how long the ruffle takes, by quadrature.

The ruffle is a thin plate heated on both faces and uniform inside: rho d dH/dt = q. In constant surroundings the
time between two enthalpies is the integral of rho d dH / q, so nothing is stepped.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from studiotimer.thermal.air import heat_flux
from studiotimer.thermal.form import Form, ball
from studiotimer.thermal.material import material
from studiotimer.thermal.mix import Mix
from studiotimer.thermal.surroundings import Surroundings

WIDTH_M = 0.065  # own rule: what a usual scoop draws, until the shot says its own
EDGE_M = 0.0012  # half-thickness, own rule: a ruffle of 2.4 mm, until the plan says its own
USUAL_FORM = ball(WIDTH_M)
_STRIDE = 16  # cells of the material to one of the clock, in which dH/dt is linear

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class _Branch:
    """One way, up or down, toward equilibrium; the rate of enthalpy is linear between the nodes `h` (ascending)."""

    h: Floats
    rate: Floats
    slope: Floats
    clock: Floats

    @staticmethod
    def along(h: Floats, rate: Floats) -> _Branch:
        """Return the branch that climbs from `h[0]` while `rate` [J/(kg s)] stays above 0."""
        stops = np.nonzero(rate <= 0.0)[0]
        count = int(stops[0]) if stops.size else h.size
        low, high = rate[: max(count - 1, 0)], rate[1:count]
        change = (high - low) / low if low.size else low
        near = np.abs(change) < 1e-9
        safe = np.where(near, 1.0, change)
        spans = np.diff(h[:count]) / low * np.where(near, 1.0, np.log1p(safe) / safe)
        clock = np.concatenate([[0.0], np.cumsum(spans)]) if count else np.empty(0)
        return _Branch(h, rate, np.diff(rate) / np.diff(h), clock)

    def _cell(self, nodes: Floats, values: Floats) -> NDArray[np.intp]:
        """Return in which cells of `nodes` the values are; the last is that which holds the equilibrium."""
        last = min(self.clock.size, self.slope.size) - 1
        return np.asarray(np.minimum(np.maximum(nodes.searchsorted(values, side="right") - 1, 0), last))

    def clock_at(self, h: Floats) -> Floats:
        """Return this branch's clock at enthalpies `h`: infinite at and past equilibrium."""
        i = self._cell(self.h, h)
        past, rate, slope = h - self.h.take(i), self.rate.take(i), self.slope.take(i)
        change = slope * past / rate
        span = np.divide(past, rate, out=np.empty(i.shape))
        with np.errstate(divide="ignore"):
            np.divide(np.log1p(np.maximum(change, -1.0)), slope, out=span, where=np.abs(change) >= 1e-9)
        return np.asarray(self.clock.take(i) + span)

    def at(self, clock: Floats) -> Floats:
        """Return the enthalpy when this branch's clock reads `clock`."""
        i = self._cell(self.clock, clock)
        slope, span = self.slope.take(i), np.subtract(clock, self.clock.take(i), out=np.empty(i.shape))
        exponent = np.minimum(slope * span, 50.0)
        np.divide(np.expm1(exponent), slope, out=span, where=np.abs(exponent) >= 1e-9)
        return np.asarray(self.h.take(i) + self.rate.take(i) * span)


@dataclass(frozen=True, slots=True, eq=False)
class EdgeClock:
    """The edge of one mix in constant surroundings: where a time brings it, and how long a change takes.

    rho d dH/dt = q(T_s), so t = integral of rho d dH / q; `rests_from` [J/kg] and `rests_to` [J/kg] bound where q is 0.
    Own rule: uniform inside, since its Biot number h d / k is below about 0.1 in a studio, 0.2 in a strong draught.
    """

    warming: _Branch
    cooling: _Branch
    rests_from: float
    rests_to: float

    def advance(self, h: ArrayLike, seconds: ArrayLike) -> Floats:
        """Return the enthalpy [J/kg] that `h` [J/kg] becomes after `seconds` [s]; arrays broadcast.

        Where the integral of rho d dH / q from h reaches that time: the class's definition turned round.
        """
        start, span = _alike(h, seconds)
        result = start.copy()
        up, down = start < self.rests_from, start > self.rests_to
        if up.any():
            moved = self.warming.at(self.warming.clock_at(start[up]) + span[up])
            result[up] = np.clip(moved, start[up], self.rests_from)
        if down.any():
            moved = -self.cooling.at(self.cooling.clock_at(-start[down]) + span[down])
            result[down] = np.clip(moved, self.rests_to, start[down])
        return result

    def before(self, target: float, seconds: float) -> float:
        """Return the enthalpy [J/kg] that becomes `target` [J/kg] in `seconds` [s].

        `advance` backward: the class's definition. Where none does, the coldest that warms there, or the warmest that
        cools there.
        """
        if self.rests_from <= target <= self.rests_to:
            return target
        way, branch = (1.0, self.warming) if target < self.rests_from else (-1.0, self.cooling)
        reads = float(branch.clock_at(np.array([way * target]))[0]) - seconds
        return way * float(branch.at(np.array([max(reads, 0.0)]))[0])

    def seconds_to(self, h: ArrayLike, target: ArrayLike) -> Floats:
        """Return the seconds [s] until the edge has taken up heat to `target` [J/kg] from `h` [J/kg]; arrays broadcast.

        The class's integral, by definition. 0 where it is already there, infinite where it never comes.
        """
        start, wanted = np.asarray(h, dtype=float), np.asarray(target, dtype=float)
        there, comes = start >= wanted, wanted < self.rests_from
        if not (comes & ~there).any():
            return np.where(there, 0.0, np.inf)
        return _after(self.warming, start, wanted, there, comes)

    def seconds_above(self, h: ArrayLike, target: ArrayLike) -> Floats:
        """Return the seconds [s] for which the edge stays at or above `target` [J/kg] from `h` [J/kg]; arrays
        broadcast.

        The class's integral, by definition, on the way down. 0 where it is below already, infinite where it never cools
        so far.
        """
        start, wanted = np.asarray(h, dtype=float), np.asarray(target, dtype=float)
        below, comes = start < wanted, (start > self.rests_to) & (wanted > self.rests_to)
        if not (comes & ~below).any():
            return np.where(below, 0.0, np.inf)
        return _after(self.cooling, -start, -wanted, below, comes)


def _after(
    branch: _Branch, start: Floats, wanted: Floats, there: NDArray[np.bool_], comes: NDArray[np.bool_]
) -> Floats:
    """Return the time on a branch from `start` to `wanted`: 0 where it is `there` already, infinite unless it `comes`.

    Each is read before they broadcast: one goal, or one edge, may be asked for with many.
    """
    with np.errstate(invalid="ignore"):
        span = branch.clock_at(wanted) - branch.clock_at(start)
    return np.where(there, 0.0, np.where(comes, np.maximum(span, 0.0), np.inf))


def _alike(*values: ArrayLike) -> tuple[Floats, ...]:
    """Return `values` [any unit], each with the shape that all of them broadcast to, by definition.

    Numpy's own way there takes longer than what is done with them.
    """
    arrays = [np.asarray(one, dtype=float) for one in values]
    blank = sum(np.zeros(one.shape) for one in arrays)
    return tuple(np.asarray(one + blank) for one in arrays)


@lru_cache(maxsize=1024)
def edge_clock(mix: Mix, around: Surroundings, form: Form = USUAL_FORM, edge_m: float = EDGE_M) -> EdgeClock:
    """Return the edge's clock: its form, and the half-thickness `edge_m` [m] of its ruffle or corner.

    t = integral of rho d dH / q, q by `air.heat_flux`, d = edge_m: the lumped capacity [1] of a plate heated on both
    faces. Between nodes of H, dH/dt is linear, so that each span is a logarithm.

    References
    ----------
    .. [1] F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer (memory).
    """
    table = material(mix)
    h = table.enthalpies[::_STRIDE]
    rate = heat_flux(table.temperature_c[::_STRIDE], around, form.along_m, form.flow) / (table.density * edge_m)
    warming = _Branch.along(h, rate)
    cooling = _Branch.along(-h[::-1], -rate[::-1])
    return EdgeClock(warming, cooling, _end(warming), -_end(cooling))


def _end(branch: _Branch) -> float:
    """Return the enthalpy at which a branch ends, where its rate falls to 0."""
    count = branch.clock.size
    if count == 0:
        return float(branch.h[0])
    if count == branch.h.size:
        return float(branch.h[-1])
    low, high = branch.rate[count - 1], branch.rate[count]
    return float(branch.h[count - 1] + (branch.h[count] - branch.h[count - 1]) * low / (low - high))
