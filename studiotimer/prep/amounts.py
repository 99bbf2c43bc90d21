"""Amounts of sauce and garnish: by weight, by volume, or counted."""

from __future__ import annotations

import math
import re
from typing import Annotated, NamedTuple

from pydantic import AfterValidator

from studiotimer import units
from studiotimer.plain import plain

EXAMPLE = "20 g, 15 ml or 2 wafers"
_COUNTED = r"^\s*(\d{1,4}(?:[.,]\d+)?)\s*(\D{0,40})$"
_MASS = units.MASS._replace(high=100.0)
_VOLUME = units.VOLUME._replace(high=0.1)
_KINDS = {
    "kg": ("g", "gram", "grams", "kg", "oz", "ounce", "ounces", "lb", "lbs"),
    "m3": ("ml", "l", "litre", "liter", "litres", "liters", "fl oz", "floz", "pt", "pint", "qt", "gal"),
}
_OUNCE_KG, _FLUID_OUNCE_M3 = units.KG_PER_LB / 16, 0.003785411784 / 128
_SPOONS = {"tbsp": 1 / 2, "tsp": 1 / 6}
"""US spoons in fluid ounces (NIST SP 811, appendix B.8)."""


class Amount(NamedTuple):
    """How much: a mass [kg] where `of` is "kg", a volume [m³] where it is "m3", else a count of what `of` names."""

    value: float
    of: str

    def times(self, factor: float) -> Amount:
        """Return so many times as much."""
        return Amount(self.value * factor, self.of)

    def text(self, style: units.Style = "metric") -> str:
        """Return it as it is bought, rounded up: to 10 g or ml, to an ounce, a fluid ounce, or a whole one."""
        if self.of not in ("kg", "m3"):
            return f"{math.ceil(self.value - 1e-9)} × {self.of}"
        if style == "US":
            ounce = _OUNCE_KG if self.of == "kg" else _FLUID_OUNCE_M3
            return f"{max(math.ceil(self.value / ounce - 1e-9), 1):,} {'oz' if self.of == 'kg' else 'fl oz'}"
        small = self.value * (1e3 if self.of == "kg" else 1e6)
        return f"{max(math.ceil(small / 10 - 1e-9), 1) * 10:,} {'g' if self.of == 'kg' else 'ml'}"


def parse_amount(text: str) -> Amount | None:
    """Return the amount written; None where nothing is; raises ValueError with what would be right."""
    if not text.strip():
        return None
    found = re.match(_COUNTED, text)
    if not found:
        raise ValueError(f"“{text.strip():.40}” is no amount; write {EXAMPLE}")
    number, word = float(found.group(1).replace(",", ".")), " ".join(found.group(2).split())
    if not number > 0.0:
        raise ValueError(f"“{text.strip():.40}” is not possible; give more than 0")
    if (spoon := _SPOONS.get(word.lower())) is not None:
        return Amount(number * spoon * _FLUID_OUNCE_M3, "m3")
    of = next((kind for kind, words in _KINDS.items() if word.lower().rstrip(".") in words), None)
    if of is None:
        return Amount(number, word or "pieces")
    quantity = _MASS if of == "kg" else _VOLUME
    try:
        return Amount(units.checked(units.parse(text, quantity, "value"), quantity, "value"), of)
    except units.UnitError as error:
        raise ValueError(str(error).removeprefix("value: ")) from None


def _amount(text: str) -> str:
    parse_amount(text)
    return plain(text)


AmountText = Annotated[str, AfterValidator(_amount)]
"""An amount for one scoop as it was written, empty where nobody said: "20 g", "15 ml", "2 wafers"."""
