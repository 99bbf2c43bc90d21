"""Several mixes' tables side by side, read for many scoops in one go."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from studiotimer.thermal.material import POINTS, Material

Floats = NDArray[np.float64]

_AHEAD = 24  # cells: the curve turns sharply where the last ice goes, and a step should see that coming


class Tables:
    """Conduction and temperature over enthalpy, for scoops that each have an `offset`, an `origin` and a `scale`."""

    def __init__(self, materials: Sequence[Material]) -> None:
        rows = [_rows(table) for table in materials]
        self._conduction = np.concatenate([conduction for conduction, _ in rows])
        self._temperature = np.concatenate([temperature for _, temperature in rows])

    def conduction(self, h: Floats, c: Any) -> tuple[Floats, Floats]:
        """Return the integral of conductivity [W/m] at `h`, and its steepest slope from there a little ahead."""
        return self._read(self._conduction, h, c)

    def temperature(self, h: Floats, c: Any) -> tuple[Floats, Floats]:
        """Return the temperature [°C] at `h`, and its steepest slope from there a little ahead."""
        return self._read(self._temperature, h, c)

    @staticmethod
    def _read(rows: Floats, h: Floats, c: Any) -> tuple[Floats, Floats]:
        place = h * c["scale"]
        place -= c["origin"]
        cell = np.minimum(np.maximum(place, 0.0), POINTS - 2.0).astype(np.intp)
        place -= cell
        cell += c["offset"]
        found = rows[cell]
        place *= found[..., 1]
        place += found[..., 0]
        return place, found[..., 2] * c["scale"]


@lru_cache(maxsize=128)
def _rows(table: Material) -> tuple[Floats, Floats]:
    """Return value, rise over the cell, and steepest rise ahead; shape (POINTS, 3) each."""
    return _with_rises(table.theta), _with_rises(table.temperature_c)


def _with_rises(values: Floats) -> Floats:
    rise = np.append(np.diff(values), values[-1] - values[-2])
    padded = np.pad(rise, (0, _AHEAD), mode="edge")
    steepest = np.lib.stride_tricks.sliding_window_view(padded, _AHEAD + 1).max(axis=1)
    return np.stack([values, rise, steepest], axis=1)
