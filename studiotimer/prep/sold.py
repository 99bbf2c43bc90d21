"""Dry ice as suppliers sell it: by weight, in blocks or in bags, often no less than so much."""

from __future__ import annotations

import math
from typing import NamedTuple

from studiotimer import units
from studiotimer.prep.found import counted
from studiotimer.prep.parts import DryIce

USUAL_KG = {"metric": 5.0, "US": 10 * units.KG_PER_LB}
"""What a block or bag weighs where nobody says (a block of 10 x 10 x 2 in about 10 lb: suppliers' guidance)."""


class SoldAs(NamedTuple):
    """What is bought: its mass [kg], as it is ordered, and why it is that much where that is not plain."""

    kg: float
    text: str
    why: str


def as_sold(ice: DryIce, wanted_kg: float, style: units.Style) -> SoldAs:
    """Return the least that a supplier sells which is no less than `wanted_kg`.

    By weight in whole kilograms, or pounds; in whole blocks or bags; never less than the supplier's least.
    """
    least = float(ice.minimum_kg or 0.0)
    kg = max(wanted_kg, least)
    why = f"; no less than {units.mass(least, style, 0)} is sold" if least > wanted_kg else ""
    if ice.sold == "by weight":
        text, kg = bought(kg, style), whole_kg(kg, style)
        return SoldAs(kg, text, why)
    each = float(ice.unit_kg) if ice.unit_kg is not None else USUAL_KG[style]
    count = max(math.ceil(kg / each - 1e-9), 1)
    said = counted(count, ice.sold.removesuffix("s"), ice.sold)
    return SoldAs(count * each, f"{said} of {_weight(each, style)}, {_weight(count * each, style)}", why)


def whole_kg(mass_kg: float, style: units.Style) -> float:
    """Return a mass [kg] rounded up to a whole kilogram, or pound."""
    size = 1.0 if style == "metric" else units.KG_PER_LB
    return math.ceil(mass_kg / size - 1e-9) * size


def bought(mass_kg: float, style: units.Style) -> str:
    """Return a mass [kg] as it is bought by weight, rounded up to a whole kilogram, or pound."""
    return units.mass(whole_kg(mass_kg, style), style, 0)


def _weight(kg: float, style: units.Style) -> str:
    shown = kg if style == "metric" else kg / units.KG_PER_LB
    return units.mass(kg, style, 0 if abs(shown - round(shown)) < 0.05 else 1)
