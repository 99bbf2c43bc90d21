"""Density, enthalpy and conductivity of a mix from its composition.

Component correlations by Choi and Okos (1986), as in the ASHRAE Handbook Refrigeration, Thermal Properties of Foods
(from memory); ice in the unfrozen phase by Levy (1981), as Fricke and Becker advise (HVAC&R Research 7:4, 2001);
air by Maxwell and Eucken.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from studiotimer.thermal.freezing import ice_fraction
from studiotimer.thermal.mix import Mix

ICE_DENSITY = 916.89  # kg/m3 at 0 °C
FUSION = 333.6e3  # J/kg, of water at 0 °C (memory; `tests/outside/test_water.py`)
LIMIT_C = -40.0  # the correlations' limit; colder, each coefficient stays as it is there
AIR_CONDUCTIVITY = 0.0243  # W/(m K), near 0 °C (memory)
_STANDARD_C = 4.0  # where a mix is whipped and weighed: overrun is by volume there
_TRACE = 1e-9  # m3/kg: less unfrozen phase than this conducts nothing that matters

_SOLIDS = ("protein", "fat", "carbohydrate", "ash")
_CONDUCTIVITY = {  # W/(m K): a + b t + c t2
    "protein": (1.7881e-1, 1.1958e-3, -2.7178e-6), "fat": (1.8071e-1, -2.7604e-4, -1.7749e-7),
    "carbohydrate": (2.0141e-1, 1.3874e-3, -4.3312e-6), "ash": (3.2962e-1, 1.4011e-3, -2.9069e-6),
    "water": (5.7109e-1, 1.7625e-3, -6.7036e-6), "ice": (2.2196, -6.2489e-3, 1.0154e-4),
}  # fmt: skip
_DENSITY = {  # kg/m3
    "protein": (1329.9, -0.5184, 0.0), "fat": (925.59, -0.41757, 0.0), "carbohydrate": (1599.1, -0.31046, 0.0),
    "ash": (2423.8, -0.28063, 0.0), "water": (997.18, 3.1439e-3, -3.7574e-3), "ice": (916.89, -0.13071, 0.0),
}  # fmt: skip
_HEAT = {  # J/(kg K)
    "protein": (2008.2, 1.2089, -1.3129e-3), "fat": (1984.2, 1.4733, -4.8008e-3),
    "carbohydrate": (1548.8, 1.9625, -5.9399e-3), "ash": (1092.6, 1.8896, -3.6817e-3),
    "cold water": (4081.7, -5.3062, 0.99516), "warm water": (4176.2, -9.0864e-2, 5.4731e-3),
    "ice": (2062.3, 6.0769, 0.0),
}  # fmt: skip

Floats = NDArray[np.float64]


def _value(coefficients: tuple[float, float, float], t: Floats) -> Floats:
    a, b, c = coefficients
    held = np.maximum(t, LIMIT_C)
    return a + held * (b + held * c)


def _integral(coefficients: tuple[float, float, float], t: Floats) -> Floats:
    """Return the integral of a + b t + c t² from 0 to `t`, its value held below the correlations' limit."""
    a, b, c = coefficients
    held = np.maximum(t, LIMIT_C)
    return held * (a + held * (b / 2 + held * c / 3)) + _value(coefficients, t) * (t - held)


def water_enthalpy(t_c: ArrayLike) -> Floats:
    """Return the enthalpy of liquid water [J/kg] above that at 0 °C, at `t_c` [°C]; same shape.

    H = integral of c_p dT from 0, c_p = a + b t + c t², one set below 0 °C and one above [1], [2].

    References
    ----------
    .. [1] Y. Choi and M. R. Okos, "Effects of temperature and composition on the thermal properties of foods", in: Food
         Engineering and Process Applications 1, Elsevier, 1986, 93-101 (coefficients from memory).
    .. [2] ASHRAE Handbook Refrigeration, chapter Thermal Properties of Foods (memory).
    """
    t = np.asarray(t_c, dtype=float)
    return np.where(t < 0, _integral(_HEAT["cold water"], t), _integral(_HEAT["warm water"], t))


def ice_enthalpy(t_c: ArrayLike) -> Floats:
    """Return the enthalpy of ice [J/kg] above that of liquid water at 0 °C, at `t_c` [°C]; same shape.

    H = integral of c_p dT from 0, less 333.6 kJ/kg, c_p = a + b t [1], [2].

    References
    ----------
    .. [1] Y. Choi and M. R. Okos, "Effects of temperature and composition on the thermal properties of foods", in: Food
         Engineering and Process Applications 1, Elsevier, 1986, 93-101 (coefficients from memory).
    .. [2] ASHRAE Handbook Refrigeration, chapter Thermal Properties of Foods (memory).
    """
    return _integral(_HEAT["ice"], np.asarray(t_c, dtype=float)) - FUSION


def mix_density(mix: Mix) -> float:
    """Return the density of the mix [kg/m3] at 4 °C, all water liquid and no air in it.

    rho = 1 / sum(x_i / rho_i), rho_i = a + b t + c t² [1].

    References
    ----------
    .. [1] Y. Choi and M. R. Okos, "Effects of temperature and composition on the thermal properties of foods", in: Food
         Engineering and Process Applications 1, Elsevier, 1986, 93-101 (coefficients from memory).
    """
    t = np.asarray(_STANDARD_C)
    parts = {name: getattr(mix, name) for name in (*_SOLIDS, "water")}
    volume = sum(share / float(_value(_DENSITY[name], t)) for name, share in parts.items())
    return float(sum(parts.values()) / volume)


def density(mix: Mix) -> float:
    """Return the density of the product [kg/m3]: rho_mix / (1 + OR), the definition of overrun."""
    return mix_density(mix) / (1.0 + mix.overrun)


def ice_volume_share(mix: Mix, ice: ArrayLike) -> Floats:
    """Return phi [-], the ice volume share of the mix without its air, at ice fraction `ice` [-]; same shape.

    phi = w X rho_mix / 916.89, by definition; ice's density at 0 °C from [1].

    References
    ----------
    .. [1] Y. Choi and M. R. Okos, "Effects of temperature and composition on the thermal properties of foods", in: Food
         Engineering and Process Applications 1, Elsevier, 1986, 93-101 (coefficients from memory).
    """
    return mix.water / 100.0 * np.asarray(ice, dtype=float) * (mix_density(mix) / ICE_DENSITY)


def enthalpy_at(mix: Mix, t_c: ArrayLike, ice: ArrayLike) -> Floats:
    """Return the enthalpy [J/kg] at `t_c` [°C] and ice fraction `ice` [-], zero for all-liquid mix at 0 °C; broadcast.

    H = sum of x_i integral(c_i) + (w - w X) H_water + w X H_ice, a state function, c_i = a + b t + c t² [1], [2]; below
    -40 °C, their limit, c_i stays.

    References
    ----------
    .. [1] Y. Choi and M. R. Okos, "Effects of temperature and composition on the thermal properties of foods", in: Food
         Engineering and Process Applications 1, Elsevier, 1986, 93-101 (coefficients from memory).
    .. [2] ASHRAE Handbook Refrigeration, chapter Thermal Properties of Foods (memory).
    """
    t = np.asarray(t_c, dtype=float)
    frozen = mix.water / 100.0 * np.asarray(ice, dtype=float)
    total = (mix.water / 100.0 - frozen) * water_enthalpy(t) + frozen * ice_enthalpy(t)
    for name in _SOLIDS:
        total = total + getattr(mix, name) / 100.0 * _integral(_HEAT[name], t)
    return total


def enthalpy(mix: Mix, t_c: ArrayLike) -> Floats:
    """Return the enthalpy [J/kg] of the mix in equilibrium at `t_c` [°C]; same shape. H(T, X(T)), by definition."""
    return enthalpy_at(mix, t_c, ice_fraction(mix, t_c))


def conductivity_at(mix: Mix, t_c: ArrayLike, ice: ArrayLike) -> Floats:
    """Return the conductivity [W/(m K)] of the product at `t_c` [°C] and ice fraction `ice` [-]; arrays broadcast.

    k of the unfrozen phase = sum of v_i k_i, k_i = a + b t + c t² [1]; ice in it by Levy [2], which did best for frozen
    foods in [3]; air in that by Maxwell and Eucken [4], its k 0.0243 W/(m K) and its share OR / (1 + OR).

    References
    ----------
    .. [1] Y. Choi and M. R. Okos, "Effects of temperature and composition on the thermal properties of foods", in: Food
         Engineering and Process Applications 1, Elsevier, 1986, 93-101 (coefficients from memory).
    .. [2] F. L. Levy, 1981, as Fricke and Becker [3] give it (memory).
    .. [3] B. A. Fricke and B. R. Becker, "Evaluation of thermophysical property models for foods", HVAC&R Research 7
         (4), 2001, 311-330.
    .. [4] J. C. Maxwell, 1873, and A. Eucken, 1940, as [3] has them (memory).
    """
    t = np.asarray(t_c, dtype=float)
    frozen = mix.water / 100.0 * np.asarray(ice, dtype=float)
    masses = {name: np.full_like(t, getattr(mix, name) / 100.0) for name in _SOLIDS}
    masses["water"] = mix.water / 100.0 - frozen
    volumes = {name: mass / _value(_DENSITY[name], t) for name, mass in masses.items()}
    unfrozen = np.asarray(sum(volumes.values()))
    weighted = np.asarray(sum(volume * _value(_CONDUCTIVITY[name], t) for name, volume in volumes.items()))
    plain = np.where(unfrozen > _TRACE, weighted / np.maximum(unfrozen, _TRACE), 1.0)
    ice_volume = frozen / _value(_DENSITY["ice"], t)
    solid = _levy(plain, _value(_CONDUCTIVITY["ice"], t), ice_volume / (ice_volume + unfrozen))
    return _maxwell_eucken(solid, AIR_CONDUCTIVITY, mix.overrun / (1.0 + mix.overrun))


def _levy(plain: Floats, inside: Floats, share: Floats) -> Floats:
    """Return the conductivity of a phase with a volume `share` of another in it (Levy 1981)."""
    ratio = inside / plain
    s = (ratio - 1) ** 2 / ((ratio + 1) ** 2 + ratio / 2)
    a = 2 / s - 1 + 2 * share
    f = (a - np.sqrt(np.maximum(a * a - 8 * share / s, 0.0))) / 2
    return plain * (2 + ratio + 2 * (ratio - 1) * f) / (2 + ratio - (ratio - 1) * f)


def _maxwell_eucken(around: Floats, inside: float, share: float) -> Floats:
    """Return the conductivity of a phase with a volume `share` of bubbles in it (Maxwell, Eucken)."""
    difference = around - inside
    doubled = 2 * around + inside
    return around * (doubled - 2 * share * difference) / (doubled + share * difference)
