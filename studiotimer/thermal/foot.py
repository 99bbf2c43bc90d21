"""The foot: when liquid shows round the base of a scoop, from what it stands on.

Under the scoop's base, a disc, is the plate (`plate`); over it stand columns of mix, one a ring of the disc, each
conducting upward only. They touch perfectly: mix and plate are at one temperature there, and what one gives the other
takes. Time goes in implicit steps of second order (BDF2) that grow with the time passed, since the melt's depth goes
with its root; in each, Newton's method finds the columns and the flow through the base together.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from studiotimer.thermal.body import Case, Piece, advance_bodies, mean_enthalpy, start_body
from studiotimer.thermal.criteria import runs
from studiotimer.thermal.form import Form
from studiotimer.thermal.material import material, uniform_enthalpy
from studiotimer.thermal.melting import TRIES, graded, liquid_m, look_up, second_order
from studiotimer.thermal.mix import Mix
from studiotimer.thermal.plate import RADIUS_M, TOP_W_M2K, Plate, Rings, modes
from studiotimer.thermal.tridiagonal import Tridiagonal

BASE_SHARE = 0.28  # the base's radius over the scoop's width: own rule, 18 mm under 65
BEAD_M2 = 9e-6  # liquid a metre of rim, twice over, that shows as a foot: own rule
SPREAD = 0.40  # of the log of the layer, half of it the plate's (`layer`): own rule
FAR = 1.2816  # standard deviations of a normal from the middle to its 10 and its 90 % point
DEEPEST = 3.0
"""How many times the layer that shows a melt is followed: as far as feet that were seen may teach (own rule)."""
HORIZON_S = 900.0  # own rule: what has not shown by then is said not to come
COLUMN_M = 0.040  # own rule: over twice as deep as warmth goes in 15 min

Floats = NDArray[np.float64]


_CLOSE_J_KG = 100.0  # a change that small moves no front by a cell


@dataclass(frozen=True, slots=True)
class Mesh:
    """How finely it is reckoned; own rule, held against finer cells (`tests/speed/foot`).

    The cells at the rim, `rim_m` [m], each larger by `ring_growth` [-] than the one before; in the plate, `layer_m` [m]
    and `layer_growth` [-]; in the mix beside the base, `mix_m` [m] and `mix_growth` [-]; the first step, `first_s` [s],
    and the most by which time grows in one, `step_growth` [-].
    """

    rim_m: float = 0.03e-3
    ring_growth: float = 1.25
    layer_m: float = 0.02e-3
    layer_growth: float = 1.2
    mix_m: float = 0.02e-3
    mix_growth: float = 1.06
    first_s: float = 2e-3
    step_growth: float = 1.15


MESH = Mesh()


@dataclass(frozen=True, slots=True)
class Foot:
    """When the foot shows: `seconds` [s] from hero in, and its 10 and 90 % times, `sooner` [s] and `later` [s].

    Infinite where not within 15 min.
    """

    seconds: float
    sooner: float
    later: float


@dataclass(frozen=True, slots=True)
class Base:
    """How a scoop stands: its mix, uniform at `start_c` [°C], on a disc of `radius_m` [m], in air at `air_c` [°C]."""

    mix: Mix
    start_c: float
    plate: Plate
    radius_m: float
    air_c: float


def layer_m(radius_m: float) -> float:
    """Return the liquid layer [m], averaged over the base, at which the foot shows under a base of `radius_m` [m].

    layer = 9 mm² / a. Own rule: a bead of 4.5 mm² round the base counts as seen, 0.5 mm of liquid at a = 18 mm.
    """
    return BEAD_M2 / radius_m


@dataclass(frozen=True, slots=True, eq=False)
class Melt:
    """The liquid `layers` [m] under a scoop at `times` [s on set], and `wanted_m` [m], the one at which its foot shows.

    A definition; `melt` is the equation.
    """

    times: Floats
    layers: Floats
    wanted_m: float

    def foot(self, mean: float = 0.0, sd: float = SPREAD) -> Foot:
        """Return when the foot shows where the log of the layer that shows is normal about the rule's plus `mean` [-].

        ln(layer / wanted) ~ N(mean, sd²), `sd` [-] (0.40 until feet were seen): own rule.
        """
        return _shown(self, mean, sd)

    def log_layer(self, seconds: float) -> float:
        """Return ln(layer / wanted) [-] `seconds` [s] on set, no farther from 0 than ln DEEPEST: own rule."""
        layer = float(np.interp(seconds, self.times, self.layers)) / self.wanted_m
        return math.log(min(max(layer, 1.0 / DEEPEST), DEEPEST))


@lru_cache(maxsize=256)
def _shown(melt: Melt, mean: float, sd: float) -> Foot:
    """Return `Melt.foot`, worked out once for all scoops that stand alike."""
    shares = (math.exp(mean + far * sd) for far in (0.0, -FAR, FAR))
    return Foot(*(reached(melt.times, melt.layers, melt.wanted_m * share) for share in shares))


@lru_cache(maxsize=256)
def followed(base: Base) -> Melt:
    """Return the melt under a scoop, worked out once: `melt` with the usual mesh, as deep as own rule DEEPEST asks."""
    wanted = layer_m(base.radius_m)
    return Melt(*melt(base, wanted * DEEPEST), wanted)


def foot(base: Base) -> Foot:
    """Return when a scoop's foot shows: where the layer of `melt` reaches `layer_m` (own rule)."""
    return followed(base).foot()


def standing_c(mix: Mix, start_c: float, history: Sequence[Piece], form: Form) -> float:
    """Return the temperature [°C] a scoop stands down with: that of its body's mean enthalpy after a history.

    From `start_c` [°C]. Own rule: its base is cut from its middle, not from its ruffle. To 0.5 K, so that scoops alike
    are worked out once.
    """
    return standings_c([(mix, start_c, history, form)])[0] if history else start_c


def standings_c(scoops: Sequence[tuple[Mix, float, Sequence[Piece], Form]]) -> list[float]:
    """Return what many scoops stand down with [°C], each of a mix, start [°C], history and form.

    As `standing_c`, by the same own rule.
    """
    cases = [Case(mix, form, start_body(mix, start), tuple(history)) for mix, start, history, form in scoops]
    states = advance_bodies(cases)
    return [
        round(float(material(case.mix).temperature(mean_enthalpy(state, case.form))) * 2.0) / 2.0
        for case, state in zip(cases, states, strict=True)
    ]


def reached(times: Floats, depths: Floats, depth: float) -> float:
    """Return when [s] `depths` [m] first come to `depth` [m] at `times` [s], infinite where they do not.

    Between two times the square of the depth is linear, since a melt's depth goes with the root of its time (Neumann's
    solution of Stefan's problem [1]).

    References
    ----------
    .. [1] H. S. Carslaw and J. C. Jaeger, Conduction of Heat in Solids, Oxford, 1959.
    """
    past = np.nonzero(depths >= depth)[0]
    if not past.size:
        return math.inf
    i = int(past[0])
    if i == 0:
        return float(times[0])
    low, high = depths[i - 1] ** 2, depths[i] ** 2
    return float(times[i - 1] + (times[i] - times[i - 1]) * (depth**2 - low) / (high - low))


def melt(base: Base, enough_m: float, mesh: Mesh = MESH, horizon_s: float = HORIZON_S) -> tuple[Floats, Floats]:
    """Return times [s] and the liquid layer [m] at them, shape (n,) each, until it is `enough_m` [m] or `horizon_s`
    [s].

    In the mix rho dH/dt = d²Theta/dz², Theta the integral of k dT (Kirchhoff's, [1]); in the plate rho c dT/dt = k
    (d²T/dz² + (1/r) d/dr (r dT/dr)) (`plate`); one temperature and one flow where they touch. The layer is the depth
    with phi <= runs (`criteria`), averaged over the base. Implicit in time (BDF2 [2]), Newton's method in each step.
    Perfect contact is an own rule: the scoop's weight presses it.

    References
    ----------
    .. [1] H. S. Carslaw and J. C. Jaeger, Conduction of Heat in Solids, Oxford, 1959.
    .. [2] E. Hairer, S. P. Nørsett and G. Wanner, Solving Ordinary Differential Equations I, Springer (memory).
    """
    standing = _MixOnPlate(base, mesh)
    times, depths = [0.0], [standing.depth()]
    step = mesh.first_s
    while times[-1] < horizon_s and depths[-1] < enough_m:
        standing.advance(min(step, horizon_s - times[-1]))
        times.append(min(times[-1] + step, horizon_s))
        depths.append(standing.depth())
        step = max(step, (mesh.step_growth - 1.0) * times[-1])
    return np.array(times), np.array(depths)


class _MixOnPlate:
    """Mix and plate under way: enthalpies `h` (nodes, rings) from the base up, and the plate's modes over the air."""

    def __init__(self, base: Base, mesh: Mesh) -> None:
        plate, mix = base.plate, base.mix
        rings = _rings(base.radius_m, mesh)
        self.modes = modes(plate.stuff, plate.thickness_m, rings, mesh.layer_m, mesh.layer_growth)
        self.table = material(mix)
        height = _heights(mesh)
        bounds = np.concatenate([[0.0], (height[1:] + height[:-1]) / 2, height[-1:]])
        self.heavy = (self.table.density * np.diff(bounds))[:, None]
        self.between = np.diff(height)[:, None]
        self.share = rings.area[: rings.under] / np.sum(rings.area[: rings.under])
        self.air_c = base.air_c
        self.runs = runs(mix)
        self.h = np.full((height.size, rings.under), uniform_enthalpy(mix, base.start_c))
        self.plate = (plate.at_c - base.air_c) * self.modes.even
        self.before: tuple[Floats, Floats, float] | None = None

    def depth(self) -> float:
        """Return the liquid layer [m], averaged over the base."""
        over = self.runs - look_up(self.table, self.table.phi, self.h)[0]
        return float(self.share @ liquid_m(over, self.between))

    def advance(self, dt: float) -> None:
        """Take one step of `dt` [s]."""
        h, plate, last = self.before or (self.h, self.plate, None)
        new, now, then = second_order(dt, last)
        old_h, old_plate = now * self.h + then * h, now * self.plate + then * plate
        ahead = self.h if last is None else self.h + (self.h - h) * (dt / last)
        pace = dt / (new + dt * self.modes.rates)
        free = old_plate * pace / dt
        untouched = self.air_c + self.modes.across @ (self.modes.top @ free)
        response = (self.modes.across * (self.modes.top**2 @ pace)) @ self.modes.flow.T
        h, flow = self._meeting(ahead, new, self.heavy / dt, old_h, untouched, response)
        plate = free + pace * np.outer(self.modes.top, flow @ self.modes.flow)
        self.before = self.h, self.plate, dt
        self.h, self.plate = h, plate

    def _meeting(
        self, start: Floats, new: float, held: Floats, old: Floats, untouched: Floats, response: Floats
    ) -> tuple[Floats, Floats]:  # fmt: skip
        """Return the enthalpies at a step's end, and the flow [W/m²] into the plate that they go with.

        The plate's top is at `untouched` [°C] without the flow, and `response` [K m²/W] times the flow warmer with it.
        """
        h, change = start, np.full(1, np.inf)
        for _ in range(TRIES):
            theta, slope = look_up(self.table, self.table.theta, h)
            t, warming = look_up(self.table, self.table.temperature_c, h[0])
            flux = np.diff(theta, axis=0) / self.between
            stored = held * (new * h - old)
            flow = flux[0] - stored[0] + TOP_W_M2K * (t - self.air_c)
            if np.max(np.abs(change)) < _CLOSE_J_KG:
                return h, flow
            rest = -stored[1:] - flux
            rest[:-1] += flux[1:]
            alone, pulled = self._columns(new * held[1:], slope, rest)
            lead = slope[1] / self.between[0]
            own = lead * pulled[0] - slope[0] / self.between[0] - new * held[0] + TOP_W_M2K * warming
            matrix = np.diag(warming) - response * own
            gap = untouched + response @ (flow + lead * alone[0]) - t
            first = np.linalg.solve(matrix, gap)
            change = np.concatenate([first[None], alone + pulled * first])
            h = h + change
        raise ArithmeticError("a step of the foot does not come to an end")

    def _columns(self, held: Floats, slope: Floats, rest: Floats) -> tuple[Floats, Floats]:
        """Return how the nodes over the base change by themselves, and for each J/kg that the lowest node changes."""
        below = slope[1:] / self.between
        diagonal = held + below
        diagonal[:-1] += slope[1:-1] / self.between[1:]
        lower, upper = -slope[1:-1] / self.between[1:], -below[1:]
        pull = np.zeros_like(rest)
        pull[0] = slope[0] / self.between[0]
        solved = Tridiagonal(*(np.concatenate([part, part], axis=1) for part in (lower, diagonal, upper))).solve(
            np.concatenate([rest, pull], axis=1)
        )
        return solved[:, : rest.shape[1]], solved[:, rest.shape[1] :]


@lru_cache(maxsize=16)
def _rings(radius_m: float, mesh: Mesh) -> Rings:
    return Rings.around(radius_m, RADIUS_M, mesh.rim_m, mesh.ring_growth)


@lru_cache(maxsize=4)
def _heights(mesh: Mesh) -> Floats:
    """Return an odd number of nodes [m] from the base up."""
    return graded(COLUMN_M, mesh.mix_m, mesh.mix_growth, rest=0)
