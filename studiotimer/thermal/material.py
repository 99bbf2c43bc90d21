"""A mix tabulated over its enthalpy, so that one quick look-up gives temperature, ice and conduction."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from studiotimer.thermal.freezing import FREEZING_STOPS_C, freezing_temperature, ice_fraction, initial_freezing_point
from studiotimer.thermal.mix import Mix
from studiotimer.thermal.properties import conductivity_at, density, enthalpy, enthalpy_at, ice_volume_share

COLDEST_C = -90.0
WARMEST_C = 110.0
POINTS = 4097

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Material:
    """A mix over a uniform grid of enthalpy from -90 to 110 °C.

    `temperature_c`, `ice`, `phi` (ice volume share of the mix without its air) and `theta` (the integral of
    conductivity over temperature, W/m) have shape (POINTS,); `first` and `step` [J/kg] place the grid.
    """

    mix: Mix
    density: float
    first: float
    step: float
    temperature_c: Floats
    ice: Floats
    phi: Floats
    theta: Floats

    @property
    def enthalpies(self) -> Floats:
        """The grid [J/kg], shape (POINTS,)."""
        return np.asarray(self.first + self.step * np.arange(POINTS), dtype=float)

    def _at(self, table: Floats, h: ArrayLike) -> Floats:
        """Return `table` at enthalpy `h`, going on linearly past both ends."""
        place = (np.asarray(h, dtype=float) - self.first) / self.step
        i = np.clip(place, 0, POINTS - 2).astype(np.intp)
        low = table[i]
        return np.asarray(low + (place - i) * (table[i + 1] - low))

    def temperature(self, h: ArrayLike) -> Floats:
        """Return the temperature [°C] at enthalpy `h` [J/kg]; same shape."""
        return self._at(self.temperature_c, h)

    def enthalpy(self, t_c: ArrayLike) -> Floats:
        """Return the enthalpy [J/kg] at `t_c` [°C]; same shape."""
        return enthalpy(self.mix, t_c)

    def enthalpy_of_ice(self, ice: float) -> float:
        """Return the enthalpy [J/kg] at which the ice fraction has fallen to `ice`.

        Minus infinity when the mix never holds more ice than that.
        """
        if ice >= float(ice_fraction(self.mix, FREEZING_STOPS_C)):
            return -np.inf
        return float(enthalpy_at(self.mix, freezing_temperature(self.mix, ice), ice))


@lru_cache(maxsize=128)
def material(mix: Mix) -> Material:
    """Return the table of a mix, made once."""
    begin = initial_freezing_point(mix)
    most = float(ice_fraction(mix, FREEZING_STOPS_C))
    evenly_cold = ice_fraction(mix, np.linspace(begin, FREEZING_STOPS_C, 1500))
    ice = np.unique(np.concatenate([np.linspace(0.0, most, 2000), evenly_cold]))
    freezing = np.zeros_like(ice) if begin == 0.0 else freezing_temperature(mix, ice)
    cold = np.linspace(freezing[-1], COLDEST_C, 400)[1:]
    warm = np.linspace(WARMEST_C, begin, 800)[:-1]
    t = np.concatenate([warm, freezing, cold])[::-1]
    x = np.concatenate([np.zeros_like(warm), ice, np.full_like(cold, most)])[::-1]
    h = enthalpy_at(mix, t, x)
    k = conductivity_at(mix, t, x)
    theta = np.concatenate([[0.0], np.cumsum((k[1:] + k[:-1]) / 2 * np.diff(t))])
    grid = np.linspace(h[0], h[-1], POINTS)
    ice_grid = np.interp(grid, h, x)
    return Material(
        mix=mix, density=density(mix), first=float(h[0]), step=float(grid[1] - grid[0]),
        temperature_c=np.interp(grid, h, t), ice=ice_grid, phi=ice_volume_share(mix, ice_grid),
        theta=np.interp(grid, h, theta),
    )  # fmt: skip


@lru_cache(maxsize=4096)
def uniform_enthalpy(mix: Mix, t_c: float) -> float:
    """Return the enthalpy [J/kg] of a mix in equilibrium at one temperature [°C], computed once for each."""
    return float(enthalpy(mix, t_c))
