"""Several tables side by side, read for many scoops at once: mixes' conduction, and the heat that reaches surfaces."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from studiotimer.thermal.air import heat_flux
from studiotimer.thermal.form import Form
from studiotimer.thermal.material import COLDEST_C, POINTS, WARMEST_C, Material
from studiotimer.thermal.surroundings import Surroundings

Floats = NDArray[np.float64]
Numbers = NDArray[np.intp]

_AHEAD = 24  # cells: the curve turns sharply where the last ice goes, and a step should see that coming
_STRIDE = 4  # cells of the material to one of the heat that reaches its surface


class Place(NamedTuple):
    """Where scoops' enthalpies lie in a table. Numerics: cell = h scale - origin + offset.

    `scale` [kg/J] is cells to one J/kg, `origin` [-] the cell of 0 J/kg, `offset` [-] where a table begins; shape (m,).
    """

    scale: Floats
    origin: Floats
    offset: Numbers


class Tables:
    """Equally long tables over enthalpy, one after another, each read at a `Place`. Numerics: linear between cells."""

    def __init__(self, rows: Sequence[_Rows]) -> None:
        self.cells = len(rows[0].values) if rows else 2
        parts = zip(*rows, strict=True) if rows else ((np.zeros(2),),) * 3
        self._values, self._rises, self._steepest = (np.concatenate(part) for part in parts)

    def read(self, h: Floats, place: Place) -> tuple[Floats, Floats]:
        """Return the values at `h` [J/kg], and their steepest slopes from there a little ahead; same shape.

        In the table's unit, W/m or W/m2, and that over J/kg. Numerics: y = y_i + (h - h_i) dy/dh.
        """
        share = h * place.scale
        share -= place.origin
        whole = np.maximum(share, 0.0)
        np.minimum(whole, self.cells - 2.0, out=whole)
        cell = whole.astype(np.intp)
        share -= cell
        cell += place.offset
        share *= self._rises.take(cell)
        share += self._values.take(cell)
        slope = self._steepest.take(cell)
        slope *= place.scale
        return share, slope


class _Rows(NamedTuple):
    """A table: its values, their rise over each cell, and the steepest rise a little ahead."""

    values: Floats
    rises: Floats
    steepest: Floats


def conduction_tables(materials: Sequence[Material]) -> Tables:
    """Return Theta = the integral of k dT [W/m] of those mixes: numerics, tabulated from `material`."""
    return Tables([_conducted(table) for table in materials])


def flux_tables(surfaces: Sequence[tuple[Material, Form, Surroundings]]) -> Tables:
    """Return the heat [W/m2] that reaches surfaces, each of a mix, a form and what is around it.

    Numerics: tabulated.
    """
    return Tables([_reaching(*one) for one in surfaces])


def conduction_place(materials: Sequence[Material], numbers: Numbers) -> Place:
    """Return where scoops read the conduction of `materials`, each of that number among them.

    Numerics: the place of `numbers` [-], shape (m,).
    """
    step, first = (np.array([getattr(table, name) for table in materials])[numbers] for name in ("step", "first"))
    return Place(1.0 / step, first / step, numbers * POINTS)


def flux_place(place: Place, numbers: Numbers) -> Place:
    """Return where scoops that read conduction at `place` read the heat of the surfaces of those `numbers` [-].

    Numerics: every fourth cell of the material.
    """
    return Place(place.scale / _STRIDE, place.origin / _STRIDE, numbers * (POINTS // _STRIDE + 1))


@lru_cache(maxsize=128)
def _conducted(table: Material) -> _Rows:
    rise, ahead = _rises(table.theta, _AHEAD)
    return _Rows(table.theta, rise, ahead.max(axis=1))


@lru_cache(maxsize=256)
def _reaching(table: Material, form: Form, around: Surroundings) -> _Rows:
    inner = table.temperature_c[::_STRIDE]
    flux = heat_flux(outer_c(inner, form, around), around, form.along_m, form.flow)
    rise, ahead = _rises(flux, _AHEAD // _STRIDE)
    return _Rows(flux, rise, ahead.min(axis=1))


def outer_c(inner_c: Floats, form: Form, around: Surroundings) -> Floats:
    """Return the temperature [°C] of a body's outside where its mix's surface is at `inner_c` [°C]; same shape.

    (outside - inside) / resistance = q(outside), by halving: what goes through a wall in the steady state (Fourier's
    law, a definition). With no wall, the same.
    """
    if not form.wall_m2k_w:
        return inner_c
    low, high = np.full_like(inner_c, COLDEST_C), np.full_like(inner_c, WARMEST_C)
    for _ in range(50):
        middle = (low + high) / 2
        over = (middle - inner_c) / form.wall_m2k_w > heat_flux(middle, around, form.along_m, form.flow)
        low, high = np.where(over, low, middle), np.where(over, middle, high)
    return (low + high) / 2


def _rises(values: Floats, ahead: int) -> tuple[Floats, Floats]:
    """Return how much `values` rise over each cell, shape (n,), and over it and those `ahead` of it, (n, ahead + 1)."""
    rise = np.append(np.diff(values), values[-1] - values[-2])
    padded = np.pad(rise, (0, ahead), mode="edge")
    return rise, np.lib.stride_tricks.sliding_window_view(padded, ahead + 1)
