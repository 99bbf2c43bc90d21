"""Units as people write them: one parser and one formatter for screen, files and command line.

Inside the program numbers are SI with temperatures in °C; text is turned into them here, once.
"""

from __future__ import annotations

import math
import re
from functools import cache
from typing import TYPE_CHECKING, Literal, NamedTuple

if TYPE_CHECKING:
    import pint

Style = Literal["metric", "US"]


class UnitError(ValueError):
    """What was written is not the quantity asked for; the message is one clear sentence."""


class Quantity(NamedTuple):
    """A kind of number people write: its internal unit, an example, and the span that can be true."""

    name: str
    unit: str
    example: str
    low: float = -math.inf
    high: float = math.inf
    open_low: bool = False


TEMPERATURE = Quantity("temperature", "degC", "-18 °C or 0 F", -80.0, 60.0)
WARMTH = Quantity("temperature", "degC", "22 °C or 72 F", -80.0, 60.0)
LENGTH = Quantity("length", "m", "65 mm or 2.5 in", 0.0, 100.0, open_low=True)
MASS = Quantity("mass", "kg", "2 kg or 5 lb", 0.0, 10_000.0, open_low=True)
VOLUME = Quantity("volume", "m^3", "120 m3 or 3 gal", 0.0, 1e6, open_low=True)
SPEED = Quantity("speed", "m/s", "0.2 m/s", 0.0, 50.0)
TIME = Quantity("time", "s", "75 s, 3 min or 2 h", 0.0, 1e8)
MASS_RATE = Quantity("rate", "kg/s", "0.5 kg/h or 5 lb/day", 0.0, 100.0)
SPAN = TIME._replace(example="3:25, 75 s or 4 min")
CHANGES = Quantity("air changes", "1/s", "2/h", 0.0, 1.0)
HEAT_LEAK = Quantity("heat leak", "W", "15 W", 0.0, 1e5)

KG_PER_LB = 0.45359237
K_PER_F = 5 / 9

_shown_in: Style = "metric"

_TOLD_IN = {
    "degC": (1.0, " °C"), "m^3": (1.0, " m³"), "1/s": (3600.0, "/h"), "s": (1 / 3600.0, " h"),
    "kg/s": (3600.0, " kg/h"), "W/m^2": (1.0, " W/m²"),
}  # fmt: skip
_NUMBER = re.compile(r"^\s*([-+]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][-+]?\d+)?)\s*(.*?)\s*$")
_SPAN = re.compile(r"^\s*(?:([0-9]{1,5}):)?([0-9]{1,5}):([0-5][0-9])\s*$")
_ALIASES = {
    "c": "degC", "°c": "degC", "degc": "degC", "f": "degF", "°f": "degF", "degf": "degF", "k": "kelvin",
    "m3": "m^3", "m³": "m^3", "ft3": "ft^3", "ft³": "ft^3", "l": "liter", "gal": "gallon", "in": "inch",
    '"': "inch", "w": "W", "w/m2": "W/m^2", "w/m²": "W/m^2", "s": "second", "sec": "second", "min": "minute",
    "h": "hour", "hr": "hour", "/h": "1/hour", "1/h": "1/hour", "per hour": "1/hour", "lb": "pound",
    "lbs": "pound", "oz": "ounce", "kg/h": "kg/hour", "lb/day": "pound/day", "lb a day": "pound/day",
    "lb/h": "pound/hour", "g/h": "g/hour", "floz": "fluid_ounce", "fl oz": "fluid_ounce", "g": "gram", "qt": "quart",
    "pt": "pint",
}  # fmt: skip


@cache
def registry() -> pint.UnitRegistry[float]:
    """Return the pint registry, built when first needed because it is slow to build."""
    import pint

    return pint.UnitRegistry(autoconvert_offset_to_baseunit=True)


def parse(text: str, quantity: Quantity, field: str | None = None) -> float:
    """Return the number that `text` states, in the quantity's internal unit.

    `text` is a number and a unit ("-18 °C", "0F", "2.5 in"). `field` names what was asked in an error.
    Raises UnitError with one sentence when there is no number, no unit, another kind of unit, or the
    value lies outside what can be true.
    """
    where = field or quantity.name
    match = _NUMBER.match(text.replace("−", "-").replace("\u00a0", " "))
    if not match:
        raise UnitError(f"{where}: {_shown(text)} is not a number with a unit; write {quantity.example}")
    number, unit = match.groups()
    if not unit:
        raise UnitError(f"{where}: {_shown(text)} has no unit; write {quantity.example}")
    value = _converted(float(number.replace(",", ".")), unit, quantity)
    if value is None:
        raise UnitError(f"{where}: {_shown(text)} is not a {quantity.name}; write {quantity.example}")
    return checked(value, quantity, where, _shown(text))


def checked(value: float, quantity: Quantity, field: str, written: str | None = None) -> float:
    """Return `value` (internal unit) if it can be true, else raise UnitError naming `field` and the limit.

    `written` is how the person wrote it.
    """
    above = value > quantity.low if quantity.open_low else value >= quantity.low
    if not (math.isfinite(value) and above and value <= quantity.high):
        low = f"{'more than' if quantity.open_low else 'at least'} {_told(quantity.low, quantity)}"
        said = written or _told(value, quantity)
        raise UnitError(f"{field}: {said} cannot be; it must be {low} and at most {_told(quantity.high, quantity)}")
    return value


def fraction(text: str, field: str) -> float:
    """Return a share from 0 to 1 written as percent ("45", "45 %").

    Raises UnitError outside 0 to 100.
    """
    match = _NUMBER.match(text)
    if not match or match.group(2) not in ("", "%"):
        raise UnitError(f"{field}: {_shown(text)} is not a percentage; write 45 or 45 %")
    percent = float(match.group(1).replace(",", "."))
    if not 0.0 <= percent <= 100.0:
        raise UnitError(f"{field}: {percent:g} % cannot be; it must be from 0 to 100 %")
    return percent / 100.0


def span(text: str, field: str) -> float:
    """Return the seconds that `text` states: as `duration` writes them, or as a number with a unit of time.

    Raises UnitError with one sentence when it is neither.
    """
    match = _SPAN.match(text)
    if match is None:
        return parse(text, SPAN, field)
    hours, minutes, seconds = (int(part or 0) for part in match.groups())
    return checked(3600.0 * hours + 60.0 * minutes + seconds, SPAN, field, _shown(text))


def duration(seconds: float) -> str:
    """Return a span as a crew reads it: ``1:24``, or ``1:02:09`` from one hour."""
    whole = int(abs(seconds) + 1e-9)
    sign = "−" if seconds < 0 and whole else ""
    hours, rest = divmod(whole, 3600)
    minutes, secs = divmod(rest, 60)
    return f"{sign}{hours}:{minutes:02d}:{secs:02d}" if hours else f"{sign}{minutes}:{secs:02d}"


def show_in(style: Style) -> None:
    """Show numbers in this style wherever none is asked for."""
    global _shown_in
    _shown_in = style


def shown_in() -> Style:
    """Return the style that numbers are shown in where none is asked for."""
    return _shown_in


def temperature(celsius: float, style: Style | None = None, digits: int = 0) -> str:
    """Return a temperature in °C, or in °F for the US style."""
    value, unit = (celsius, "°C") if (style or _shown_in) == "metric" else (celsius * 9 / 5 + 32, "°F")
    return f"{_minus(value, digits)} {unit}"


def mass(kilograms: float, style: Style | None = None, digits: int = 1) -> str:
    """Return a mass in kg, or in lb for the US style."""
    value, unit = (kilograms, "kg") if (style or _shown_in) == "metric" else (kilograms / KG_PER_LB, "lb")
    return f"{_minus(value, digits)} {unit}"


def length(metres: float, style: Style | None = None, digits: int = 0) -> str:
    """Return a length in mm, or in inches (one digit more) for the US style."""
    if (style or _shown_in) == "metric":
        return f"{_minus(metres * 1000, digits)} mm"
    return f"{_minus(metres / 0.0254, digits + 1)} in"


def _minus(value: float, digits: int) -> str:
    text = f"{value:.{digits}f}"
    if float(text) == 0.0:
        text = text.lstrip("-")
    return text.replace("-", "−")


def _converted(number: float, unit: str, quantity: Quantity) -> float | None:
    """Return the number in the quantity's unit, or None when the unit is unknown or of another kind."""
    import pint

    name = _ALIASES.get(unit.lower(), _ALIASES.get(unit, unit))
    if len(name) > 40 or not re.fullmatch(r"[A-Za-z_µ°/*^ 0-9.-]+", name):
        return None
    try:
        amount = registry().Quantity(number, registry().parse_units(name))
        return float(amount.to(quantity.unit).magnitude)
    except (pint.PintError, ValueError, TypeError, AttributeError, ArithmeticError, RecursionError):
        return None
    except Exception as error:  # pint lets its tokenizer's own errors through
        if type(error).__module__.startswith(("pint", "tokenize", "flexparser")):
            return None
        raise


def _told(value: float, quantity: Quantity) -> str:
    """Return a value in the internal unit as people write it, in a unit they use: "3,600/h"."""
    times, unit = _TOLD_IN.get(quantity.unit, (1.0, f" {quantity.unit}"))
    value *= times
    return f"{value:,.0f}{unit}" if 1000.0 <= abs(value) < math.inf else f"{value:g}{unit}"


def _shown(text: str) -> str:
    clean = "".join(ch if ch.isprintable() else "?" for ch in text.strip())
    return f"“{clean[:40]}…”" if len(clean) > 40 else f"“{clean}”"
