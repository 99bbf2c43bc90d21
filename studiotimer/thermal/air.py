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

PRESSURE_PA = 101_325.0
KELVIN = 273.15
HEAT_OF_AIR = 1006.0  # J/(kg K)
EMISSIVITY = 0.95
STEFAN_BOLTZMANN = 5.670374419e-8
_GAS = 287.05  # J/(kg K)
_WATER_TO_AIR = 0.621945
_LEWIS = 0.87
_MASS_TRANSFER = 1.0 / (HEAT_OF_AIR * _LEWIS ** (2 / 3))
_GRAVITY = 9.80665
_BOILING_SHARE = 0.9  # of the pressure, the most that vapour is let reach: own rule, far hotter than any scoop

Floats = NDArray[np.float64]


class Air(Protocol):
    """What heats a surface; each may be one number or an array that goes with the surface temperatures."""

    @property
    def air_c(self) -> float | Floats: ...  # noqa: D102
    @property
    def walls_c(self) -> float | Floats: ...  # noqa: D102
    @property
    def humidity_ratio(self) -> float | Floats: ...  # noqa: D102
    @property
    def absorbed_w_m2(self) -> float | Floats: ...  # noqa: D102
    @property
    def draught_m_s(self) -> float | Floats: ...  # noqa: D102
    @property
    def pressure_pa(self) -> float | Floats: ...  # noqa: D102


def saturation_pressure(t_c: ArrayLike) -> Floats:
    """Return the saturation pressure of water [Pa] at `t_c` [°C]: over ice below 0, over water above."""
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
    """Return kg of water per kg of dry air at `t_c` [°C] and relative humidity `relative` (0 to 1)."""
    pressure = np.asarray(pressure_pa, dtype=float)
    vapour = np.minimum(np.asarray(relative) * saturation_pressure(t_c), _BOILING_SHARE * pressure)
    return np.asarray(_WATER_TO_AIR * vapour / (pressure - vapour))


def dew_point(ratio: float, pressure_pa: float = PRESSURE_PA) -> float:
    """Return the dew (or frost) point [°C] of air with humidity ratio `ratio` [kg/kg]; dry air gives -100."""
    low, high = -100.0, 95.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if humidity_ratio(middle, 1.0, pressure_pa) < ratio else (low, middle)
    return (low + high) / 2


def viscosity(t_c: ArrayLike) -> Floats:
    """Return the dynamic viscosity of dry air [Pa s] (Sutherland)."""
    k = np.asarray(t_c, dtype=float) + KELVIN
    ratio = k / 273.15
    return np.asarray(1.716e-5 * ratio * np.sqrt(ratio) * 383.55 / (k + 110.4))


def air_conductivity(t_c: ArrayLike) -> Floats:
    """Return the conductivity of dry air [W/(m K)] (Sutherland)."""
    k = np.asarray(t_c, dtype=float) + KELVIN
    ratio = k / 273.15
    return np.asarray(0.02414 * ratio * np.sqrt(ratio) * 467.15 / (k + 194.0))


def sphere_natural(rayleigh: ArrayLike, prandtl: ArrayLike) -> Floats:
    """Return the Nusselt number of a sphere in still air, laminar (Churchill 1983)."""
    shape = 0.589 / (1 + (0.469 / np.asarray(prandtl)) ** (9 / 16)) ** (4 / 9)
    return np.asarray(2 + shape * np.sqrt(np.sqrt(rayleigh)))


def sphere_forced(reynolds: ArrayLike, prandtl: ArrayLike) -> Floats:
    """Return the Nusselt number of a sphere in a draught (Ranz and Marshall 1952)."""
    return np.asarray(2 + 0.6 * np.sqrt(reynolds) * np.cbrt(prandtl))


def plate_natural(rayleigh: ArrayLike, prandtl: ArrayLike) -> Floats:
    """Return the Nusselt number of a vertical plate in still air, laminar (Churchill and Chu 1975, memory)."""
    shape = 0.670 / (1 + (0.492 / np.asarray(prandtl)) ** (9 / 16)) ** (4 / 9)
    return np.asarray(0.68 + shape * np.sqrt(np.sqrt(rayleigh)))


def plate_forced(reynolds: ArrayLike, prandtl: ArrayLike) -> Floats:
    """Return the mean Nusselt number of a plate along which air moves, laminar (Pohlhausen 1921, memory)."""
    return np.asarray(0.664 * np.sqrt(reynolds) * np.cbrt(prandtl))


def cylinder_natural(rayleigh: ArrayLike, prandtl: ArrayLike) -> Floats:
    """Return the Nusselt number of a horizontal cylinder in still air (Churchill and Chu 1975, memory)."""
    shape = 0.387 / (1 + (0.559 / np.asarray(prandtl)) ** (9 / 16)) ** (8 / 27)
    return np.asarray((0.60 + shape * np.asarray(rayleigh) ** (1 / 6)) ** 2)


def cylinder_forced(reynolds: ArrayLike, prandtl: ArrayLike) -> Floats:
    """Return the mean Nusselt number of a cylinder across which air moves (Churchill and Bernstein 1977, memory)."""
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
    """Return the heat transfer coefficient [W/(m2 K)] of a body `width_m` [m] across; film temperature."""
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

    Convection, radiation from the walls, moisture settling or leaving by the heat and mass transfer analogy with
    Le = 0.87, and absorbed light. `width_m` is the scoop's diameter, or what another `flow` is reckoned with.
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
    """Return the water [kg/(m2 s)] that settles on a surface at `surface_c` [°C], below 0 where it dries; see above."""
    surface = np.asarray(surface_c, dtype=float)
    h = convection(surface, around.air_c, around.draught_m_s, width_m, around.pressure_pa, flow)
    return np.asarray(h * _MASS_TRANSFER * _moisture(surface, around))


def _moisture(surface: Floats, around: Air) -> Floats:
    return np.asarray(around.humidity_ratio - humidity_ratio(surface, 1.0, around.pressure_pa))
