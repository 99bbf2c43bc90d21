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
    """Return the volume [m3] of the gas that 1 kg of dry ice becomes at `room_c` [°C] (ideal gas)."""
    return GAS_CONSTANT * (room_c + KELVIN) / (MOLAR_KG * pressure_pa)


def sublimation_kg_s(heat_w: ArrayLike) -> Floats:
    """Return the dry ice [kg/s] that `heat_w` [W] turns to gas; same shape."""
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
    """Return the CO2 [ppm] after `seconds` of a constant source [kg/s]; same shape.

    `volume_m3` is the room's, `changes_per_s` how often its air is renewed [1/s].
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
    """Return the CO2 [ppm] at the end of each piece (source [kg/s], seconds), shape (len(pieces),)."""
    levels = []
    for source, seconds in pieces:
        start_ppm = float(
            ppm_after(start_ppm, source, seconds, volume_m3=volume_m3, changes_per_s=changes_per_s,
                      room_c=room_c, pressure_pa=pressure_pa)
        )  # fmt: skip
        levels.append(start_ppm)
    return np.array(levels)
