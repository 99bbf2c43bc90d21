"""What a person wrote for a number: its value, a question which value was meant, or why it is none."""

from __future__ import annotations

import math
import re
from typing import NamedTuple

from studiotimer.units.numbers import NUMBER, number_of, shown, tidy
from studiotimer.units.quantities import PERCENT, UNITS, Quantity, Style, Unit, UnitError, means_none, unit_named
from studiotimer.units.showing import shown_in, told, with_unit

LONGEST = 200

_WHOLE = rf"^({NUMBER})\s*(.*?)$"
_EV_FIRST = rf"(?i)^ev\s*({NUMBER})$"
_CLOCK = r"^([-+]?)(?:(\d{1,6}):)?(\d{1,6}):([0-5]\d(?:[.,]\d+)?)$"
_ONE_OF_MANY = rf"(?i)({NUMBER})\s*([a-z\"'#]+)\.?(?:\s*(?:,|and)\s*|\s*)"
_ADDED = ("s", "kg", "m")
_BEGUN = r"^[-+]?[\d\s.,/:½¼¾⅓⅔⅛⅜⅝⅞]*(.*)$"
_DEGREES = "degrees"
_DEGREES_SAID = r"^(?:degrees?|degs?\.?|[°º˚])\s*"
_KEYS = {"mm": "M", "in": "I", "lb": "L", "kg": "K", "m³": "M", "ft³": "F", "kg/h": "K", "lb/day": "L"}


class Value(NamedTuple):
    """A value in its quantity's internal unit, and the text with its unit that keeps it: "68 °F".

    `system` is whose unit it was written in (None: everybody's); `bare` says that it had none.
    """

    number: float
    text: str
    system: Style | None = None
    bare: bool = False


class Question(NamedTuple):
    """Which of two systems was meant: a sentence, the key that gives `instead`, and what Enter keeps, if it can be."""

    sentence: str
    key: str
    instead: Value
    kept: Value | None = None


class Refused(NamedTuple):
    """Why what was written is no value: one sentence, without the field's name."""

    sentence: str


Reading = Value | Question | Refused


def understood(text: str, quantity: Quantity, style: Style | None = None) -> Reading:
    """Return what `text` states of a quantity.

    A number without a unit means the unit that is shown in `style`; with no style it needs a unit, but where both
    systems share it. It is never taken for the other system's: outside what is usual, one is asked.
    """
    plain = tidy(text)
    if not plain:
        return Refused(f"nothing is written; write {quantity.example}")
    if len(plain) > LONGEST:
        return Refused(f"{shown(text)} is not a {quantity.name}; write {quantity.example}")
    if quantity.unit == "s" and (clock := re.match(_CLOCK, plain)):
        return _clocked(clock, plain, quantity)
    match = re.match(_EV_FIRST, plain) if quantity.unit == "lx" else None
    written, name = (match.group(1), "EV") if match else (None, "")
    if written is None:
        whole = re.match(_WHOLE, plain)
        if not whole:
            return Refused(f"{shown(text)} is not a number with a unit; write {quantity.example}")
        written, name = whole.groups()
    number = number_of(written)
    if number is None:
        return Refused(f"{shown(text)} is not a number; write {quantity.example}")
    if means_none(name, quantity.unit):
        return _bare(number, written, text, quantity, style)
    unit = unit_named(name, quantity.unit)
    if unit is not None:
        return _within(unit.inside(number), with_unit(written, unit.shown), quantity, unit.system or style, unit)
    together = _added(plain, quantity, style)
    return together or Refused(f"{shown(text)} is not a {quantity.name}; write {quantity.example}")


def could_become(text: str, quantity: Quantity) -> bool:
    """Whether more keys can make a value of what is typed so far: a number, and the beginning of one of its units."""
    plain = tidy(text).lower()
    if quantity.unit == "lx" and ("ev".startswith(plain) or plain.startswith("ev")):
        plain = plain[2:].lstrip()
    while match := re.match(_BEGUN, plain):
        rest = match.group(1)
        if not rest or (quantity.unit == "degC" and _DEGREES.startswith(rest)):
            return True
        if quantity.unit == "degC":
            rest = re.sub(_DEGREES_SAID, "", rest)
        names = [name for internal, name in UNITS if internal == quantity.unit]
        if any(name.startswith(rest) for name in names):
            return True
        whole = next((name for name in sorted(names, key=len, reverse=True) if rest.startswith(name)), None)
        if whole is None or quantity.unit not in _ADDED:
            return False
        plain = rest[len(whole) :].lstrip()
    return not plain


def as_shown(text: str, quantity: Quantity, style: Style) -> str:
    """Return a text that keeps a number as it is where its unit is one of the style's, else converted for show.

    The text is what counts; what is returned is rounded and only looked at.
    """
    read = understood(text, quantity)
    if not isinstance(read, Value) or read.system in (None, style):
        return text
    return told(read.number, quantity, style)


def parse(text: str, quantity: Quantity, field: str | None = None, style: Style | None = None) -> float:
    """Return the number that `text` states, in the quantity's internal unit.

    `field` names what was asked in an error; `style` says what a number without a unit means. Raises UnitError with
    one sentence when there is no number, no unit, another kind of unit, or the value lies outside what can be true.
    """
    read = understood(text, quantity, style)
    if isinstance(read, Value):
        return read.number
    raise UnitError(f"{field or quantity.name}: {read.sentence}")


def checked(value: float, quantity: Quantity, field: str, written: str | None = None) -> float:
    """Return `value` (internal unit) if it can be true, else raise UnitError naming `field` and the limit.

    `written` is how the person wrote it.
    """
    if not possible(value, quantity):
        said = written or told(value, quantity)
        raise UnitError(f"{field}: {said} is not possible; give {limits(quantity)}")
    return value


def possible(value: float, quantity: Quantity) -> bool:
    """Whether a value in the internal unit can be true."""
    above = value > quantity.low if quantity.open_low else value >= quantity.low
    return math.isfinite(value) and above and value <= quantity.high


def limits(quantity: Quantity, style: Style | None = None) -> str:
    """Return the span that can be true: "−80 to 60 °C", "more than 0, up to 10,000 kg"."""
    low = told(quantity.low, quantity, style, unit=False)
    high = told(quantity.high, quantity, style)
    if quantity.high == math.inf:
        return f"{'more than' if quantity.open_low else 'at least'} {told(quantity.low, quantity, style)}"
    return f"more than {low}, up to {high}" if quantity.open_low else f"{low} to {high}"


def fraction(text: str, field: str) -> float:
    """Return a share from 0 to 1 written as percent ("45", "45 %").

    Raises UnitError outside 0 to 100.
    """
    return parse(text, PERCENT, field, "metric")


def _bare(number: float, written: str, text: str, quantity: Quantity, style: Style | None) -> Reading:
    """Return what a number without a unit means: in the units shown, or a question."""
    metric, us = quantity.bare
    if not metric or (style is None and metric != us):
        return Refused(f"{shown(text)} has no unit; write {quantity.example}")
    style = style or shown_in()
    name, other = (metric, us) if style == "metric" else (us, metric)
    unit = unit_named(name, quantity.unit)
    assert unit is not None
    here = _within(unit.inside(number), with_unit(written, unit.shown), quantity, style, unit, bare=True)
    there = unit_named(other, quantity.unit)
    if other == name or there is None or (isinstance(here, Value) and _usual(here.number, quantity)):
        return here
    value = there.inside(number)
    if not (possible(value, quantity) and _usual(value, quantity)):
        return here
    instead = Value(value, with_unit(written, there.shown), there.system)
    key = _KEYS.get(other, other.lstrip("°"))
    asked = f"{_said(with_unit(written, unit.shown))}? {key} makes it {there.shown}"
    kept = here if isinstance(here, Value) else None
    return Question(f"{asked}; Enter keeps {unit.shown}" if kept else asked, key, instead, kept)


def _usual(value: float, quantity: Quantity) -> bool:
    return quantity.usual[0] <= value <= quantity.usual[1]


def _within(
    value: float, text: str, quantity: Quantity, style: Style | None, unit: Unit | None, bare: bool = False
) -> Value | Refused:
    """Return the value, or why it cannot be true; with no unit, `style` is whose units it was written in."""
    if possible(value, quantity):
        return Value(value, text, unit.system if unit else style, bare)
    span = limits(quantity, style)
    if unit is not None and unit.shown == "EV":
        span = f"EV −10 to {math.floor(unit.outside(quantity.high))}"
    return Refused(f"{_said(text)} is not possible; give {span}")


def _said(text: str) -> str:
    return text.replace("-", "−")


def _clocked(match: re.Match[str], text: str, quantity: Quantity) -> Reading:
    """Return the span in "0:45" (min:s) or "1:02:09"."""
    sign, hours, minutes, seconds = match.groups()
    if quantity.bare[0] == "h" and hours is None:
        return Refused(f"{shown(text)} could be hours or minutes; write {int(minutes)} h {seconds} min")
    span = int(hours or 0) * 3600 + int(minutes) * 60 + float(seconds.replace(",", "."))
    return _within(-span if sign == "-" else span, text, quantity, None, None)


def _added(text: str, quantity: Quantity, style: Style | None) -> Value | Refused | None:
    """Return what several numbers with units come to ("1 h 30 min", "2 lb 4 oz"); None when they are not that."""
    if quantity.unit not in _ADDED:
        return None
    total, place, system, sign = 0.0, 0, style, 1.0
    while place < len(text):
        match = re.compile(_ONE_OF_MANY).match(text, place)
        number = number_of(match.group(1)) if match else None
        unit = unit_named(match.group(2), quantity.unit) if match else None
        if match is None or number is None or unit is None:
            return None
        if place == 0:
            sign, system = (-1.0 if match.group(1).startswith("-") else 1.0), unit.system
        total += abs(unit.inside(number))
        place = match.end()
    return _within(sign * total, text, quantity, system, None)
