"""What is pulled, as a crew names it: a scoop, a bar of 20 x 60 x 100 mm, a swirl."""

import json
import re
from collections.abc import Callable
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Literal

from pydantic import BaseModel, ConfigDict, Field

from studiotimer.places import resource
from studiotimer.plain import shown
from studiotimer.units import LENGTH, UnitError, parse

if TYPE_CHECKING:
    from studiotimer.thermal.ruffle import Build

SIZE = LENGTH._replace(name="size", example="20 x 60 x 100 mm", low=0.004, high=0.5, open_low=False)
USUAL = "scoop"

_WRITTEN = r"^\s*(?P<name>[^\d]*?)[\s,:]*(?P<sizes>\d.*)?$"
_BETWEEN = r"(?i)\s*(?:x|×|\bby\b)\s*"
_UNIT = r"[^\d.,/\s]+\s*$"


class _Row(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    name: str
    also: tuple[str, ...] = ()
    solid: Literal["ball", "roll", "block", "cone", "pack", "carton", "opened"]
    usual_mm: tuple[float, ...]
    edge_mm: float | None = Field(default=None, gt=0)
    wall_m2k_w: float | None = Field(default=None, gt=0)
    draws_at_c: float | None = None
    source: str = Field(min_length=1)


class _Table(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    note: str
    forms: tuple[_Row, ...]


@cache
def _rows() -> tuple[_Row, ...]:
    return _Table.model_validate(json.loads(resource("forms.json").read_text(encoding="utf-8"))).forms


@cache
def names() -> tuple[str, ...]:
    """Return what can be pulled."""
    return tuple(row.name for row in _rows())


def named(text: str) -> str:
    """Return the form's name in a text such as "bar 20 x 60 x 100 mm"; raises UnitError where it is not known."""
    return _read(text)[0].name


def draws_at_c(text: str) -> float | None:
    """Return the temperature [°C] at which a form is drawn from its machine; None for what comes from a freezer."""
    return _read(text)[0].draws_at_c


@lru_cache(maxsize=256)
def build(text: str, width_m: float, edge_m: float) -> "Build":
    """Return how a form is built, of its own size or as usual; a scoop is `width_m` wide with a ruffle of `edge_m`.

    Raises UnitError for a form or a size that cannot be.
    """
    from studiotimer.thermal import form  # brings the physics, which the window opens without
    from studiotimer.thermal.ruffle import Build

    made: dict[str, Callable[..., form.Form]] = {
        "roll": form.roll, "block": form.block, "cone": form.cone, "pack": form.pack, "carton": form.carton,
        "opened": form.opened,
    }  # fmt: skip
    row, sizes = _read(text)
    if row.solid == "ball":
        return Build(sizes[0] if sizes else width_m, edge_m)
    across = sizes or tuple(size / 1000.0 for size in row.usual_mm)
    if row.wall_m2k_w is not None:
        return Build(across[0], edge_m, made[row.solid](*across, row.wall_m2k_w))
    return Build(across[0], edge_m if row.edge_mm is None else row.edge_mm / 1000.0, made[row.solid](*across))


def sizes(text: str) -> tuple[float, ...]:
    """Return a form's sizes [m], thickness first, of its own or as usual; raises as above."""
    row, told = _read(text)
    return told or tuple(size / 1000.0 for size in row.usual_mm)


def solid(text: str) -> str:
    """Return what solid a form is: ball, roll, block, cone, pack, carton or opened; raises as above."""
    return _read(text)[0].solid


def whole(text: str) -> bool:
    """Return whether a form is a pack, open or closed: it comes as it is shot, and not in a tub; raises as above."""
    return _read(text)[0].solid in ("pack", "carton", "opened")


def closed(text: str) -> bool:
    """Return whether a form is a closed pack, of which frost and dew on its wall are seen; raises as above."""
    return _read(text)[0].wall_m2k_w is not None


@lru_cache(maxsize=256)
def _read(text: str) -> tuple[_Row, tuple[float, ...]]:
    """Return the row and the sizes [m] that a text names, thickness first."""
    found = re.match(_WRITTEN, text)
    wanted = " ".join((found["name"] if found else text).split()).lower() or USUAL
    row = next((row for row in _rows() if wanted in (row.name, *row.also)), None)
    if row is None:
        raise UnitError(f"form: {shown(text.strip())} is not known; write one of {', '.join(names())}")
    if not found or not found["sizes"]:
        return row, ()
    unit = re.search(_UNIT, found["sizes"])
    parts = re.split(_BETWEEN, found["sizes"].strip())
    count = len(row.usual_mm)
    if len(parts) != count:
        usual = " x ".join(f"{size:g}" for size in row.usual_mm)
        raise UnitError(f"form: a {row.name} has {count} size{'s' * (count > 1)}; write {row.name} {usual} mm")
    told = [part if re.search(_UNIT, part) else f"{part} {unit[0] if unit else ''}" for part in parts]
    return row, tuple(parse(part, SIZE, "form") for part in told)
