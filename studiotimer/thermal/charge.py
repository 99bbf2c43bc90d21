"""A charge of dry ice, and what people near it must know: limits and cautions, no arithmetic."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Form = Literal["slab", "pellets", "crushed"]

OUTDOOR_PPM = 420.0  # outdoor air in the 2020s, a round figure (memory)
LIMITS_PPM: dict[str, float] = {
    "over a working day (8 h)": 5_000.0,
    "for 15 minutes": 30_000.0,
    "immediately dangerous to life": 40_000.0,
}
LIMITS_SOURCE = "NIOSH Pocket Guide to Chemical Hazards, carbon dioxide"

CAUTIONS_SHORT = (
    "Gloves and eye protection. Ventilate; low places fill first. Never sealed in. Never in a closed car or cold "
    "room. A CO₂ monitor decides; at its alarm, everyone leaves"
)
CAUTIONS: tuple[str, ...] = (
    "Handle dry ice only with dry insulated gloves and eye protection; at −78.5 °C (−109 °F) it burns bare skin.",
    "Keep the room ventilated, and keep people and faces out of low places: the gas is heavier than air and fills "
    "them first.",
    "Never shut dry ice in a sealed container: the gas bursts it.",
    "Never carry it in a closed car, and never leave it in a cold room or any closed space.",
    "A CO₂ monitor decides whether the room is safe; an estimate does not. At its alarm, everyone leaves.",
    "Local codes, the supplier's safety data sheet and licensed practice come before anything shown here.",
)


@dataclass(frozen=True, slots=True)
class Charge:
    """Dry ice put out, a definition: `mass_kg` [kg], its form, and `at` [s] on any clock shared by the charges."""

    mass_kg: float
    form: Form = "pellets"
    at: float = 0.0
