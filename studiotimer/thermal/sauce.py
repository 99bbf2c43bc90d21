"""What a sauce poured on does to the scoop: how deep it melts it, and how warm it may be.

A layer of sauce, uniform when it is poured, its free side insulated, lies on mix at the edge's temperature: on the body
a half-space, on the ruffle a column as thick as that with its back insulated. One column a pouring temperature, all in
one go; enthalpy in the mix, implicit steps of second order (BDF2) that grow with the time passed, Newton's method.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from studiotimer.thermal.criteria import runs
from studiotimer.thermal.edge import EDGE_M
from studiotimer.thermal.material import material, uniform_enthalpy
from studiotimer.thermal.melting import TRIES, graded, liquid_m, look_up, second_order
from studiotimer.thermal.mix import Mix
from studiotimer.thermal.properties import ice_volume_share
from studiotimer.thermal.tridiagonal import Tridiagonal

HARMLESS_M = 0.3e-3  # own rule: an eighth of a ruffle of 2.4 mm
LAST_S = 40.0
"""Within which the bite counts: a sauce hotter than any advised bites on for longer, unseen (own rule)."""
COLDEST_C, WARMEST_C = 0.0, 60.0
"""Between which a pouring temperature is advised."""
DEEP_M = 0.060
"""As good as a half-space for as long as a layer of sauce stays warm."""

Floats = NDArray[np.float64]

_CELL_M, _GROWTH = 0.01e-3, 1.10
_FIRST_S, _STEP_GROWTH = 1e-3, 1.10
_CLOSE = 50.0  # J/kg in the mix, and by far enough for a sauce's kelvin times 1000


@dataclass(frozen=True, slots=True)
class Sauce:
    """A sauce, its values those of syrups (memory): its layer `layer_m` [m], `k` [W/(m K)], `density` [kg/m³], `heat`
    [J/(kg K)].
    """

    layer_m: float = 2e-3
    k: float = 0.35
    density: float = 1250.0
    heat: float = 2500.0


SYRUP = Sauce()


def bites_m(
    mix: Mix, edge_c: float, poured_c: Sequence[float], deep_m: float = DEEP_M, sauce: Sauce = SYRUP
) -> Floats:  # fmt: skip
    """Return the greatest thickness of liquid [m] that sauces poured at `poured_c` [°C] make, shape (len(poured_c),).

    rho c dT/dt = k d²T/dz² in the sauce, rho dH/dt = d²Theta/dz² in the mix, Theta the integral of k dT [1], one
    temperature and one flow where they touch, nothing through the free sides; liquid is phi <= runs (`criteria`, own
    rule). The mix is `deep_m` [m] thick, uniform at `edge_c` [°C].

    References
    ----------
    .. [1] H. S. Carslaw and J. C. Jaeger, Conduction of Heat in Solids, Oxford, 1959.
    """
    columns = _Columns(mix, edge_c, poured_c, deep_m, sauce)
    most = columns.liquid()
    at, step = 0.0, _FIRST_S
    while at < LAST_S:
        step = min(step, LAST_S - at)
        columns.advance(step)
        at += step
        step = max(step, (_STEP_GROWTH - 1.0) * at)
        most = np.maximum(most, columns.liquid())
    return most


@lru_cache(maxsize=512)
def bite_m(mix: Mix, edge_c: float, poured_c: float, deep_m: float = 2 * EDGE_M) -> float:
    """Return the greatest thickness of liquid [m] that a sauce makes on the ruffle, or on mix `deep_m` [m] thick.

    `bites_m` of one sauce poured at `poured_c` [°C] on mix at `edge_c` [°C]; see there for the equation and its source.
    """
    return float(bites_m(mix, edge_c, [poured_c], deep_m)[0])


@lru_cache(maxsize=512)
def advised_c(mix: Mix, edge_c: float, deep_m: float = 2 * EDGE_M) -> float | None:
    """Return the warmest pouring temperature [°C] that is harmless on the ruffle, or on mix `deep_m` [m] thick.

    The greatest T with bite <= 0.3 mm (own rule) on mix at `edge_c` [°C], from 0 to 60 °C; None where even 0 °C is not
    harmless.
    """
    low, high = COLDEST_C, WARMEST_C
    for _ in range(2):
        tried = np.linspace(low, high, 16)
        harmless = bites_m(mix, edge_c, tried.tolist(), deep_m) <= HARMLESS_M
        if np.all(harmless):
            return float(high)
        first = int(np.argmin(harmless))
        if first == 0:
            return None
        low, high = float(tried[first - 1]), float(tried[first])
    return low


class _Columns:
    """Sauce over mix, one column a pouring temperature.

    `state` has the sauce's nodes from its free side down as temperatures [°C], then the mix's from where they touch
    as enthalpies [J/kg]; the node where they touch is half of each.
    """

    def __init__(self, mix: Mix, edge_c: float, poured_c: Sequence[float], deep_m: float, sauce: Sauce) -> None:
        self.table, self.k = material(mix), sauce.k
        melts = self.table.enthalpy_of_ice(runs(mix) / float(ice_volume_share(mix, 1.0)))
        self.melts = float(look_up(self.table, self.table.theta, np.array(max(melts, self.table.first)))[0])
        up = np.diff(graded(sauce.layer_m, _CELL_M, _GROWTH, rest=0))[::-1]
        down = np.diff(graded(deep_m, _CELL_M, _GROWTH, rest=1))
        self.touch = up.size
        self.between = np.concatenate([up, down])[:, None]
        upper, lower = np.zeros(up.size + 1), np.zeros(down.size + 1)
        upper[:-1] += up / 2
        upper[1:] += up / 2
        lower[:-1] += down / 2
        lower[1:] += down / 2
        of_sauce = sauce.density * sauce.heat
        self.heavy = np.concatenate([upper[:-1] * of_sauce, lower * self.table.density])[:, None]
        self.shared = float(upper[-1]) * of_sauce
        self.state = np.full((self.heavy.size, len(poured_c)), uniform_enthalpy(mix, edge_c))
        self.state[: self.touch] = poured_c
        self.held = self._stored(self.state)[0]
        cold = look_up(self.table, self.table.temperature_c, self.state[self.touch])[0]
        self.held[self.touch] += self.shared * (np.asarray(poured_c, dtype=float) - cold)
        self.before: tuple[Floats, float] | None = None

    def liquid(self) -> Floats:
        """Return the thickness of liquid mix [m] in each column."""
        over = look_up(self.table, self.table.theta, self.state[self.touch :])[0] - self.melts
        return liquid_m(over, self.between[self.touch :])

    def _stored(self, state: Floats) -> tuple[Floats, Floats]:
        """Return the heat each node holds [J/m²] and its slope. Where they touch the sauce's half is in it."""
        held, slope = self.heavy * state, np.repeat(self.heavy, state.shape[1], axis=1)
        t, warming = look_up(self.table, self.table.temperature_c, state[self.touch])
        held[self.touch] += self.shared * t
        slope[self.touch] += self.shared * warming
        return held, slope

    def _downward(self, state: Floats) -> tuple[Floats, Floats, Floats]:
        """Return the flow [W/m²] from each node to the next, and its slopes in the one above and the one below."""
        touch = self.touch
        theta, slope = look_up(self.table, self.table.theta, state[touch:])
        t, warming = look_up(self.table, self.table.temperature_c, state[touch])
        above = np.concatenate([self.k * state[:touch], theta[:-1]])
        below = np.concatenate([self.k * state[1:touch], self.k * t[None], theta[1:]])
        sauce = np.full((touch, state.shape[1]), self.k)
        by_above = np.concatenate([sauce, slope[:-1]])
        by_below = np.concatenate([sauce[1:], self.k * warming[None], slope[1:]])
        return (above - below) / self.between, by_above / self.between, by_below / self.between

    def advance(self, dt: float) -> None:
        """Take one step of `dt` [s]."""
        before = self.before
        new, now, then = second_order(dt, before[1] if before else None)
        old = now * self.held + (then * before[0] if before else 0.0)
        state = self.state
        for _ in range(TRIES):
            held, slope = self._stored(state)
            flow, by_above, by_below = self._downward(state)
            rest = (old - new * held) / dt
            rest[:-1] -= flow
            rest[1:] += flow
            diagonal = new * slope / dt
            diagonal[:-1] += by_above
            diagonal[1:] += by_below
            change = Tridiagonal(-by_above, diagonal, -by_below).solve(rest)
            state = state + change
            size = np.abs(change)
            if max(np.max(size[: self.touch]) * 1000.0, np.max(size[self.touch :])) < _CLOSE:
                self.before, self.state = (self.held, dt), state
                self.held = self._stored(state)[0]
                return
        raise ArithmeticError("a step of the sauce does not come to an end")
