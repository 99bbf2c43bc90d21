"""The form of a body: a ball, a bar, a slice, reckoned in one depth below its surface.

Heat conducts along r, from the innermost point (0) to the surface (R), through areas that go with r^(E-1). R is half
the thickness and E = R A / V, so that volume and surface are the body's own: 3 for a ball, 2 for a long cylinder, 1
for a slab, any number between for the rest (own rule).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

EDGES = 0.18
"""How much of what two faces together soften at a sharp edge counts, times the cube of 3 - E.

Own rule, held against finite elements: where E is 3 the areas that narrow inward have it already.
"""

EDGE_RISES = np.linspace(0.0, 2.0, 201)
"""The rise at which it is soft, over the rise at a face; see `EDGE_AREAS`."""


def _edge_areas() -> NDArray[np.float64]:
    """Return the area beyond both faces' soft layers where exp(-x) + exp(-y) is over each of `EDGE_RISES`.

    With both faces' layers there (a rise below 1) it is the integral of -ln(1 - exp(-t)), pi²/6.
    """
    areas = np.full(EDGE_RISES.size, math.pi**2 / 6)
    for i in np.nonzero(EDGE_RISES > 1.0)[0].tolist():
        rise = float(EDGE_RISES[i])
        x = np.linspace(0.0, -math.log(max(rise - 1.0, 1e-12)), 2001)
        inner = -np.log(rise - np.exp(-x))
        areas[i] = float(np.sum((inner[1:] + inner[:-1]) / 2 * np.diff(x)))
    return areas


EDGE_AREAS = _edge_areas()
"""Over the square of the depth to which a face's rise falls by e: the area that softens because of both faces."""

Flow = Literal["sphere", "plate", "cylinder"]
"""Which published correlation gives its convection: a sphere, a vertical plate, a horizontal cylinder."""


@dataclass(frozen=True, slots=True)
class Form:
    """A body reckoned in one depth: conduction through areas that go with r^(E-1), r from 0 to R.

    E = R A / V keeps its own volume V and surface A: exact for a ball, a long cylinder and a slab, an own rule between,
    held against finite elements. `half_m` [m] is R, `exponent` [-] E, `along_m` [m] the length its convection is
    reckoned with, `edges_per_m` [1/m] the length of its sharp edges over its surface, `wall_m2k_w` [m2 K/W] the
    resistance of a wall.
    """

    half_m: float
    exponent: float
    flow: Flow
    along_m: float
    edges_per_m: float = 0.0
    wall_m2k_w: float = 0.0

    @property
    def softer(self) -> float:
        """What softens at its edges besides [1/m], over the square of the depth that heat has reached.

        EDGES (3 - E)³ edges_per_m: own rule, held against finite elements.
        """
        return EDGES * max(3.0 - self.exponent, 0.0) ** 3 * self.edges_per_m

    @property
    def closed(self) -> bool:
        """Whether it is a closed pack, by definition: what is seen of it is its wall."""
        return self.wall_m2k_w > 0.0


def ball(width_m: float) -> Form:
    """Return a sphere of diameter `width_m` [m]: R = width / 2, E = 3 by definition."""
    return Form(width_m / 2, 3.0, "sphere", width_m)


def roll(across_m: float, length_m: float = math.inf) -> Form:
    """Return a cylinder lying on its side, `across_m` [m] wide and `length_m` [m] long; endless where none is told.

    R = min(d, l) / 2 and E = R A / V = R (4 / d + 2 / l): the definition of `Form`.
    """
    half = min(across_m, length_m) / 2
    return Form(half, half * (4.0 / across_m + 2.0 / length_m), "cylinder", across_m)


def block(thick_m: float, wide_m: float, high_m: float) -> Form:
    """Return a block with sharp edges, `thick_m` [m] by `wide_m` [m], standing `high_m` [m] high, in any order of size.

    R = half the least side, E = R A / V, edges 4 (t + w + h) / A: the definition of `Form`.
    """
    half = min(thick_m, wide_m, high_m) / 2
    surface = 2 * (thick_m * wide_m + wide_m * high_m + high_m * thick_m)
    exponent = half * surface / (thick_m * wide_m * high_m)
    return Form(half, exponent, "plate", high_m, 4 * (thick_m + wide_m + high_m) / surface)


def pack(across_m: float, high_m: float, wall_m2k_w: float) -> Form:
    """Return a closed round pack `across_m` [m] wide and `high_m` [m] high, its wall with `wall_m2k_w` [m2 K/W].

    R and E as of `roll`, the convection of an upright plate (own rule: it stands).
    """
    return replace(roll(across_m, high_m), flow="plate", along_m=high_m, wall_m2k_w=wall_m2k_w)


def carton(thick_m: float, wide_m: float, high_m: float, wall_m2k_w: float) -> Form:
    """Return a closed carton, `thick_m` [m] by `wide_m` [m] by `high_m` [m], its wall with `wall_m2k_w` [m2 K/W].

    R and E as of `block`; its edges do not count, since what is seen of it is its wall (own rule).
    """
    return replace(block(thick_m, wide_m, high_m), edges_per_m=0.0, wall_m2k_w=wall_m2k_w)


def opened(across_m: float, deep_m: float) -> Form:
    """Return the face of an opened pack `across_m` [m] wide, `deep_m` [m] of mix below it.

    A slab: R = the depth, E = 1; its wall lets nothing through (own rule).
    """
    return Form(deep_m, 1.0, "plate", across_m)


def cone(across_m: float, high_m: float) -> Form:
    """Return a round cone, its base `across_m` [m] wide, `high_m` [m] high; a swirl of soft serve is near it.

    R = 3 V / A, the radius of the largest ball inside it, so that E = 3. Own rule.
    """
    radius = across_m / 2
    volume = math.pi * radius**2 * high_m / 3
    surface = math.pi * radius * (radius + math.hypot(radius, high_m))
    half = 3 * volume / surface  # that of the largest ball inside it, so that E is 3
    return Form(half, 3.0, "sphere", across_m)
