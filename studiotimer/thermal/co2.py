"""CO2 in a room, well mixed: V dC/dt = source - n V (C - 420 ppm). An estimate, never a substitute for a monitor."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from studiotimer.thermal.air import KELVIN, PRESSURE_PA
from studiotimer.thermal.charge import OUTDOOR_PPM
from studiotimer.thermal.dryice import GAS_CONSTANT, LATENT_J_KG, MOLAR_KG

Floats = NDArray[np.float64]


def gas_m3_kg(room_c: float, pressure_pa: float = PRESSURE_PA) -> float:
    """Return the volume [m3/kg] of the gas that dry ice becomes at `room_c` [°C] and `pressure_pa` [Pa].

    v = R T / (M p), the ideal gas's definition; M and R from memory. Held against [1]'s 1 ppm = 1.80 mg/m3.

    References
    ----------
    .. [1] NIOSH Pocket Guide to Chemical Hazards, carbon dioxide.
    """
    return GAS_CONSTANT * (room_c + KELVIN) / (MOLAR_KG * pressure_pa)


def sublimation_kg_s(heat_w: ArrayLike) -> Floats:
    """Return the dry ice [kg/s] that `heat_w` [W] turns to gas; same shape.

    m = Q / 571,000 J/kg, the heat of sublimation (memory); nothing where no heat is taken up. A definition.
    """
    return np.asarray(np.maximum(np.asarray(heat_w, dtype=float), 0.0) / LATENT_J_KG)


def ppm_after(
    start_ppm: float,
    source_kg_s: float,
    seconds: ArrayLike,
    *,
    volume_m3: float,
    changes_per_s: float,
    room_c: float = 20.0,
    pressure_pa: float = PRESSURE_PA,
) -> Floats:
    """Return the CO2 [ppm] after `seconds` [s] of a constant source `source_kg_s` [kg/s]; same shape.

    C = C_s + (C_0 - C_s) exp(-n t), C_s = 420 + 1e6 S / (n V): the mass balance V dC/dt = S - n V (C - 420 ppm) of a
    well-mixed room, by definition. C_0 is `start_ppm` [ppm], V `volume_m3` [m3], n `changes_per_s` [1/s], S the
    source's gas [m3/s] at `room_c` [°C] and `pressure_pa` [Pa] (`gas_m3_kg`). 420 ppm outdoors is a round figure
    (memory). The gas is heavier than air, and low places fill first: an estimate, never a substitute for a monitor.
    """
    span = np.asarray(seconds, dtype=float)
    inflow = source_kg_s * gas_m3_kg(room_c, pressure_pa) / volume_m3 * 1e6
    if changes_per_s <= 0.0:
        return np.minimum(start_ppm + inflow * span, 1e6)
    steady = OUTDOOR_PPM + inflow / changes_per_s
    return np.minimum(steady + (start_ppm - steady) * np.exp(-changes_per_s * span), 1e6)


def ppm_over(
    start_ppm: float,
    pieces: Sequence[tuple[float, float]],
    *,
    volume_m3: float,
    changes_per_s: float,
    room_c: float = 20.0,
    pressure_pa: float = PRESSURE_PA,
) -> Floats:
    """Return the CO2 [ppm] at the end of each piece (source [kg/s], seconds [s]), shape (len(pieces),).

    `ppm_after`, its mass balance a definition, from one piece to the next: `start_ppm` [ppm], `volume_m3` [m3],
    `changes_per_s` [1/s], `room_c` [°C], `pressure_pa` [Pa] as there.
    """
    levels = []
    for source, seconds in pieces:
        start_ppm = float(
            ppm_after(start_ppm, source, seconds, volume_m3=volume_m3, changes_per_s=changes_per_s,
                      room_c=room_c, pressure_pa=pressure_pa)
        )  # fmt: skip
        levels.append(start_ppm)
    return np.array(levels)
