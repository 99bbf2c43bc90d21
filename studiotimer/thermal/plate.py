"""What a scoop stands on: a round plate, as modes of conduction that each die away by themselves.

The plate is a disc of constant properties. Its underside and its whole top lose heat to the air; what a scoop takes or
gives through its base, and the air that the base keeps off, are a flow into the top. Modes are those of the cells, so
that only the cells make an error, none the modes.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from studiotimer.thermal.melting import graded
from studiotimer.thermal.stuff import Plate as Plate
from studiotimer.thermal.stuff import Stuff as Stuff

RADIUS_M = 0.090  # own rule: a dessert plate
TOP_W_M2K = 10.0  # own rule: still air and radiation
UNDERSIDE_W_M2K = 5.0  # own rule: half of that, since it stands on something

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Rings:
    """Rings of a plate between `faces` [m], shape (n + 1,), the first `under` [-] of them below the base."""

    faces: Floats
    under: int

    @property
    def area(self) -> Floats:
        """Areas over pi [m²], shape (n,): r2² - r1², by definition."""
        return np.diff(self.faces**2)

    @staticmethod
    def around(disc_m: float, plate_m: float, rim_m: float, growth: float) -> Rings:
        """Return rings that are thinnest, `rim_m` [m], on both sides of the base's rim at `disc_m` [m].

        To the plate's radius `plate_m` [m], each wider by `growth` [-]. Numerics: 0.05 mm at the rim or finer, since
        the flow is greatest there.
        """
        inside = disc_m - graded(disc_m, rim_m, growth)[::-1]
        outside = disc_m + graded(plate_m - disc_m, rim_m, growth)
        return Rings(np.concatenate([inside, outside[1:]]), inside.size - 1)


@dataclass(frozen=True, slots=True, eq=False)
class Modes:
    """The modes of a plate, shape (layers, rings) each, over the temperature of the air.

    `rates` [1/s] are how fast they die away, exp(-rate t) each, `even` [-] what they are in a plate 1 K over the air.
    The top under the base is at ``across @ (top @ modes)`` [K], with `top` [-] and `across` [-]; a flow [W/m²] into it
    there changes the modes by ``outer(top, flow @ self.flow)`` a second, with `flow` [K m²/J]. See `modes` for the
    equation.
    """

    rates: Floats
    even: Floats
    top: Floats
    across: Floats
    flow: Floats


@lru_cache(maxsize=64)
def modes(stuff: Stuff, thickness_m: float, rings: Rings, first_m: float, growth: float) -> Modes:
    """Return the modes of a plate of `thickness_m` [m] with layers growing from `first_m` [m] at its top by `growth`
    [-].

    rho c dT/dt = k (d²T/dz² + (1/r) d/dr (r dT/dr)), k dT/dn = h (T_air - T) on top and below, nothing through the rim:
    the eigenvectors of its finite volumes, separated in z and r [1]. h = 10 on top and 5 below W/(m² K): own rule.

    References
    ----------
    .. [1] H. S. Carslaw and J. C. Jaeger, Conduction of Heat in Solids, Oxford, 1959.
    """
    area = rings.area
    middles = (rings.faces[1:] + rings.faces[:-1]) / 2
    between = 2.0 * rings.faces[1:-1] / np.diff(middles)
    radial = _conduction(between) / np.sqrt(area[:, None] * area)
    spread, shapes = np.linalg.eigh(radial)
    depth = graded(thickness_m, first_m, growth)
    bounds = np.concatenate([[0.0], (depth[1:] + depth[:-1]) / 2, [thickness_m]])
    layer = np.diff(bounds)
    vertical = _conduction(1.0 / np.diff(depth))
    vertical[0, 0] += TOP_W_M2K / stuff.k
    vertical[-1, -1] += UNDERSIDE_W_M2K / stuff.k
    sinking, profiles = np.linalg.eigh(vertical / np.sqrt(layer[:, None] * layer))
    diffusivity = stuff.k / (stuff.density * stuff.heat)
    rates = diffusivity * (sinking[:, None] + spread)
    top = profiles[0] / np.sqrt(layer[0])
    across = shapes[: rings.under] / np.sqrt(area[: rings.under, None])
    flow = shapes[: rings.under] * np.sqrt(area[: rings.under, None]) / (stuff.density * stuff.heat)
    even = np.outer(np.sqrt(layer) @ profiles, np.sqrt(area) @ shapes)
    return Modes(rates, even, top, across, flow)


def _conduction(between: Floats) -> Floats:
    """Return the matrix of what leaves each cell for its neighbours, from the conductances between them."""
    outward = np.zeros(between.size + 1)
    outward[:-1] += between
    outward[1:] += between
    return np.asarray(np.diag(outward) - np.diag(between, 1) - np.diag(between, -1))
