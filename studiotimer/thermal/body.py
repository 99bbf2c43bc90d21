"""The body of a scoop, or of another form: conduction with freezing, many at once.

Each scoop is nested rings, thin near the surface, with enthalpy as the state. Between rings flows the difference of
the integral of conductivity over temperature (Kirchhoff). Time goes in linearly implicit steps of second order (ROS2:
Verwer, Spee, Blom and Hundsdorfer, SIAM J. Sci. Comput. 20, 1999), each scoop at its own pace.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass, fields
from functools import lru_cache
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from studiotimer.thermal.criteria import targets
from studiotimer.thermal.form import EDGE_AREAS, EDGE_RISES, Form
from studiotimer.thermal.grid import Grid
from studiotimer.thermal.horizon import HORIZON_S
from studiotimer.thermal.lookup import Place, conduction_place, conduction_tables, flux_place, flux_tables
from studiotimer.thermal.material import material, uniform_enthalpy
from studiotimer.thermal.mix import Mix
from studiotimer.thermal.surroundings import Surroundings

RINGS = 40  # own rule: slumps within 0.5 % of 160 cells, 1 % at 90 mm (`tests/outside/test_conduction.py`)

Floats = NDArray[np.float64]
Numbers = NDArray[np.intp]
Key = TypeVar("Key", bound=Hashable)

_OUTER = 26  # the outer fifth of the radius, where a layer softens: thin rings hold its front
_GROWTH, _INNER_GROWTH = 1.04, 1.25  # each ring's thickness over that of the one outside it
_GAMMA = 1 - np.sqrt(0.5)  # of ROS2, which is then L-stable: a stiff ring dies away, it does not ring
_TOLERANCE = 400.0  # J/kg in a step, own rule: some 0.1 K of hard-frozen mix, far less where it melts
_FIRST_STEP_S = 0.3  # own rule: one that is too long is taken again, shorter
_SAFETY, _LEAST, _MOST = 0.9, 0.2, 4.0
_NEAR = 0.7  # of the slump's layer: a step from there on is short enough to read the slump off within it
_TILT = 1e-9  # keeps the front findable in a mix without sugars, which melts at one temperature


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of a scoop's history: what was around it, and for how many `seconds` [s]."""

    surroundings: Surroundings
    seconds: float


@dataclass(frozen=True, slots=True, eq=False)
class Case:
    """A scoop to carry on: its mix, form, state, and what happens to it in order.

    `state` is enthalpies [J/kg] from the centre to the surface, shape (RINGS,); `pieces` come first, then it stays in
    `last` (which only `slump_times` needs).
    """

    mix: Mix
    form: Form
    state: Floats
    pieces: tuple[Piece, ...] = ()
    last: Surroundings | None = None


@lru_cache(maxsize=32)
def _grid(exponents: tuple[float, ...]) -> Grid:
    return Grid.stretched(RINGS, _OUTER, _GROWTH, _INNER_GROWTH, exponents)


def start_body(mix: Mix, t_c: float) -> Floats:
    """Return the state [J/kg] of a scoop uniform at `t_c` [°C], shape (RINGS,): H(t) in every ring, by definition."""
    return np.full(RINGS, uniform_enthalpy(mix, t_c))


def mean_enthalpy(state: Floats, form: Form) -> float:
    """Return the mean enthalpy [J/kg] of a `state` [J/kg], shape (RINGS,), over the volume of its body.

    A definition: E times the integral of H r^(E-1) dr from 0 to 1, E the form's exponent (`form`).
    """
    grid = _grid((form.exponent,))
    return float(state @ grid.volume[:, 0] * form.exponent)


def advance_bodies(cases: Sequence[Case]) -> list[Floats]:
    """Return each scoop's state [J/kg] after its pieces, shape (RINGS,) each.

    rho dH/dt = r^(1-E) d/dr (r^(E-1) dTheta/dr), Theta the integral of k dT (Kirchhoff's, [1]), and what reaches the
    surface is `air.heat_flux`; in time by ROS2 [2], steps whose error is under 400 J/kg (own rule: slumps are within
    0.5 % of a finer solver's, of a body of 90 mm within 1 %).

    References
    ----------
    .. [1] H. S. Carslaw and J. C. Jaeger, Conduction of Heat in Solids, Oxford, 1959.
    .. [2] J. G. Verwer, E. J. Spee, J. G. Blom and W. Hundsdorfer, "A second-order Rosenbrock method applied to
         photochemical dispersion problems", SIAM J. Scientific Computing 20 (4), 1999, 1456-1480.
    """
    return _Batch(cases, 0.0).run()[0] if cases else []


def slump_times(cases: Sequence[Case], horizon_s: float = HORIZON_S) -> Floats:
    """Return the seconds [s] in its last surroundings until each scoop slumps, shape (len(cases),).

    It slumps when the softened layer of its body (as `advance_bodies` follows it), volume over surface area, is as
    thick as its mix can carry: own rule, see `criteria`. 0 where it already has, infinite where it does not within
    `horizon_s` [s].
    """
    return _Batch(cases, horizon_s).run()[1] if cases else np.empty(0)


def surfaces(cases: Sequence[Case]) -> list[tuple[Floats, Floats]]:
    """Return each scoop's surface through its pieces: seconds [s] since the first began, and enthalpies [J/kg], (n,)
    each.

    As `advance_bodies` follows it, see there for the equation and its sources. The points are the solver's own steps;
    the end of every piece is among them.
    """
    if not cases:
        return []
    batch = _Batch(cases, 0.0)
    batch.traces = [[(0.0, float(case.state[-1]))] for case in cases]
    batch.run()
    return [(points[:, 0], points[:, 1]) for points in (np.array(trace) for trace in batch.traces)]


@dataclass(slots=True)
class _Columns:
    """What is known of each column, shape (m,) each: of its scoop, of where it reads the tables, of the piece it is in.

    `left` and `clock` [s] are before the end of the piece and since it began, `soft` the softened share of the volume
    where a slump is watched for (else minus infinity), `limit` that at the slump; `edges` what sharp edges count in it.
    """

    scoop: Numbers
    inside: Floats
    outside: Floats
    softened: Floats
    front: Floats
    limit: Floats
    edges: Floats
    scale: Floats
    origin: Floats
    offset: Numbers
    surface: Numbers
    soft: Floats
    dt: Floats
    left: Floats
    clock: Floats

    def kept(self, which: NDArray[np.bool_]) -> _Columns:
        """Return those columns."""
        return _Columns(*(getattr(self, field.name)[which] for field in fields(self)))

    @property
    def place(self) -> Place:
        """Where each reads conduction."""
        return Place(self.scale, self.origin, self.offset)

    @property
    def skin(self) -> Place:
        """Where each reads the heat that reaches its surface."""
        return flux_place(self.place, self.surface)


class _Batch:
    """Scoops under way, one column each; a column whose scoop is done rests until enough of them are let go."""

    def __init__(
        self, cases: Sequence[Case], horizon_s: float, grid: Grid | None = None, tolerance: float = _TOLERANCE
    ) -> None:
        self.grid = grid or _grid(_exponents(cases))
        self.tolerance = tolerance
        mixes = _numbered(case.mix for case in cases)
        materials = [material(mix) for mix in mixes]
        which = np.array([mixes[case.mix] for case in cases], dtype=np.intp)
        self.plans, surfaces = _plans(cases, which.tolist(), horizon_s)
        self.conduction = conduction_tables(materials)
        self.fluxes = flux_tables([(materials[mix], form, around) for mix, form, around in surfaces])
        self.c = self._columns(cases, mixes, which)
        self.edged = bool(np.any(self.c.edges > 0.0))
        self.alive = np.ones(len(cases), dtype=bool)
        self.h = np.stack([case.state for case in cases], axis=1)
        self.theta, self.slope = self.conduction.read(self.h, self.c.place)
        self.flux, self.rise = np.zeros((2, len(cases)))
        self.states = [np.array(case.state) for case in cases]
        self.slumps = np.full(len(cases), np.inf)
        self.traces: list[list[tuple[float, float]]] = []
        """Of each scoop its surface at every step, where they are asked for."""

    def _columns(self, cases: Sequence[Case], mixes: Iterable[Mix], which: Numbers) -> _Columns:
        materials, goals = [material(mix) for mix in mixes], [targets(mix) for mix in mixes]
        radius, exponent, edges = np.array(
            [(case.form.half_m, case.form.exponent, case.form.softer) for case in cases]
        ).T
        density = np.array([table.density for table in materials])[which]
        softened = np.array([max(goal.softened, table.first) for goal, table in zip(goals, materials, strict=True)])
        place = conduction_place(materials, which)
        blank = [np.zeros(len(cases)) for _ in range(4)]
        return _Columns(
            np.arange(len(cases)), 1.0 / (density * radius**2), 1.0 / (density * radius * self.grid.volume[-1]),
            softened[which], self.conduction.read(softened[which], place)[0],
            exponent * np.array([goal.layer_m for goal in goals])[which] / radius, edges * exponent * radius,
            *place, np.zeros_like(which), *blank,
        )  # fmt: skip

    def run(self) -> tuple[list[Floats], Floats]:
        """Return all states and slump times."""
        self._next_pieces(range(self.alive.size))
        self._compact()
        while self.alive.any():
            if np.count_nonzero(self.alive) < 0.8 * self.alive.size:
                self._compact()
            self._step()
        return self.states, self.slumps

    def _compact(self) -> None:
        """Let the resting columns go."""
        kept = self.alive
        self.c, self.grid = self.c.kept(kept), self.grid.kept(kept)
        self.h, self.theta, self.slope = (
            np.ascontiguousarray(one[:, kept]) for one in (self.h, self.theta, self.slope)
        )
        self.flux, self.rise = self.flux[kept], self.rise[kept]
        self.place, self.skin = self.c.place, self.c.skin
        self.alive = np.ones(self.flux.size, dtype=bool)

    def _next_pieces(self, columns: Iterable[int]) -> None:
        """Start the next piece of those columns, or end those that have none."""
        c = self.c
        begun, watched = [], []
        for j in columns:
            plan = self.plans[c.scoop[j]]
            if not plan:
                self._finish(j)
                continue
            c.surface[j], c.left[j], looked = plan.pop(0)
            begun.append(j)
            if looked:
                watched.append(j)
        self.skin = c.skin
        c.clock[begun], c.dt[begun], c.soft[begun] = 0.0, _FIRST_STEP_S, -np.inf
        flux, rise = self.fluxes.read(self.h[-1], self.skin)
        self.flux[begun], self.rise[begun] = flux[begun], rise[begun]
        if watched:
            c.soft[watched] = self._softened(self.h, self.theta)[watched]
        for j in watched:
            if c.soft[j] >= c.limit[j]:
                self._finish(j, 0.0)

    def _finish(self, j: int, slump: float = np.inf) -> None:
        scoop = self.c.scoop[j]
        self.states[scoop] = self.h[:, j].copy()
        self.slumps[scoop] = slump
        self.alive[j] = False

    def _step(self) -> None:
        """Carry every column on by its own step, or shorten the step where it was too long."""
        inside, outside = self.c.inside, self.c.outside
        dt = np.minimum(self.c.dt, self.c.left)
        pace = _GAMMA * dt
        system = self.grid.implicit(self.slope, pace * inside, pace * outside * self.rise)
        first = system.solve(self.grid.rate(self.theta, inside, outside * self.flux))
        middle = dt * first
        middle += self.h
        theta, slope = self.conduction.read(middle, self.place)
        flux, rise = self.fluxes.read(middle[-1], self.skin)
        rate = self.grid.rate(theta, inside, outside * flux)
        rate -= 2.0 * first
        change = system.solve(rate)
        change += first
        change *= dt / 2
        error = np.sqrt(_summed(change * change) / len(change)) / self.tolerance
        next_dt = dt * np.minimum(np.maximum(_SAFETY / np.sqrt(np.maximum(error, 1e-8)), _LEAST), _MOST)
        good = (error <= 1.0) & self.alive
        if not good.all():  # a step that fell over a bend of a curve is tried again with the steeper slope beyond it
            np.maximum(self.slope, slope, out=self.slope, where=~good)
            np.minimum(self.rise, rise, out=self.rise, where=~good)
        middle += change
        self._accept(middle, dt, next_dt, good)

    def _accept(self, new: Floats, dt: Floats, next_dt: Floats, good: NDArray[np.bool_]) -> None:
        """Take the good steps, stopping at a slump, and start the next pieces where one has ended."""
        c = self.c
        c.dt = next_dt
        theta, slope = self.conduction.read(new, self.place)
        flux, rise = self.fluxes.read(new[-1], self.skin)
        if (c.soft >= 0.0).any():
            grown = np.where(c.soft >= 0.0, self._softened(new, theta), -np.inf)
            for j in np.nonzero(good & (grown >= c.limit))[0].tolist():
                share = float((c.limit[j] - c.soft[j]) / (grown[j] - c.soft[j]))
                good[j] = False
                if c.soft[j] < _NEAR * c.limit[j]:
                    c.dt[j] = dt[j] * min(max(share, 0.2), 0.9)
                else:
                    self._finish(j, c.clock[j] + share * dt[j])
            np.copyto(c.soft, grown, where=good)
        for old, now in (
            (self.h, new), (self.theta, theta), (self.slope, slope), (self.flux, flux), (self.rise, rise),
        ):  # fmt: skip
            np.copyto(old, now, where=good)
        moved = np.where(good, dt, 0.0)
        if self.traces:
            for j in np.nonzero(good)[0].tolist():
                trace = self.traces[c.scoop[j]]
                trace.append((trace[-1][0] + float(dt[j]), float(new[-1, j])))
        c.clock += moved
        c.left -= moved
        ended = np.nonzero(good & (c.left <= 1e-9))[0]
        if ended.size:
            self._next_pieces(ended.tolist())

    def _softened(self, h: Floats, theta: Floats) -> Floats:
        """Return the softened share s of the volume, and where there are sharp edges what they change of it.

        That goes with (1 - 3 s)(1 - s): once a third is soft the edges have gone, and the heat they took is wanting
        elsewhere until all is soft (own rule, held against finite elements).
        """
        above = theta - self.c.front
        above += _TILT * (h - self.c.softened)
        share = self.grid.softened(above)
        return share + (1.0 - 3.0 * share) * (1.0 - share) * self._at_edges(h) if self.edged else share

    def _at_edges(self, h: Floats) -> Floats:
        """Return what softens at sharp edges besides, as a share of the volume: where two faces warm it together."""
        c = self.c
        rise = h - h[0]
        skin = np.maximum(rise[-1], 1.0)
        depth = np.sum((rise[1:] + rise[:-1]) / 2 * np.diff(self.grid.nodes, axis=0), axis=0) / skin
        beyond = np.interp((c.softened - h[0]) / skin, EDGE_RISES, EDGE_AREAS)
        return np.asarray(c.edges * depth**2 * np.where(c.softened > h[0], beyond, 0.0))


def _summed(rows: Floats) -> Floats:
    """Return the sums of the columns, each to the last bit as it would be alone: numpy's order hangs on the shape."""
    while len(rows) > 1:
        half = len(rows) // 2
        added = rows[:half] + rows[-half:]
        if len(rows) % 2:
            added[0] += rows[half]
        rows = added
    return np.asarray(rows[0])


def _exponents(cases: Sequence[Case]) -> tuple[float, ...]:
    """Return the exponents of the forms, one where all are alike."""
    every = tuple(case.form.exponent for case in cases)
    return every[:1] if len(set(every)) == 1 else every


def _numbered(things: Iterable[Key]) -> dict[Key, int]:
    """Return each different thing with its number."""
    return {thing: number for number, thing in enumerate(dict.fromkeys(things))}


def _plans(
    cases: Sequence[Case], mixes: Sequence[int], horizon_s: float
) -> tuple[list[list[tuple[int, float, bool]]], list[tuple[int, Form, Surroundings]]]:
    """Return what happens to each case: surface, seconds, whether a slump is watched for; and those surfaces.

    A surface is the number of a mix, a form and what is around.
    """
    surfaces: dict[tuple[int, Form, Surroundings], int] = {}
    plans = []
    for case, mix in zip(cases, mixes, strict=True):
        pieces = [(piece.surroundings, piece.seconds, False) for piece in case.pieces if piece.seconds > 0.0]
        if case.last is not None and horizon_s > 0.0:
            pieces.append((case.last, horizon_s, True))
        plans.append([
            (surfaces.setdefault((mix, case.form, around), len(surfaces)), seconds, watched)
            for around, seconds, watched in pieces
        ])  # fmt: skip
    return plans, list(surfaces)
