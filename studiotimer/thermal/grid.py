"""The rings of bodies: how heat flows between them, and how much of them has softened."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from studiotimer.thermal.tridiagonal import Tridiagonal

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Grid:
    """Rings of bodies with R = 1: node radii, volumes over the surface, conduction to the inner and outer neighbour.

    Numerics: finite volumes of width dr, areas r^(E-1), volumes (r2^E - r1^E) / E. `nodes` [-], `volume` [-],
    `to_inner` [-], `to_outer` [-] and `exponent` [-]. Bodies are columns. Where all have one exponent E (`form`), they
    share the grid's only column, of shape (n, 1) and (n - 1, 1), else each has its own, (n, m) and (n - 1, m).
    """

    nodes: Floats
    volume: Floats
    to_inner: Floats
    to_outer: Floats
    exponent: Floats

    @staticmethod
    def stretched(rings: int, outer: int, growth: float, inner_growth: float, exponent: ArrayLike = 3.0) -> Grid:
        """Return an even number of `rings` [-], each thicker by `growth` [-] than the one outside it.

        Inside the `outer` [-] outermost ones, where little happens, by `inner_growth` [-]. `exponent` [-], a number or
        one a body, shape (m,). Numerics: thickness = growth^i.
        """
        number = np.arange(rings - 1.0)
        thickness = growth ** np.minimum(number, outer) * inner_growth ** np.maximum(number - outer, 0.0)
        depth = np.concatenate([[0.0], np.cumsum(thickness)])
        radius = (1.0 - depth / depth[-1])[::-1]
        face = np.concatenate([[0.0], (radius[1:] + radius[:-1]) / 2, [1.0]])
        power, column = np.unique(np.asarray(exponent, dtype=float), return_inverse=True)
        which = column.ravel() if power.size > 1 else np.zeros(1, dtype=np.intp)
        # Each by itself: numpy's powers of one and of many may differ in the last bit, and steps that are tried again
        # make 0.4 % of a slump of that.
        volume = np.stack([np.diff(face**one) / one for one in power.tolist()], axis=1)[:, which]
        between = np.stack([face[1:-1] ** (one - 1.0) / np.diff(radius) for one in power.tolist()], axis=1)[:, which]
        return Grid(radius[:, None], volume, between / volume[:-1], between / volume[1:], power[which])

    def kept(self, which: NDArray[np.bool_]) -> Grid:
        """Return the grid of those bodies, `which` of shape (m,). Numerics: columns taken."""
        if self.exponent.size == 1:
            return self
        volume, inner, outer = (one[:, which] for one in (self.volume, self.to_inner, self.to_outer))
        return Grid(self.nodes, volume, inner, outer, self.exponent[which])

    def rate(self, theta: Floats, inside: Floats, surface: Floats) -> Floats:
        """Return dH/dt [J/(kg s)] of every ring from the conduction integrals `theta` [W/m] and the `surface`'s own
        [J/(kg s)].

        Numerics of rho dH/dt = r^(1-E) d/dr (r^(E-1) dTheta/dr) over R²; `inside` [m/kg] is 1 / (density R²), shape
        (m,).
        """
        flow = theta[1:] - theta[:-1]
        flow *= inside
        rate = np.empty_like(theta)
        np.multiply(self.to_inner, flow, out=rate[:-1])
        rate[-1] = surface
        rate[1:] -= self.to_outer * flow
        return rate

    def implicit(self, slope: Floats, pace: Floats, surface: Floats) -> Tridiagonal:
        """Return 1 - pace J, J the Jacobian of `rate` where theta has that `slope` [kg W/(J m)].

        `pace` [s m/kg] is the step's share times `inside`, shape (m,), and `surface` [-] its part from outside.
        Numerics: the matrix of a linearly implicit step.
        """
        weighted = slope * pace
        inner, outer = self.to_inner * weighted[:-1], self.to_outer * weighted[1:]
        diagonal = np.empty_like(slope)
        np.add(inner, 1.0, out=diagonal[:-1])
        diagonal[-1] = 1.0 - surface
        diagonal[1:] += outer
        return Tridiagonal(-self.to_outer * weighted[:-1], diagonal, -self.to_inner * weighted[1:])

    def softened(self, above: Floats) -> Floats:
        """Return the softened share [-] of each body's volume, shape (m,): sum of r2^E - r1^E over what is soft.

        `above` [W/m] is how far each node lies over the softening point, shape (n, m); where it is 0 between two nodes
        is the front. Numerics: linear between nodes.
        """
        soft = above >= 0.0
        rows = soft.any(axis=1)
        if not rows.any():
            return np.zeros(above.shape[1])
        first = max(int(rows.argmax()) - 1, 0)
        soft, above, nodes = soft[first:], above[first:], self.nodes[first:]
        inner, outer = above[:-1], above[1:]
        crossed = soft[:-1] != soft[1:]
        share = np.where(crossed, inner / np.where(crossed, inner - outer, 1.0), 0.0)
        front = nodes[:-1] + share * (nodes[1:] - nodes[:-1])
        low = np.where(soft[:-1], nodes[:-1], front)
        high = np.where(soft[1:], nodes[1:], front)
        return np.asarray(np.sum(np.where(soft[:-1] | soft[1:], high**self.exponent - low**self.exponent, 0.0), axis=0))
