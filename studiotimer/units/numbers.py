"""Numbers as people write them: "1/2", "2 ½", "1,240", "2,5"."""

from __future__ import annotations

import math
import re

_HALVES = {
    "½": 1 / 2, "¼": 1 / 4, "¾": 3 / 4, "⅓": 1 / 3, "⅔": 2 / 3, "⅛": 1 / 8, "⅜": 3 / 8, "⅝": 5 / 8, "⅞": 7 / 8,
}  # fmt: skip
_VULGAR = "".join(_HALVES)
_SPACES = str.maketrans({"\u00a0": " ", "\u202f": " ", "\u2009": " ", "−": "-", "–": "-"})
NUMBER = (
    rf"[-+]?(?:(?:\d+\s+)?\d+\s*/\s*\d+|(?:\d+\s*)?[{_VULGAR}]|[1-9]\d{{0,2}}(?:,\d{{3}})+(?:\.\d+)?(?![\d,])"
    r"|[1-9]\d{0,2}(?: \d{3})+(?:\.\d+)?(?!\d)|(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][-+]?\d+)?)"
)
_PARTS = rf"^(-|\+)?(?:(\d+)\s+)?(?:(\d+)\s*/\s*(\d+)|(\d+)?\s*([{_VULGAR}]))$"
_GROUPED = r"^[-+]?[1-9]\d{0,2}(?:[, ]\d{3})+(?:\.\d+)?$"


def tidy(text: str) -> str:
    """Return text with plain spaces and minus signs."""
    return text.translate(_SPACES).strip()


def number_of(text: str) -> float | None:
    """Return the number that a match of NUMBER states; None when it divides by zero."""
    if match := re.match(_PARTS, text):
        sign, whole, over, under, before, vulgar = match.groups()
        if under is not None and int(under) == 0:
            return None
        part = _HALVES[vulgar] if vulgar else int(over) / int(under)
        value = int(whole or before or 0) + part
        return -value if sign == "-" else value
    value = float(text.replace(",", "").replace(" ", "") if re.match(_GROUPED, text) else text.replace(",", "."))
    return value if math.isfinite(value) else None


def shown(text: str) -> str:
    """Return what was written in quotes, short and printable."""
    clean = "".join(ch if ch.isprintable() else "?" for ch in text.strip())
    return f"“{clean[:40]}…”" if len(clean) > 40 else f"“{clean}”"
