"""Lamps and meter readings as a crew writes them: "LED 2000 lx", "tungsten EV 12"."""

from __future__ import annotations

import json
import re
from functools import cache

from pydantic import BaseModel, ConfigDict, Field

from studiotimer.places import resource
from studiotimer.thermal.light import Lamp, Light
from studiotimer.units import ILLUMINANCE, UnitError, Value, parse, understood

BRIGHTEST_LX = 100_000.0
EXAMPLE = "LED 2000 lx or tungsten EV 12"

_READING = re.compile(r"^\s*((?!EV\b)\D*?)\s+((?:EV\s*)?[-+−]?[\d.,].*)$", re.IGNORECASE)


class _Row(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    kind: str
    also: tuple[str, ...]
    lumens_per_watt: float = Field(gt=0)
    pale: float = Field(ge=0, le=1)
    mid: float = Field(ge=0, le=1)
    dark: float = Field(ge=0, le=1)
    source: str = Field(min_length=1)


@cache
def lamps() -> dict[str, Lamp]:
    """Return the shipped lamps by kind."""
    return {row.kind: Lamp(row.kind, row.lumens_per_watt, row.pale, row.mid, row.dark) for row in _rows()}


def lamp(name: str) -> Lamp:
    """Return the lamp of that kind or everyday name; raises UnitError naming the kinds there are."""
    wanted = name.strip().lower()
    for row in _rows():
        if wanted in (row.kind.lower(), *row.also):
            return lamps()[row.kind]
    raise UnitError(f"light: “{name.strip()[:40]}” is not a lamp; write one of {', '.join(lamps())}")


def parse_light(text: str) -> Light | None:
    """Return the light that `text` states, or None for "none" and "flash" (flash alone adds no heat).

    Takes lux, footcandles, or the EV of an incident meter at ISO 100. Raises UnitError with one sentence.
    """
    if text.strip().lower() in ("none", "no", "flash", "off"):
        return None
    match = _READING.match(text)
    if not match:
        read = understood(text, ILLUMINANCE)
        said = "says no lamp" if isinstance(read, Value) else "is not a lamp and a reading"
        raise UnitError(f"light: “{text.strip()[:40]}” {said}; write {EXAMPLE}")
    name, reading = match.groups()
    return Light(lamp(name), parse(reading, ILLUMINANCE._replace(high=BRIGHTEST_LX), "light"))


@cache
def _rows() -> tuple[_Row, ...]:
    table = json.loads(resource("lamps.json").read_text(encoding="utf-8"))
    return tuple(_Row.model_validate(row) for row in table["lamps"])
