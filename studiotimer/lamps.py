"""Lamps and meter readings as a crew writes them: "LED 2000 lx", "window light", "strobe, modelling 250 W at 1 m"."""

import json
import re
from functools import cache

from pydantic import BaseModel, ConfigDict, Field

from studiotimer.places import resource
from studiotimer.thermal.light import FLASH, Lamp, Light, modelling_lux
from studiotimer.units import HEAT_LEAK, ILLUMINANCE, LENGTH, UnitError, Value, checked, parse, understood

BRIGHTEST_LX = 100_000.0
EXAMPLE = "LED 2,000 lx or tungsten EV 12"
FLASH_EXAMPLE = "flash, modelling 250 W at 1 m, or flash, modelling off"
POWER = HEAT_LEAK._replace(name="power", example="250 W", high=20_000.0)
DISTANCE = LENGTH._replace(example="1 m or 3 ft", low=0.1, high=20.0, open_low=False)

_READING = r"(?i)^\s*((?!EV\b)\D*?)[\s,]+((?:EV\s*)?[-+−]?[\d.,].*?)(\s*as usual)?\s*$"
_MODELLING = (
    r"^(?:with )?(led )?(?:modell?ing(?: lamp| light)?s? ?)?(led )?"
    r"(?:(?P<off>off|none)|(?P<watts>[\d.,]+) ?w(?:atts?)?(?P<led> led)?(?: (?:modell?ing(?: lamp| light)?))?"
    r"(?:,? (?:at|@) (?P<far>.+))?)$"
)
_NONE = ("none", "no", "off", "no light", "dark")


class _Row(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    kind: str
    also: tuple[str, ...]
    lumens_per_watt: float = Field(gt=0)
    usual_lux: float = Field(ge=0)
    pale: float = Field(ge=0, le=1)
    mid: float = Field(ge=0, le=1)
    dark: float = Field(ge=0, le=1)
    source: str = Field(min_length=1)


@cache
def lamps() -> dict[str, Lamp]:
    """Return the shipped lamps by kind."""
    return {
        row.kind: Lamp(row.kind, row.lumens_per_watt, row.pale, row.mid, row.dark, row.usual_lux) for row in _rows()
    }


def lamp(name: str) -> Lamp:
    """Return the lamp of that kind or everyday name; raises UnitError naming the kinds there are."""
    found = _known(name)
    if found is None:
        kinds = ", ".join(lamps())
        raise UnitError(f"light: “{name.strip()[:40]}” is not a lamp; write one of {kinds}, with or without a reading")
    return found


def parse_light(text: str) -> Light | None:
    """Return the light that `text` states, or None for "none".

    Takes a lamp's name and lux, footcandles, or the EV of an incident meter at ISO 100; without a reading the lamp's
    usual one is taken. A flash adds no heat but by its modelling lamp, told by its watts and how far it is (1 m unless
    told). Raises UnitError with one sentence.
    """
    if text.strip().lower() in _NONE:
        return None
    known = _known(text)
    if known is not None:
        return Light(known, known.usual_lux, usual=known.kind != FLASH)
    match = re.match(_READING, text)
    name, rest = _flash(text)
    if name is not None and not (match and isinstance(understood(match[2], ILLUMINANCE), Value)):
        return Light(name, _from_modelling(rest, text))
    if match is None:
        read = understood(text, ILLUMINANCE)
        if not isinstance(read, Value) and re.search(r"\d", text) is None:
            lamp(text)
        said = "says no lamp" if isinstance(read, Value) else "is not a lamp and a reading"
        raise UnitError(f"light: “{text.strip()[:40]}” {said}; write {EXAMPLE}")
    named, reading = match[1], match[2]
    return Light(_named(named), parse(reading, ILLUMINANCE._replace(high=BRIGHTEST_LX), "light"))


def told(kind: str, lux: float, usual: bool = False) -> str:
    """Return a lamp and its reading as a crew says them: "LED 2000 lx", "flash", "HMI 6000 lx as usual"."""
    if kind == FLASH:
        return f"{kind}, modelling {lux:,.0f} lx" if lux > 0 else kind
    return f"{kind} {lux:,.0f} lx{' as usual' if usual else ''}"


def _known(name: str) -> Lamp | None:
    wanted = " ".join(name.replace(",", " ").split()).lower()
    for row in _rows():
        if wanted in (row.kind.lower(), *row.also):
            return lamps()[row.kind]
    return None


def _named(name: str) -> Lamp:
    """Return the lamp of a reading: a flash's is of its modelling lamp."""
    flash, rest = _flash(name)
    return flash if flash is not None and rest in ("", "modelling", "modeling", "modelling lamp") else lamp(name)


def _flash(text: str) -> tuple[Lamp | None, str]:
    """Return the flash that `text` begins with, and what is said of it."""
    words = " ".join(text.replace(";", ",").split()).lower()
    row = next(row for row in _rows() if row.kind == FLASH)
    for name in sorted((row.kind, *row.also), key=len, reverse=True):
        if words.startswith(name) and not words[len(name) : len(name) + 1].isalnum():
            return lamps()[FLASH], words[len(name) :].strip(" ,")
    return None, ""


def _from_modelling(rest: str, text: str) -> float:
    """Return the illuminance [lx] of a flash's modelling lamp; raises UnitError."""
    said = re.match(_MODELLING, rest)
    if said is None:
        raise UnitError(f"light: “{text.strip()[:40]}” does not say its modelling lamp's watts; write {FLASH_EXAMPLE}")
    if said["off"]:
        return 0.0
    watts = parse(f"{said['watts']} W", POWER, "light, modelling lamp")
    far = parse(said["far"], DISTANCE, "light, how far") if said["far"] else 1.0
    lux = modelling_lux(watts, far, led=bool(said[1] or said[2] or said["led"]))
    return checked(lux, ILLUMINANCE._replace(high=BRIGHTEST_LX), "light")


@cache
def _rows() -> tuple[_Row, ...]:
    table = json.loads(resource("lamps.json").read_text(encoding="utf-8"))
    return tuple(_Row.model_validate(row) for row in table["lamps"])
