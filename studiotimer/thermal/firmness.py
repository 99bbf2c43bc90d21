"""How firm a mix is at a temperature, and the freezer setting that suits it (own rules)."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from studiotimer.thermal.freezing import ice_fraction
from studiotimer.thermal.mix import Mix
from studiotimer.thermal.properties import ice_volume_share

SCOOPABLE = 0.362  # own rule: at it a regular mix wants -18 °C, as is common practice
COLDEST_ADVISED_C = -24.0  # own rule: colder is asked of no freezer
WARMEST_ADVISED_C = -9.0  # own rule: nor warmer


def firmness(mix: Mix, t_c: ArrayLike) -> NDArray[np.float64]:
    """Return the firmness index [-] at `t_c` [°C], same shape: more ice, less air and colder is firmer.

    F = phi(T) / (1 + OR) exp(-(T + 15) / 20). Own rule, its scale set by `SCOOPABLE`.
    """
    t = np.asarray(t_c, dtype=float)
    phi = ice_volume_share(mix, ice_fraction(mix, t))
    return np.asarray(phi / (1.0 + mix.overrun) * np.exp(-(t + 15.0) / 20.0))


@lru_cache(maxsize=256)
def advised_freezer_c(mix: Mix) -> float:
    """Return the freezer setting [°C] at which the mix scoops well, kept within -24 to -9 °C.

    The T at which `firmness` is 0.362, by halving. Own rule: the four classes of ice cream come within the 0 to 10 °F
    of [1].

    References
    ----------
    .. [1] L. Bellingham and J. A. Bybee, Food Styling for Photographers, 2008, chapter on ice cream.
    """
    cold, warm = COLDEST_ADVISED_C, WARMEST_ADVISED_C
    if firmness(mix, warm) >= SCOOPABLE:
        return warm
    if firmness(mix, cold) <= SCOOPABLE:
        return cold
    for _ in range(50):
        middle = (cold + warm) / 2
        cold, warm = (middle, warm) if firmness(mix, middle) > SCOOPABLE else (cold, middle)
    return (cold + warm) / 2
