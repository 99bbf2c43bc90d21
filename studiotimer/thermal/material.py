"""A mix tabulated over its enthalpy, so that one quick look-up gives temperature, ice and conduction."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from studiotimer.thermal.depression import FREEZING_STOPS_C
from studiotimer.thermal.freezing import freezing_temperature, ice_fraction, initial_freezing_point
from studiotimer.thermal.mix import Mix
from studiotimer.thermal.properties import conductivity_at, density, enthalpy, enthalpy_at, ice_volume_share

COLDEST_C = -90.0  # own rule: below any dry-ice box
WARMEST_C = 110.0  # own rule: above any sauce
POINTS = 4097  # own rule: a cell is under 0.2 kJ/kg, and 4096 is divided by every stride

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Material:
    """A mix over a uniform grid of enthalpy from -90 to 110 °C. Numerics: tabulated once, linear between points.

    `temperature_c` [°C], `ice` [-], `phi` [-] (ice volume share of the mix without its air) and `theta` [W/m] (the
    integral of conductivity over temperature) have shape (POINTS,); `density` [kg/m3] is the product's, `first` [J/kg]
    and `step` [J/kg] place the grid.
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
        """The grid [J/kg], shape (POINTS,), by definition."""
        return np.asarray(self.first + self.step * np.arange(POINTS), dtype=float)

    def _at(self, table: Floats, h: ArrayLike) -> Floats:
        """Return `table` at enthalpy `h`, going on linearly past both ends."""
        place = (np.asarray(h, dtype=float) - self.first) / self.step
        i = np.clip(place, 0, POINTS - 2).astype(np.intp)
        low = table[i]
        return np.asarray(low + (place - i) * (table[i + 1] - low))

    def temperature(self, h: ArrayLike) -> Floats:
        """Return the temperature [°C] at enthalpy `h` [J/kg]; same shape. Numerics: read off the table."""
        return self._at(self.temperature_c, h)

    def temperature_at(self, h: float) -> float:
        """Return the temperature [°C] at one enthalpy `h` [J/kg]: as `temperature` does, in a tenth of its time.

        Numerics: read off the table.
        """
        place = (h - self.first) / self.step
        i = int(min(max(place, 0.0), POINTS - 2.0))
        low, high = self.temperature_c.item(i), self.temperature_c.item(i + 1)
        return float(low + (place - i) * (high - low))

    def enthalpy(self, t_c: ArrayLike) -> Floats:
        """Return the enthalpy [J/kg] at `t_c` [°C]; same shape. See `properties.enthalpy` for its sources."""
        return enthalpy(self.mix, t_c)

    def enthalpy_of_ice(self, ice: float) -> float:
        """Return the enthalpy [J/kg] at which the ice fraction has fallen to `ice` [-].

        H(T(X), X), by definition (`properties.enthalpy_at`). Minus infinity when the mix never holds more ice than
        that.
        """
        if ice >= float(ice_fraction(self.mix, FREEZING_STOPS_C)):
            return -np.inf
        return float(enthalpy_at(self.mix, freezing_temperature(self.mix, ice), ice))


@lru_cache(maxsize=128)
def material(mix: Mix) -> Material:
    """Return the table of a mix, made once.

    H(T), k(T) and X(T) of `properties` and `freezing`, Theta = integral of k dT [1] by the trapezoidal rule.

    References
    ----------
    .. [1] H. S. Carslaw and J. C. Jaeger, Conduction of Heat in Solids, Oxford, 1959.
    """
    begin = initial_freezing_point(mix)
    most = float(ice_fraction(mix, FREEZING_STOPS_C))
    evenly_cold = ice_fraction(mix, np.linspace(begin, FREEZING_STOPS_C, 1500))
    ice = np.array(sorted({*np.linspace(0.0, most, 2000).tolist(), *evenly_cold.tolist()}))  # np.unique loads numpy.ma
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
    """Return the enthalpy [J/kg] of a mix at `t_c` [°C], computed once for each.

    See `properties.enthalpy` for its sources.
    """
    return float(enthalpy(mix, t_c))
