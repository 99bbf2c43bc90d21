"""What is around a scoop: the air, the walls it sees, the moisture, the light and the draught."""

from __future__ import annotations

from dataclasses import dataclass, replace

from studiotimer.thermal.air import PRESSURE_PA, humidity_ratio

PULLING_DRAUGHT_M_S = 0.2  # own rule: a person beside it, who stands
CARRYING_DRAUGHT_M_S = 0.5  # own rule: a careful walk


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What heats a scoop in one place: `air.heat_flux` is what is made of it.

    `air_c` and `walls_c` [°C], `humidity_ratio` [kg/kg of dry air], `absorbed_w_m2` [W/m2] of light, `draught_m_s`
    [m/s], `pressure_pa` [Pa].
    """

    air_c: float
    walls_c: float
    humidity_ratio: float
    absorbed_w_m2: float = 0.0
    draught_m_s: float = 0.0
    pressure_pa: float = PRESSURE_PA


def room(
    air_c: float,
    humidity_fraction: float,
    absorbed_w_m2: float = 0.0,
    draught_m_s: float = 0.0,
    pressure_pa: float = PRESSURE_PA,
) -> Surroundings:
    """Return a room with walls at the air's temperature `air_c` [°C] (own rule); `humidity_fraction` [-] is relative, 0
    to 1.

    With `absorbed_w_m2` [W/m2] of light, `draught_m_s` [m/s] and `pressure_pa` [Pa]; w = `air.humidity_ratio`.
    """
    ratio = float(humidity_ratio(air_c, humidity_fraction, pressure_pa))
    return Surroundings(air_c, air_c, ratio, absorbed_w_m2, draught_m_s, pressure_pa)


def cold_store(temp_c: float) -> Surroundings:
    """Return a freezer or box at `temp_c` [°C]: still air saturated over ice, walls like it (own rule)."""
    return room(temp_c, 1.0)


def pulling(around: Surroundings) -> Surroundings:
    """Return a room while a scoop is drawn, looked at and put down in it: its air at 0.2 m/s, no light (own rule)."""
    return replace(around, absorbed_w_m2=0.0, draught_m_s=PULLING_DRAUGHT_M_S)


def carrying(around: Surroundings) -> Surroundings:
    """Return the walk to the set through a room: its air at 0.5 m/s, no light (own rule)."""
    return replace(around, absorbed_w_m2=0.0, draught_m_s=CARRYING_DRAUGHT_M_S)


def chilled(around: Surroundings, local_air_c: float) -> Surroundings:
    """Return a place in a room where dry ice keeps the air at `local_air_c` [°C].

    The walls stay the room's; w = min(w of the room, w_sat(local air)): own rule, the rest of its moisture has frozen
    out.
    """
    most = float(humidity_ratio(local_air_c, 1.0, around.pressure_pa))
    return replace(around, air_c=local_air_c, humidity_ratio=min(around.humidity_ratio, most))
