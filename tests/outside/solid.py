"""A body of ice cream melting in two or three dimensions, by finite elements (scikit-fem), with the same properties.

Enthalpy at the nodes, lumped; linearly implicit steps whose error is held by doing each one whole and in halves.
"""

from dataclasses import dataclass

import numpy as np
from scipy.sparse import diags
from scipy.sparse.linalg import cg, splu
from skfem import Basis, BilinearForm, ElementHex1, ElementQuad1, FacetBasis, LinearForm, MeshHex, MeshQuad
from skfem.helpers import dot, grad

from studiotimer.thermal.criteria import targets
from studiotimer.thermal.material import material


def graded(half, cells, growth=1.18):
    """Return places from the middle (0) to the surface, cells growing inward."""
    thick = growth ** np.arange(cells)[::-1]
    return half * np.concatenate([[0.0], np.cumsum(thick)]) / thick.sum()


@dataclass
class Solid:
    """A discretised eighth (or quarter turned round its axis): volumes and outer areas of nodes, stiffness."""

    stiffness: object
    volume: np.ndarray
    area: np.ndarray

    @property
    def reach(self):
        """Return volume over area [m]."""
        return self.volume.sum() / self.area.sum()


def block(*sizes, cells=(8, 9, 9), growth=1.7):
    """Return an eighth of a block with these edges [m]."""
    mesh = MeshHex.init_tensor(*(graded(size / 2, n, growth) for size, n in zip(sizes, cells, strict=True)))
    return _solid(mesh, ElementHex1(), False, sizes)


def turned(diameter, height, cells=(14, 14), growth=1.3):
    """Return a quarter of a cylinder's section, turned round its axis (x is the radius)."""
    mesh = MeshQuad.init_tensor(graded(diameter / 2, cells[0], growth), graded(height / 2, cells[1], growth))
    return _solid(mesh, ElementQuad1(), True, (diameter, height))


def _solid(mesh, element, turned_round, sizes):
    weight = (lambda w: 2 * np.pi * w.x[0]) if turned_round else (lambda w: 1.0)
    outer = np.unique(np.concatenate([
        mesh.facets_satisfying(lambda x, i=i, size=size: np.isclose(x[i], size / 2), boundaries_only=True)
        for i, size in enumerate(sizes)
    ]))  # fmt: skip
    inside, outside = Basis(mesh, element), FacetBasis(mesh, element, facets=outer)
    stiffness = BilinearForm(lambda u, v, w: weight(w) * dot(grad(u), grad(v))).assemble(inside)
    whole = LinearForm(lambda v, w: weight(w) * v)
    return Solid(stiffness.tocsr(), whole.assemble(inside), whole.assemble(outside))


def slump_of(solid, mix, start_c, flux, until_s=4 * 3600.0, tolerance=4000.0):
    """Return the seconds until the softened volume over the area is as thick as the mix carries."""
    table, goal = material(mix), targets(mix)
    h = np.full(solid.volume.size, float(table.enthalpy(start_c)))
    mass, limit, total = table.density * solid.volume, goal.layer_m, solid.area.sum()
    grid, theta_of = table.enthalpies, table.theta

    def slope(values, at):
        return (np.interp(at + 400.0, grid, values) - np.interp(at - 400.0, grid, values)) / 800.0

    def step(h, dt):
        theta, t = np.interp(h, grid, theta_of), np.interp(h, grid, table.temperature_c)
        s = slope(theta_of, h)
        q, warmer = flux(t), flux(t + 0.01)
        rise = (warmer - q) / 0.01 * slope(table.temperature_c, h) / s
        matrix = diags(mass / s - dt * solid.area * np.minimum(rise, 0.0)) + dt * solid.stiffness
        right = dt * (solid.area * q - solid.stiffness @ theta)
        if solid.volume.size < 3000:
            change = splu(matrix.tocsc()).solve(right)
        else:
            inverse = 1.0 / matrix.diagonal()
            change, failed = cg(matrix, right, M=diags(inverse), rtol=1e-7)
            assert not failed
        return h + change / s

    def softened(h):
        return solid.volume @ np.clip((h - goal.softened) / 3000.0 + 0.5, 0, 1) / total

    clock, dt, before = 0.0, 0.2, 0.0
    while clock < until_s:
        whole = step(h, dt)
        half = step(step(h, dt / 2), dt / 2)
        error = np.sqrt(np.mean((half - whole) ** 2)) / tolerance
        if error <= 1.0:
            now = softened(half)
            if now >= limit:
                return clock + dt * (limit - before) / (now - before)
            clock, h, before = clock + dt, 2 * half - whole, now
        dt *= min(2.0, max(0.2, 0.9 / np.sqrt(max(error, 1e-6))))
    return np.inf
