"""What a scoop stands on, as a crew names it: slate, a glass dish, a board, a cone."""

import json
from functools import cache

from pydantic import BaseModel, ConfigDict, Field

from studiotimer.places import resource
from studiotimer.plain import shown
from studiotimer.thermal.stuff import Plate, Stuff
from studiotimer.units import LENGTH, UnitError, checked

THICKNESS = LENGTH._replace(example="8 mm or 0.3 in", low=0.0002, high=0.1, open_low=False)
BASE = LENGTH._replace(example="36 mm or 1.4 in", low=0.004, high=0.16, open_low=False)


class _Row(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    name: str
    also: tuple[str, ...] = ()
    source: str = Field(min_length=1)


class _Plate(_Row):
    k: float = Field(gt=0)
    density: float = Field(gt=0)
    heat: float = Field(gt=0)
    usual_mm: float = Field(gt=0)


class _Table(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    note: str
    plates: tuple[_Plate, ...]
    footless: tuple[_Row, ...]


@cache
def _table() -> _Table:
    return _Table.model_validate(json.loads(resource("plates.json").read_text(encoding="utf-8")))


@cache
def names() -> tuple[str, ...]:
    """Return what a scoop can stand on, plates first, then what it has no foot on."""
    return tuple(row.name for row in (*_table().plates, *_table().footless))


def named(text: str, field: str = "on") -> str:
    """Return the name the table has for what somebody calls it; raises UnitError naming what there is."""
    wanted = " ".join(text.split()).lower()
    for row in (*_table().plates, *_table().footless):
        if wanted in (row.name, *row.also):
            return row.name
    raise UnitError(
        f"{field}: {shown(text.strip())} is not something a scoop stands on; write one of {', '.join(names())}"
    )


def footless(name: str) -> bool:
    """Return whether a scoop on it has no foot of its own: a frozen base, another scoop, a cone."""
    return any(row.name == name for row in _table().footless)


def usual_m(name: str) -> float:
    """Return the thickness [m] a plate has where none is told."""
    return next(row.usual_mm for row in _table().plates if row.name == name) / 1000.0


@cache
def stuff(name: str) -> Stuff:
    """Return what a plate of that name is made of; raises UnitError where there is no such plate."""
    for row in _table().plates:
        if row.name == name:
            return Stuff(name, row.k, row.density, row.heat)
    raise UnitError(
        f"plate: {shown(name)} is not a plate; write one of {', '.join(row.name for row in _table().plates)}"
    )


def plate(name: str, thickness_m: float | None, at_c: float) -> Plate | None:
    """Return the plate of a name, as thick as told or as usual, at a temperature; None where there is no foot.

    Raises UnitError for a name that is not known or a thickness that cannot be.
    """
    known = named(name)
    if footless(known):
        return None
    thick = usual_m(known) if thickness_m is None else checked(thickness_m, THICKNESS, "plate")
    return Plate(stuff(known), thick, at_c)
