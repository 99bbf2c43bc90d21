"""Tubs: trade sizes, and how many scoops one yields."""

from __future__ import annotations

import json
import math
from dataclasses import dataclass
from functools import cache

from studiotimer import places, units
from studiotimer.prep.found import COMMON_PRACTICE, OWN_RULE, Found, counted
from studiotimer.prep.plan import PlanError, Tub

LAYER_SHARE = 1 / 3


@dataclass(frozen=True)
class Size:
    """A tub's inside: `across_m` is the diameter or the shorter side, `length_m` the longer one (None: round)."""

    name: str
    across_m: float
    length_m: float | None
    depth_m: float
    source: str

    @property
    def called(self) -> str:
        """Return the tub as one says it: ``three gallon tub``, ``10 L pan``."""
        return self.name if self.name.split()[-1] in ("pan", "tub") else f"{self.name} tub"

    @property
    def area_m2(self) -> float:
        """Return the open surface [m²]."""
        if self.length_m is None:
            return math.pi / 4 * self.across_m**2
        return self.across_m * self.length_m

    @property
    def volume_m3(self) -> float:
        """Return the volume held [m³]."""
        return self.area_m2 * self.depth_m


@cache
def trade_sizes() -> dict[str, Size]:
    """Return the trade sizes by each name they go by, in the order of the table."""
    rows = json.loads(places.resource("tub_sizes.json").read_text(encoding="utf-8"))["sizes"]
    sizes: dict[str, Size] = {}
    for row in rows:
        across, length = row["across_m"], row.get("length_m")
        area = across * length if length else math.pi / 4 * across**2
        size = Size(row["name"], across, length, row["volume_m3"] / area, row["source"])
        sizes.update({_plain(name): size for name in (row["name"], *row["also"])})
    return sizes


def size_names() -> list[str]:
    """Return the trade sizes' names, smallest first."""
    return list(dict.fromkeys(size.name for size in trade_sizes().values()))


def size_of(tub: Tub, field: str = "tub") -> Size:
    """Return the inside of a plan's tub; its own dimensions go before its trade size.

    Raises PlanError naming `field` when the trade size is not known.
    """
    if tub.across_m is not None and tub.depth_m is not None:
        length = tub.length_m
        across = tub.across_m if length is None else min(tub.across_m, length)
        return Size(_named(tub), across, length and max(tub.across_m, length), tub.depth_m, "as given")
    size = trade_sizes().get(_plain(tub.size or ""))
    if size is None:
        raise PlanError(
            f"{field}: “{tub.size}” is not a size known here; write one of {', '.join(size_names())}, or how far "
            "across and how deep it is"
        )
    return size


def lanes(across_m: float, width_m: float) -> int:
    """Return how many scoops `width_m` wide lie side by side across an open surface (common practice)."""
    return math.floor(across_m / width_m + 1e-9)


def layer_m(size: Size, width_m: float) -> float:
    """Return how deep one layer of pulls goes [m].

    Own rule: a third of the scoop's width, or as deep as it takes to fill the scoop from a lane of the
    surface's mean length, whichever is deeper.
    """
    mean_run = size.area_m2 / size.across_m
    return max(LAYER_SHARE * width_m, math.pi / 6 * width_m**3 / (width_m * mean_run))


def scoops_in(tub: Tub, width_m: float, style: units.Style = "metric", field: str = "tub") -> Found:
    """Return how many scoops `width_m` wide a tub yields: lanes across, layers down, times its pieces.

    A tub cut in pieces is cut across, so that every piece has the whole open surface (common practice).
    Raises PlanError naming `field` for an unknown size.
    """
    size = size_of(tub, field)
    wide = lanes(size.across_m, width_m)
    deep = math.floor(size.depth_m / tub.cut / layer_m(size, width_m) + 1e-9)
    pieces = f", in each of {tub.cut} pieces" if tub.cut > 1 else ""
    return Found(
        wide * deep * tub.cut,
        counted(wide * deep * tub.cut, "scoop"),
        f"{counted(wide, 'lane')} of {units.length(width_m, style)} across {units.length(size.across_m, style)}, "
        f"{counted(deep, 'layer')} of {units.length(layer_m(size, width_m), style)} down{pieces}",
        f"lanes and pieces: {COMMON_PRACTICE}; depth of a layer: {OWN_RULE}; size of the tub: {size.source}",
    )


def lanes_of(tub: Tub, width_m: float) -> int:
    """Return how many scoops wide the open surfaces of a tub and all its pieces are together."""
    return lanes(size_of(tub).across_m, width_m) * tub.cut


def _named(tub: Tub) -> str:
    return tub.size or "own size tub"


def _plain(name: str) -> str:
    return " ".join(name.lower().replace("-", " ").split())
