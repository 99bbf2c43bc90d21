"""Kinds of number people write, the units they write them in, and what a number without a unit means."""

from __future__ import annotations

import math
import re
from typing import Literal, NamedTuple

from studiotimer.errors import InputError

Style = Literal["metric", "US"]


class UnitError(InputError):
    """What was written is not the quantity asked for; the message is one clear sentence."""


class Quantity(NamedTuple):
    """A kind of number people write: its internal unit, an example, and the span that can be true.

    `bare` is the unit of a number without one where metric and where US units are shown. Within `usual` (internal
    unit) a bare number is taken as it is; outside it, and inside in the other system, one is asked which was meant.
    """

    name: str
    unit: str
    example: str
    low: float = -math.inf
    high: float = math.inf
    open_low: bool = False
    bare: tuple[str, str] = ("", "")
    usual: tuple[float, float] = (-math.inf, math.inf)

    def bare_in(self, style: Style) -> str:
        """Return the unit of a bare number, as it is shown."""
        return self.bare[0 if style == "metric" else 1]


LUX_AT_EV_0 = 2.5
"""What an incident meter at ISO 100 reads as EV 0 [lx] (calibration constant 250, ISO 2720)."""

_DEGREES = ("°C", "°F")
TEMPERATURE = Quantity("temperature", "degC", "-18 °C or 0 °F", -80.0, 60.0, bare=_DEGREES)
WARMTH = Quantity("temperature", "degC", "22 °C or 72 °F", -80.0, 60.0, bare=_DEGREES, usual=(5.0, 45.0))
FREEZER = Quantity("temperature", "degC", "-16 °C or 3 °F", -80.0, 60.0, bare=_DEGREES, usual=(-40.0, -3.0))
CORE = FREEZER._replace(usual=(-40.0, 5.0))
BOX = Quantity("temperature", "degC", "-40 °C or -40 °F", -80.0, 60.0, bare=_DEGREES, usual=(-80.0, -10.0))
POURED = Quantity("temperature", "degC", "30 °C or 86 °F", -20.0, 110.0, bare=_DEGREES, usual=(0.0, 60.0))
LENGTH = Quantity("length", "m", "65 mm or 2.5 in", 0.0, 100.0, open_low=True, bare=("mm", "in"))
MASS = Quantity("mass", "kg", "2 kg or 5 lb", 0.0, 10_000.0, open_low=True, bare=("kg", "lb"))
VOLUME = Quantity("volume", "m^3", "120 m3 or 3 gal", 0.0, 1e6, open_low=True, bare=("m³", "ft³"))
TIME = Quantity("time", "s", "3:25, 75 s or 4 min", 0.0, 1e8, bare=("s", "s"))
MINUTES = TIME._replace(example="20 min or 1:30", bare=("min", "min"))
HOURS = TIME._replace(example="6 h", bare=("h", "h"))
MASS_RATE = Quantity("rate", "kg/s", "0.5 kg/h or 5 lb/day", 0.0, 100.0, bare=("kg/h", "lb/day"))
CHANGES = Quantity("air changes", "1/s", "2/h", 0.0, 1.0, bare=("/h", "/h"))
HEAT_LEAK = Quantity("heat leak", "W", "15 W", 0.0, 1e5, bare=("W", "W"))
PERCENT = Quantity("percentage", "share", "45 or 45 %", 0.0, 1.0, bare=("%", "%"))
ILLUMINANCE = Quantity("meter reading", "lx", "2,000 lx or EV 12", 0.0, 200_000.0, bare=("lx", "lx"))
CO2 = Quantity("CO₂ reading", "ppm", "1,240 ppm", 0.0, 1e6, bare=("ppm", "ppm"))


class Unit(NamedTuple):
    """One unit: times what and plus what it becomes the internal one, how it is shown, and whose it is."""

    times: float
    plus: float
    shown: str
    system: Style | None

    def inside(self, number: float) -> float:
        """Return a number of this unit in the internal unit."""
        if self.shown == "EV":
            return LUX_AT_EV_0 * float(2.0 ** min(number, 1000.0))
        whole = round(1.0 / self.times)
        if whole > 1 and math.isclose(whole * self.times, 1.0, rel_tol=1e-12):
            return number / whole  # 95 % is 0.95 and not 0.9500000000000001
        return number * self.times + self.plus

    def outside(self, value: float) -> float:
        """Return a value in the internal unit in this one."""
        if self.shown == "EV":
            return math.log2(value / LUX_AT_EV_0)
        return (value - self.plus) / self.times


_LB, _IN, _FT, _GAL, _H = 0.45359237, 0.0254, 0.3048, 0.003785411784, 3600.0
_ROWS: tuple[tuple[str, float, float, str, Style | None, str], ...] = (
    ("degC", 1.0, 0.0, "°C", "metric", "c °c degc celsius centigrade"),
    ("degC", 5 / 9, -160 / 9, "°F", "US", "f °f degf fahrenheit"),
    ("degC", 1.0, -273.15, "K", None, "k kelvin"),
    ("m", 1e-3, 0.0, "mm", "metric", "mm millimetres millimeters"),
    ("m", 1e-2, 0.0, "cm", "metric", "cm centimetres centimeters"),
    ("m", 1.0, 0.0, "m", "metric", "m metre meter metres meters"),
    ("m", _IN, 0.0, "in", "US", 'i in inch inches "'),
    ("m", _FT, 0.0, "ft", "US", "ft foot feet '"),
    ("kg", 1.0, 0.0, "kg", "metric", "k kg kgs kilo kilos kilogram kilograms"),
    ("kg", 1e-3, 0.0, "g", "metric", "g gr gram grams"),
    ("kg", _LB, 0.0, "lb", "US", "l lb lbs pound pounds #"),
    ("kg", _LB / 16, 0.0, "oz", "US", "oz ounce ounces"),
    ("m^3", 1.0, 0.0, "m³", "metric", "m3 m³ m^3 cubic|metres cubic|meters"),
    ("m^3", 1e-3, 0.0, "l", "metric", "l litre liter litres liters"),
    ("m^3", 1e-6, 0.0, "ml", "metric", "ml cm3 cm³"),
    ("m^3", _FT**3, 0.0, "ft³", "US", "ft3 ft³ ft^3 cu|ft cubic|feet"),
    ("m^3", _GAL, 0.0, "gal", "US", "gal gallon gallons"),
    ("m^3", _GAL / 4, 0.0, "qt", "US", "qt quart quarts"),
    ("m^3", _GAL / 8, 0.0, "pt", "US", "pt pint pints"),
    ("m^3", _GAL / 128, 0.0, "fl oz", "US", "floz fl|oz"),
    ("m/s", 1.0, 0.0, "m/s", "metric", "m/s"),
    ("m/s", _FT, 0.0, "ft/s", "US", "ft/s"),
    ("m/s", 1 / 3.6, 0.0, "km/h", "metric", "km/h"),
    ("s", 1.0, 0.0, "s", None, "s sec secs second seconds"),
    ("s", 60.0, 0.0, "min", None, "m min mins minute minutes"),
    ("s", _H, 0.0, "h", None, "h hr hrs hour hours"),
    ("s", 24 * _H, 0.0, "days", None, "d day days"),
    ("kg/s", 1.0, 0.0, "kg/s", "metric", "kg/s"),
    ("kg/s", 1 / _H, 0.0, "kg/h", "metric", "kg/h kg/hour kg|an|hour"),
    ("kg/s", 1e-3 / _H, 0.0, "g/h", "metric", "g/h"),
    ("kg/s", 1 / 24 / _H, 0.0, "kg/day", "metric", "kg/day kg/d kg|a|day"),
    ("kg/s", _LB / _H, 0.0, "lb/h", "US", "lb/h lb/hour lb|an|hour"),
    ("kg/s", _LB / 24 / _H, 0.0, "lb/day", "US", "lb/day lb/d lbs/day lb|a|day"),
    ("1/s", 1 / _H, 0.0, "/h", None, "/h 1/h per|hour an|hour /hour 1/hour ach"),
    ("1/s", 1.0, 0.0, "/s", None, "/s 1/s"),
    ("W", 1.0, 0.0, "W", None, "w watt watts"),
    ("share", 0.01, 0.0, "%", None, "% percent per|cent"),
    ("lx", 1.0, 0.0, "lx", None, "lx lux"),
    ("lx", 1e3, 0.0, "klx", None, "klx klux"),
    ("lx", 1 / _FT**2, 0.0, "fc", None, "fc footcandle footcandles"),
    ("lx", 1.0, 0.0, "EV", None, "ev"),
    ("ppm", 1.0, 0.0, "ppm", None, "ppm"),
    ("ppm", 1e4, 0.0, "%", None, "% percent"),
)
UNITS: dict[tuple[str, str], Unit] = {
    (row[0], name.replace("|", " ")): Unit(*row[1:5]) for row in _ROWS for name in row[5].split()
}  # fmt: skip
_DEGREE = r"^(?:degrees?|degs?\.?|[°º˚])\s*(.*)$"


def unit_named(name: str, internal: str) -> Unit | None:
    """Return the unit of that name which is one of the internal unit; None when there is none."""
    plain = " ".join(name.lower().rstrip(".").split())
    if internal == "degC" and (degrees := re.match(_DEGREE, plain)):
        plain = degrees.group(1)
    return UNITS.get((internal, plain))


def means_none(name: str, internal: str) -> bool:
    """Whether what follows a number says no unit: nothing, or "degrees" alone."""
    plain = name.strip().lower()
    return not plain or (internal == "degC" and (match := re.match(_DEGREE, plain)) is not None and not match.group(1))
