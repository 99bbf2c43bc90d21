"""How far what is dissolved in water lowers its freezing point: sugars as sucrose, and the salts of milk.

After W. Leighton, J. Dairy Science 10 (1927), 300, and Goff and Hartel, Ice Cream; sucrose by Pickering 1891. Table
values from memory.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

FREEZING_STOPS_C = -35.0  # own rule: colder than the table's last point the curve is only extrapolated

# °C below 0 against g of sucrose in 100 g of water, every 3 g from 0 (Pickering 1891, after Leighton; from memory)
_STEP_G = 3.0
_DEPRESSION = np.array([
    0, .18, .35, .53, .72, .90, 1.10, 1.29, 1.47, 1.67, 1.86, 2.03, 2.21, 2.40, 2.60, 2.78, 2.99, 3.20, 3.42, 3.63,
    3.85, 4.10, 4.33, 4.54, 4.77, 5.00, 5.26, 5.53, 5.77, 5.99, 6.23, 6.50, 6.80, 7.04, 7.32, 7.56, 7.80, 8.04, 8.33,
    8.62, 8.92, 9.19, 9.45, 9.71, 9.96, 10.22, 10.47, 10.72, 10.97, 11.19, 11.41, 11.63, 11.88, 12.14, 12.40, 12.67,
    12.88, 13.08, 13.28, 13.48, 13.68,
])  # fmt: skip
_SUGAR_G = _STEP_G * np.arange(_DEPRESSION.size)
_BEYOND = (_DEPRESSION[-1] - _DEPRESSION[-11]) / (10 * _STEP_G)  # °C per g past the table: own rule, its last slope
_SALT = 2.37  # °C per (g of milk solids not fat per g of water), as the University of Guelph has Leighton's


def sucrose_equivalent(msnf: float, whey: float, sucrose: float, css: float, css_de: float, dextrose: float) -> float:
    """Return the grams of sucrose in 100 g of mix with the same effect on freezing [g/100 g].

    SE = 0.545 msnf + 0.765 whey + sucrose + 1.9 css DE / 100 + 1.9 dextrose [1], [2]; `msnf`, `whey`, `sucrose`, `css`
    and `dextrose` in mass percent [%], `css_de` [-] the dextrose equivalent.

    References
    ----------
    .. [1] A. Leighton, "On the calculation of the freezing point of ice-cream mixes and of the quantities of ice
         separated during the freezing process", J. Dairy Science 10, 1927, 300-308.
    .. [2] H. D. Goff and R. W. Hartel, Ice Cream, Springer, 2013.
    """
    return 0.545 * msnf + 0.765 * whey + sucrose + 1.9 * css * css_de / 100.0 + 1.9 * dextrose


def depression_curve(
    equivalent: float, salts: float, at_most: float = np.inf
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the points (depression [°C], y [1/(g/100 g)]) of the freezing curve, which is linear between them.

    depression = F(SE y) + 2.37 salts y / 100 [1], F of sucrose in water in g per 100 g [2], beyond its table at the
    slope of its last 30 g (own rule). y is 100 over the unfrozen water [g/100 g of mix]; `equivalent` and `salts`
    [g/100 g]. The points run from y = 0 to the y that gives 40 °C, or to the y of `at_most` [1/(g/100 g)]; shape (n,)
    each.

    References
    ----------
    .. [1] A. Leighton, "On the calculation of the freezing point of ice-cream mixes and of the quantities of ice
         separated during the freezing process", J. Dairy Science 10, 1927, 300-308.
    .. [2] S. U. Pickering, 1891, as Leighton has it (the table is from memory).
    """
    salt_slope = _SALT * salts / 100.0
    if np.isfinite(at_most):
        end = at_most
    else:
        final_slope = salt_slope + _BEYOND * equivalent
        end = 1000.0 / final_slope if final_slope > 0 else np.inf
    inside = _SUGAR_G / equivalent if equivalent > 1e-9 else np.zeros(1)
    y = np.append(inside[inside < end], end)
    sugar = equivalent * y
    past = np.maximum(sugar - _SUGAR_G[-1], 0.0)
    return np.asarray(np.interp(sugar, _SUGAR_G, _DEPRESSION) + _BEYOND * past + salt_slope * y), y
