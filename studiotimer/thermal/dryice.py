"""Dry ice: how long a charge lasts, the cold air it keeps over the set, and the CO2 it leaves in the room.

Properties of CO2 from memory of the usual tables. Charge shapes, the heat transfer coefficient and the link from heat
to local air are own rules; the link is set right by a reading beside the scoop.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from studiotimer.thermal.charge import Charge, Form

FACE_C = -97.0
"""In moving room air, where little CO2 is over it: measured -97.3 °C (Purandare, Verbruggen and Vanapalli, University
of Twente). Reckoned so on set and in an open box: more gas, sooner gone, the cautious side."""
LATENT_J_KG = 571e3  # of sublimation at -78.5 °C (memory)
DENSITY_KG_M3 = 1560.0  # of a solid block (memory)
MOLAR_KG = 0.04401  # of CO2 (memory)
GAS_CONSTANT = 8.314  # J/(mol K)
COEFFICIENT_W_M2K = 10.0  # own rule: a sphere of 10 cm by Churchill 1983, with radiation, gives 10.6
AREA_FACTOR: dict[Form, float] = {"slab": 6.0, "pellets": 12.0, "crushed": 18.0}
"""c in A = c (m / rho)^(2/3): own rule, 6 a cube's, twice that of a pile of pellets, three times of crushed."""
LINK_K_W = 0.15  # kelvin of cooling per watt of heat taken up, until a reading tells: own rule
COLDEST_LOCAL_C = -40.0  # own rule: the foods' correlations end there (`properties.LIMIT_C`)

Floats = NDArray[np.float64]


def left_kg(charge: Charge, room_c: float, seconds: ArrayLike) -> Floats:
    """Return what is left [kg] of a charge `seconds` [s] after it was put out in a room at `room_c` [°C]; same shape.

    m^(1/3) = m0^(1/3) - h (T_room - T_face) c / (3 L rho^(2/3)) t: the heat balance L dm/dt = -h A (T_room - T_face) of
    a body that keeps its shape, A = c (m / rho)^(2/3). T_face as measured in [1]; h and c are own rules, L and rho from
    memory.

    References
    ----------
    .. [1] A. Purandare, W. Verbruggen and S. Vanapalli, "Experimental and theoretical investigation of the dry ice
         sublimation temperature for varying far-field pressure and CO2 concentration", University of Twente.
    """
    span = np.maximum(np.asarray(seconds, dtype=float), 0.0)
    edge = np.cbrt(charge.mass_kg) - _shrinking(charge.form, room_c) * span
    return np.asarray(np.maximum(edge, 0.0) ** 3)


def lasts_s(charge: Charge, room_c: float) -> float:
    """Return how long [s] a charge lasts in a room at `room_c` [°C]; infinite where nothing sublimes.

    t = m^(1/3) over the rate of `left_kg` (its heat balance, own rule in h and c).
    """
    pace = _shrinking(charge.form, room_c)
    return math.cbrt(charge.mass_kg) / pace if pace > 0.0 else math.inf


def least_kg(form: Form, room_c: float, heat_w: float, after_s: float) -> float:
    """Return the least charge [kg] of a form that still takes up `heat_w` [W] `after_s` [s] after it was put out.

    In a room at `room_c` [°C]; 0 where no heat is wanted, infinite where none is taken up. m^(1/3) = sqrt(Q rho^(2/3) /
    (c h (T_room - T_face))) + rate of `left_kg` times t: that heat balance and that of `heat_taken_w` turned round, own
    rules in h and c.
    """
    if heat_w <= 0.0:
        return 0.0
    flux = AREA_FACTOR[form] * _flux(room_c)
    if flux <= 0.0:
        return math.inf
    left = math.sqrt(heat_w * math.pow(DENSITY_KG_M3, 2 / 3) / flux)
    return (left + _shrinking(form, room_c) * after_s) ** 3


def heat_taken_w(charges: Sequence[Charge], room_c: float, at: ArrayLike) -> Floats:
    """Return the heat [W] that all charges take up at the times `at` [s] in a room at `room_c` [°C]; same shape.

    Q = sum of h A (T_room - T_face) over what is out, A as in `left_kg`. Own rule: charges add.
    """
    pace = {form: _shrinking(form, room_c) for form in AREA_FACTOR}
    began, edges, paces, areas = (
        np.array([(one.at, math.cbrt(one.mass_kg), pace[one.form], AREA_FACTOR[one.form]) for one in charges])
        .reshape(-1, 4)
        .T
    )
    span = np.asarray(at, dtype=float)[..., None] - began
    left = np.where(span >= 0.0, np.maximum(edges - paces * span, 0.0), 0.0)
    return np.asarray(_flux(room_c) / math.pow(DENSITY_KG_M3, 2 / 3) * np.sum(areas * left**2, axis=-1))


def local_air_c(room_c: ArrayLike, heat_w: ArrayLike, link_k_w: float = LINK_K_W) -> Floats:
    """Return the air [°C] over the set in a room at `room_c` [°C] while dry ice takes up `heat_w` [W]; broadcast.

    T = min(room, max(room - G max(Q, 0), -40)), G = `link_k_w` [K/W]. Own rule, corrected by a reading beside the
    scoop. Never warmer than the room and, unless the room is, never colder than -40 °C, where the mix's correlations
    end.
    """
    room = np.asarray(room_c, dtype=float)
    cooled = room - link_k_w * np.maximum(np.asarray(heat_w, dtype=float), 0.0)
    return np.asarray(np.minimum(room, np.maximum(cooled, COLDEST_LOCAL_C)))


def link_from_reading(room_c: float, reading_c: float, heat_w: float) -> float:
    """Return the link G [K/W] that a reading beside the scoop gives: 0 where the reading is no colder than the room.

    G = (room - reading) / Q, from `room_c` [°C], `reading_c` [°C] and `heat_w` [W]: `local_air_c` turned round, own
    rule. Raises ValueError when no dry ice is taking up heat, since then the reading tells nothing of it.
    """
    if heat_w <= 0.0:
        raise ValueError("no dry ice is out, so a reading beside the scoop says nothing of its effect")
    return max((room_c - reading_c) / heat_w, 0.0)


def _flux(room_c: float) -> float:
    return COEFFICIENT_W_M2K * max(room_c - FACE_C, 0.0)


def _shrinking(form: Form, room_c: float) -> float:
    """Return the rate [kg^(1/3) / s] at which m^(1/3) falls."""
    return _flux(room_c) * AREA_FACTOR[form] / (3.0 * LATENT_J_KG * math.pow(DENSITY_KG_M3, 2 / 3))
