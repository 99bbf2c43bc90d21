"""The freezing curve: how much of a mix's water is ice at a temperature.

After W. Leighton, J. Dairy Science 10 (1927), 300, and Goff and Hartel, Ice Cream: the sugars lower the freezing
point as their sucrose equivalent does (Pickering 1891), the milk salts add to it. Table values from memory.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from studiotimer.thermal.depression import FREEZING_STOPS_C, depression_curve
from studiotimer.thermal.mix import Mix


@lru_cache(maxsize=256)
def _curve(mix: Mix) -> tuple[NDArray[np.float64], NDArray[np.float64]] | None:
    """Return the freezing curve's points, or None for a mix without sugar or salts, which freezes all at 0 °C."""
    if mix.sucrose_equivalent < 1e-9 and mix.salts < 1e-9:
        return None
    return depression_curve(mix.sucrose_equivalent, mix.salts)


def ice_fraction(mix: Mix, t_c: ArrayLike) -> NDArray[np.float64]:
    """Return X [-], the mass of ice over the mass of all water, at temperature `t_c` [°C]; same shape.

    X = 1 - 100 / (y W) with y where `depression_curve` is -T [1], W the water [g/100 g]; 0 at and above the initial
    freezing point. Freezing out stops at -35 °C: own rule, since colder than the table's last -13.68 °C the curve is
    only extrapolated.

    References
    ----------
    .. [1] A. Leighton, "On the calculation of the freezing point of ice-cream mixes and of the quantities of ice
         separated during the freezing process", J. Dairy Science 10, 1927, 300-308.
    """
    t = np.asarray(t_c, dtype=float)
    curve = _curve(mix)
    if curve is None:
        return np.where(t < 0.0, 1.0, 0.0)
    below = -np.maximum(t, FREEZING_STOPS_C)
    y = np.interp(below, *curve)
    return np.asarray(1.0 - 100.0 / np.maximum(y * mix.water, 100.0))


def freezing_temperature(mix: Mix, ice: ArrayLike) -> NDArray[np.float64]:
    """Return the temperature [°C] at which the mix is in equilibrium at ice fraction `ice` [-], 0 <= X < 1; same shape.

    T = -depression(y), y = 100 / (W (1 - X)): `ice_fraction` turned round [1].

    References
    ----------
    .. [1] A. Leighton, "On the calculation of the freezing point of ice-cream mixes and of the quantities of ice
         separated during the freezing process", J. Dairy Science 10, 1927, 300-308.
    """
    x = np.asarray(ice, dtype=float)
    curve = _curve(mix)
    if curve is None:
        return np.zeros_like(x)
    y = 100.0 / (mix.water * (1.0 - x))
    return np.asarray(-np.interp(y, curve[1], curve[0]))


def initial_freezing_point(mix: Mix) -> float:
    """Return the temperature [°C] at which the first ice forms: `freezing_temperature` at X = 0, by definition."""
    return float(freezing_temperature(mix, 0.0))
