"""Numbers as the program shows them, in the units that were chosen."""

from __future__ import annotations

import math

from studiotimer.units.quantities import Quantity, Style, unit_named

KG_PER_LB = 0.45359237
K_PER_F = 5 / 9

_shown_in: Style = "metric"


def show_in(style: Style) -> None:
    """Show numbers in this style wherever none is asked for."""
    global _shown_in
    _shown_in = style


def shown_in() -> Style:
    """Return the style that numbers are shown in where none is asked for."""
    return _shown_in


def duration(seconds: float) -> str:
    """Return a span as a crew reads it: ``1:24``, or ``1:02:09`` from one hour."""
    whole = int(abs(seconds) + 1e-9)
    sign = "−" if seconds < 0 and whole else ""
    hours, rest = divmod(whole, 3600)
    minutes, secs = divmod(rest, 60)
    return f"{sign}{hours}:{minutes:02d}:{secs:02d}" if hours else f"{sign}{minutes}:{secs:02d}"


def long_duration(seconds: float) -> str:
    """Return a span that may be of weeks: as `duration`, in whole days from two days on."""
    days = abs(seconds) / 86400.0
    return duration(seconds) if days < 2.0 else f"{days:.0f} days"


def temperature(celsius: float, style: Style | None = None, digits: int = 0) -> str:
    """Return a temperature in °C, or in °F for the US style."""
    value, unit = (celsius, "°C") if (style or _shown_in) == "metric" else (celsius * 9 / 5 + 32, "°F")
    return f"{_minus(value, digits)} {unit}"


def mass(kilograms: float, style: Style | None = None, digits: int = 1) -> str:
    """Return a mass in kg, or in lb for the US style."""
    value, unit = (kilograms, "kg") if (style or _shown_in) == "metric" else (kilograms / KG_PER_LB, "lb")
    return f"{_minus(value, digits)} {unit}"


def per_watt(kelvin: float, style: Style | None = None) -> str:
    """Return by how much a watt cools [K] in K, or in °F for the US style, with two figures that count: "0.15 K"."""
    metric = (style or _shown_in) == "metric"
    value = kelvin if metric else kelvin / K_PER_F
    digits = max(1 - math.floor(math.log10(abs(value))), 0) if value else 0
    return f"{figures(value, digits)} {'K' if metric else '°F'}"


def length(metres: float, style: Style | None = None, digits: int = 0) -> str:
    """Return a length in mm, or in inches (one digit more) for the US style."""
    if (style or _shown_in) == "metric":
        return f"{_minus(metres * 1000, digits)} mm"
    return f"{_minus(metres / 0.0254, digits + 1)} in"


def told(value: float, quantity: Quantity, style: Style | None = None, unit: bool = True) -> str:
    """Return a value in its internal unit as people write it in this style: "7,060 ft³", "−18 °C"; alone, no unit."""
    name = quantity.bare_in(style or _shown_in)
    there = unit_named(name, quantity.unit)
    number = there.outside(value) if there else value
    return with_unit(figures(number, 1 if quantity.unit == "degC" else None), name if unit else "")


def with_unit(number: str, unit: str) -> str:
    """Return a number with its unit, as they stand together."""
    if unit == "EV":
        return f"EV {number}"
    return f"{number}{unit}" if unit in ("", "/h", "/s") else f"{number} {unit}"


def figures(value: float, digits: int | None = None) -> str:
    """Return a number with three figures that count, or with `digits` behind the point, none of them a zero."""
    if not math.isfinite(value):
        return f"{value}"
    if digits is None:
        digits = 0 if not value else max(2 - math.floor(math.log10(abs(value))), 0)
    text = f"{value:,.{min(digits, 9)}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text.replace("-", "−")


def _minus(value: float, digits: int) -> str:
    text = f"{value:.{digits}f}"
    if float(text) == 0.0:
        text = text.lstrip("-")
    return text.replace("-", "−")
