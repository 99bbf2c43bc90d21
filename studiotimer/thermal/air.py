"""Moist air around a scoop, and the heat it brings to a surface.

Saturation: Hyland and Wexler 1983 (ASHRAE Fundamentals, Psychrometrics, equations 5 and 6). Convection: Churchill 1983
(sphere, natural), Ranz and Marshall 1952 (sphere, forced), joined after Churchill 1977; other forms have correlations
of their own (`CONVECTED`). Viscosity and conductivity of dry air: Sutherland.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from studiotimer.thermal.form import Flow

PRESSURE_PA = 101_325.0  # the standard atmosphere, by definition
KELVIN = 273.15  # of 0 °C, by definition
HEAT_OF_AIR = 1006.0  # J/(kg K), dry air near 0 °C (memory)
EMISSIVITY = 0.95  # of ice, frost and water, which textbooks give from 0.9 to 0.98 (memory)
STEFAN_BOLTZMANN = 5.670374419e-8  # W/(m2 K4), exact in the SI of 2019
_GAS = 287.05  # J/(kg K), of dry air (memory)
_WATER_TO_AIR = 0.621945  # of molar masses: ASHRAE Handbook Fundamentals, Psychrometrics
_LEWIS = 0.87  # of water vapour in air: how heat spreads over how vapour does (memory)
_MASS_TRANSFER = 1.0 / (HEAT_OF_AIR * _LEWIS ** (2 / 3))
_GRAVITY = 9.80665  # m/s2, the standard one, by definition
_BOILING_SHARE = 0.9  # of the pressure, the most that vapour is let reach: own rule, far hotter than any scoop

Floats = NDArray[np.float64]


class Air(Protocol):
    """What heats a surface; each may be one number or an array that goes with the surface temperatures.

    `air_c` and `walls_c` [°C], `humidity_ratio` [kg/kg of dry air], `absorbed_w_m2` [W/m2], `draught_m_s` [m/s],
    `pressure_pa` [Pa]. A definition; `heat_flux` is what is made of it.
    """

    @property
    def air_c(self) -> float | Floats:
        """The air's temperature [°C]."""

    @property
    def walls_c(self) -> float | Floats:
        """The temperature [°C] of the walls that a surface sees."""

    @property
    def humidity_ratio(self) -> float | Floats:
        """The water in the air [kg/kg of dry air]."""

    @property
    def absorbed_w_m2(self) -> float | Floats:
        """The light taken up [W/m2]."""

    @property
    def draught_m_s(self) -> float | Floats:
        """How fast the air moves [m/s]."""

    @property
    def pressure_pa(self) -> float | Floats:
        """The air's pressure [Pa]."""


def saturation_pressure(t_c: ArrayLike) -> Floats:
    """Return the saturation pressure of water [Pa] at `t_c` [°C], same shape: over ice below 0, over water above.

    ln p = c1 / T + c2 + c3 T + c4 T² + c5 T³ + c6 T⁴ + c7 ln T, T in kelvin; the constants are those of [1], as
    equations 5 and 6 of [2] have them, from -100 °C to 200 °C.

    References
    ----------
    .. [1] R. W. Hyland and A. Wexler, "Formulations for the thermodynamic properties of the saturated phases of H2O
         from 173.15 K to 473.15 K", ASHRAE Transactions 89 (2A), 1983, 500-519.
    .. [2] ASHRAE Handbook Fundamentals, chapter Psychrometrics, 2017.
    """
    t = np.asarray(t_c, dtype=float)
    k = t + KELVIN
    log = np.log(k)
    ice = (
        -5674.5359 / k + 6.3925247 - 9.677843e-3 * k + 6.2215701e-7 * k**2
        + 2.0747825e-9 * k**3 - 9.484024e-13 * k**4 + 4.1635019 * log
    )  # fmt: skip
    water = -5800.2206 / k + 1.3914993 - 4.8640239e-2 * k + 4.1764768e-5 * k**2 - 1.4452093e-8 * k**3 + 6.5459673 * log
    return np.asarray(np.exp(np.where(t < 0, ice, water)))


def humidity_ratio(t_c: ArrayLike, relative: ArrayLike, pressure_pa: ArrayLike = PRESSURE_PA) -> Floats:
    """Return the water in air [kg/kg of dry air] at `t_c` [°C] and `relative` humidity [-] (0 to 1); arrays broadcast.

    w = 0.621945 p_v / (p - p_v), p_v = relative p_sat(t), p = `pressure_pa` [Pa]; equations 20 and 22 of [1] (numbers
    from memory). p_v is let reach 0.9 p at most: own rule, so that no scoop near boiling divides by nothing.

    References
    ----------
    .. [1] ASHRAE Handbook Fundamentals, chapter Psychrometrics, 2017.
    """
    pressure = np.asarray(pressure_pa, dtype=float)
    vapour = np.minimum(np.asarray(relative) * saturation_pressure(t_c), _BOILING_SHARE * pressure)
    return np.asarray(_WATER_TO_AIR * vapour / (pressure - vapour))


def dew_point(ratio: float, pressure_pa: float = PRESSURE_PA) -> float:
    """Return the dew (or frost) point [°C] of air with the water `ratio` [kg/kg of dry air]; dry air gives -100.

    The t at which w(t, 1, p) = ratio at `pressure_pa` [Pa], by halving between -100 and 95 °C; definition in [1].

    References
    ----------
    .. [1] ASHRAE Handbook Fundamentals, chapter Psychrometrics, 2017.
    """
    low, high = -100.0, 95.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if humidity_ratio(middle, 1.0, pressure_pa) < ratio else (low, middle)
    return (low + high) / 2


def viscosity(t_c: ArrayLike) -> Floats:
    """Return the dynamic viscosity of dry air [Pa s] at `t_c` [°C], same shape.

    mu = 1.716e-5 (T / 273.15)^1.5 (273.15 + 110.4) / (T + 110.4), T in kelvin [1].

    References
    ----------
    .. [1] W. Sutherland, "The viscosity of gases and molecular force", Philosophical Magazine 36, 1893 (memory; so are
         the constants).
    """
    k = np.asarray(t_c, dtype=float) + KELVIN
    ratio = k / 273.15
    return np.asarray(1.716e-5 * ratio * np.sqrt(ratio) * 383.55 / (k + 110.4))


def air_conductivity(t_c: ArrayLike) -> Floats:
    """Return the conductivity of dry air [W/(m K)] at `t_c` [°C], same shape.

    k = 0.02414 (T / 273.15)^1.5 (273.15 + 194) / (T + 194), T in kelvin: the form of [1].

    References
    ----------
    .. [1] W. Sutherland, "The viscosity of gases and molecular force", Philosophical Magazine 36, 1893 (memory; so are
         the constants).
    """
    k = np.asarray(t_c, dtype=float) + KELVIN
    ratio = k / 273.15
    return np.asarray(0.02414 * ratio * np.sqrt(ratio) * 467.15 / (k + 194.0))


def sphere_natural(rayleigh: ArrayLike, prandtl: ArrayLike) -> Floats:
    """Return the Nusselt number [-] of a sphere in still air, laminar; arrays broadcast.

    Nu = 2 + 0.589 Ra^(1/4) / (1 + (0.469 / Pr)^(9/16))^(4/9) [1], for the `rayleigh` number [-] and the `prandtl`
    number [-].

    References
    ----------
    .. [1] S. W. Churchill, in: E. U. Schlünder (editor), Heat Exchanger Design Handbook, Hemisphere, 1983.
    """
    shape = 0.589 / (1 + (0.469 / np.asarray(prandtl)) ** (9 / 16)) ** (4 / 9)
    return np.asarray(2 + shape * np.sqrt(np.sqrt(rayleigh)))


def sphere_forced(reynolds: ArrayLike, prandtl: ArrayLike) -> Floats:
    """Return the mean Nusselt number [-] of a sphere in a draught; arrays broadcast.

    Nu = 2 + 0.6 Re^(1/2) Pr^(1/3) [1], for the `reynolds` number [-] and the `prandtl` number [-].

    References
    ----------
    .. [1] W. E. Ranz and W. R. Marshall, "Evaporation from drops", Chemical Engineering Progress 48, 1952 (memory).
    """
    return np.asarray(2 + 0.6 * np.sqrt(reynolds) * np.cbrt(prandtl))


def plate_natural(rayleigh: ArrayLike, prandtl: ArrayLike) -> Floats:
    """Return the mean Nusselt number [-] of a vertical plate in still air, laminar; arrays broadcast.

    Nu = 0.68 + 0.670 Ra^(1/4) / (1 + (0.492 / Pr)^(9/16))^(4/9) [1], for the `rayleigh` number [-] and the `prandtl`
    number [-].

    References
    ----------
    .. [1] S. W. Churchill and H. H. S. Chu, "Correlating equations for laminar and turbulent free convection from a
         vertical plate", Int. J. Heat and Mass Transfer 18, 1975, 1323-1329 (constants from memory).
    """
    shape = 0.670 / (1 + (0.492 / np.asarray(prandtl)) ** (9 / 16)) ** (4 / 9)
    return np.asarray(0.68 + shape * np.sqrt(np.sqrt(rayleigh)))


def plate_forced(reynolds: ArrayLike, prandtl: ArrayLike) -> Floats:
    """Return the mean Nusselt number [-] of a plate along which air moves, laminar; arrays broadcast.

    Nu = 0.664 Re^(1/2) Pr^(1/3) [1], for the `reynolds` number [-] and the `prandtl` number [-].

    References
    ----------
    .. [1] E. Pohlhausen, Zeitschrift für angewandte Mathematik und Mechanik 1, 1921 (memory).
    """
    return np.asarray(0.664 * np.sqrt(reynolds) * np.cbrt(prandtl))


def cylinder_natural(rayleigh: ArrayLike, prandtl: ArrayLike) -> Floats:
    """Return the mean Nusselt number [-] of a horizontal cylinder in still air; arrays broadcast.

    Nu = (0.60 + 0.387 Ra^(1/6) / (1 + (0.559 / Pr)^(9/16))^(8/27))² [1], for the `rayleigh` number [-] and the
    `prandtl` number [-].

    References
    ----------
    .. [1] S. W. Churchill and H. H. S. Chu, "Correlating equations for laminar and turbulent free convection from a
         horizontal cylinder", Int. J. Heat and Mass Transfer 18, 1975, 1049-1053 (constants from memory).
    """
    shape = 0.387 / (1 + (0.559 / np.asarray(prandtl)) ** (9 / 16)) ** (8 / 27)
    return np.asarray((0.60 + shape * np.asarray(rayleigh) ** (1 / 6)) ** 2)


def cylinder_forced(reynolds: ArrayLike, prandtl: ArrayLike) -> Floats:
    """Return the mean Nusselt number [-] of a cylinder across which air moves; arrays broadcast.

    Nu = 0.3 + 0.62 Re^(1/2) Pr^(1/3) / (1 + (0.4 / Pr)^(2/3))^(1/4) (1 + (Re / 282,000)^(5/8))^(4/5) [1], for the
    `reynolds` number [-] and the `prandtl` number [-].

    References
    ----------
    .. [1] S. W. Churchill and M. Bernstein, "A correlating equation for forced convection from gases and liquids to a
         circular cylinder in crossflow", J. Heat Transfer 99, 1977, 300-306 (constants from memory).
    """
    re, pr = np.asarray(reynolds), np.asarray(prandtl)
    shape = 0.62 * np.sqrt(re) * np.cbrt(pr) / (1 + (0.4 / pr) ** (2 / 3)) ** 0.25
    return np.asarray(0.3 + shape * (1 + (re / 282_000) ** (5 / 8)) ** (4 / 5))


CONVECTED: dict[Flow, tuple[Callable[[Floats, Floats], Floats], Callable[[Floats, Floats], Floats], float]] = {
    "sphere": (sphere_natural, sphere_forced, 2.0),
    "plate": (plate_natural, plate_forced, 0.0),
    "cylinder": (cylinder_natural, cylinder_forced, 0.0),
}
"""Of each flow: still air's correlation, a draught's, and what is left of both where nothing moves (Churchill 1977)."""


def convection(
    surface_c: ArrayLike,
    air_c: ArrayLike,
    draught_m_s: ArrayLike,
    width_m: ArrayLike,
    pressure_pa: ArrayLike,
    flow: Flow = "sphere",
) -> Floats:
    """Return the heat transfer coefficient [W/(m2 K)] of a body in air; arrays broadcast.

    h = Nu k / L with L = `width_m` [m]; Nu = N0 + ((Nu_n - N0)³ + (Nu_f - N0)³)^(1/3) [1], Nu_n of still air at Ra = g
    |T_air - T_s| L³ Pr / (T_film nu²), Nu_f at Re = v L / nu, and N0 what is left where nothing moves (`CONVECTED`).
    T_s is `surface_c` [°C], T_air `air_c` [°C], v `draught_m_s` [m/s]; the air's properties at T_film = (T_air + T_s) /
    2 and `pressure_pa` [Pa] [2].

    References
    ----------
    .. [1] S. W. Churchill, "A comprehensive correlating equation for laminar, assisting, forced and free convection",
         AIChE Journal 23, 1977 (memory).
    .. [2] F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer (memory).
    """
    surface, air, width = np.asarray(surface_c), np.asarray(air_c), np.asarray(width_m)
    film = (surface + air) / 2
    k = film + KELVIN
    mu = viscosity(film)
    conductivity = air_conductivity(film)
    nu = mu * _GAS * k / np.asarray(pressure_pa)
    prandtl = mu * HEAT_OF_AIR / conductivity
    rayleigh = _GRAVITY / k * np.abs(air - surface) * width**3 / nu**2 * prandtl
    natural, forced, still = CONVECTED[flow]
    nusselt = natural(rayleigh, prandtl)
    if np.any(draught_m_s):
        driven = forced(np.asarray(draught_m_s) * width / nu, prandtl)
        nusselt = still + np.cbrt((nusselt - still) ** 3 + (driven - still) ** 3)
    return np.asarray(nusselt * conductivity / width)


def heat_flux(surface_c: ArrayLike, around: Air, width_m: ArrayLike, flow: Flow = "sphere") -> Floats:
    """Return the heat reaching a surface [W/m2] at `surface_c` [°C], same shape.

    q = h (T_air - T_s) + 0.95 sigma (T_walls⁴ - T_s⁴) + h / (c_p Le^(2/3)) (w_air - w_sat(T_s)) L_v + absorbed light:
    convection, radiation, moisture settling or leaving by the heat and mass transfer analogy [1] with Le = 0.87, and
    light. L_v = 2.501e6 + 0.333e6 clip(-T_s / 5, 0, 1) [J/kg], the ice's heat coming in over 5 K (own rule; numbers
    from memory). `width_m` [m] is the scoop's diameter, or what another `flow` is reckoned with.

    References
    ----------
    .. [1] F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer (memory).
    """
    surface = np.asarray(surface_c, dtype=float)
    h = convection(surface, around.air_c, around.draught_m_s, width_m, around.pressure_pa, flow)
    walls_k = np.asarray(around.walls_c) + KELVIN
    radiation = EMISSIVITY * STEFAN_BOLTZMANN * (walls_k**4 - (surface + KELVIN) ** 4)
    latent = 2.501e6 + 0.333e6 * np.clip(surface / -5.0, 0.0, 1.0)
    moisture = _moisture(surface, around)
    driving = around.air_c - surface + _MASS_TRANSFER * moisture * latent
    return np.asarray(h * driving + radiation + around.absorbed_w_m2)


def settling(surface_c: ArrayLike, around: Air, width_m: ArrayLike, flow: Flow = "sphere") -> Floats:
    """Return the water [kg/(m2 s)] that settles on a surface at `surface_c` [°C], below 0 where it dries; same shape.

    m = h / (c_p Le^(2/3)) (w_air - w_sat(T_s)), Le = 0.87: the analogy of `heat_flux` [1]; `width_m` [m] as there.

    References
    ----------
    .. [1] F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer (memory).
    """
    surface = np.asarray(surface_c, dtype=float)
    h = convection(surface, around.air_c, around.draught_m_s, width_m, around.pressure_pa, flow)
    return np.asarray(h * _MASS_TRANSFER * _moisture(surface, around))


def _moisture(surface: Floats, around: Air) -> Floats:
    return np.asarray(around.humidity_ratio - humidity_ratio(surface, 1.0, around.pressure_pa))
