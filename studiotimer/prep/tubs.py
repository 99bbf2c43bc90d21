"""Tubs: trade sizes, and how many scoops, bars or other forms one yields."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from functools import cache
from itertools import permutations
from typing import NamedTuple

from studiotimer import forms, places, units
from studiotimer.prep.found import COMMON_PRACTICE, OWN_RULE, Found, counted
from studiotimer.prep.plan import PlanError, Tub

LAYER_SHARE = 1 / 3


class Size(NamedTuple):
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


def yield_of(tub: Tub, form: str, width_m: float, style: units.Style = "metric", field: str = "tub") -> Found:
    """Return how many of a form, as a crew names it, a tub yields; scoops are `width_m` wide.

    Bars, sandwiches and slices are cut from it in one direction, rows that lie as they fit best; a quenelle is pulled
    as a scoop of its width is; of what is drawn from a machine the volume counts. A pack is one by itself (own rules).
    Raises PlanError naming `field` for an unknown size or form.
    """
    try:
        solid, name, sizes = forms.solid(form), forms.named(form), forms.sizes(form)
    except units.UnitError as error:
        raise PlanError(f"{field}, {error}") from None
    if solid == "ball":
        return scoops_in(tub, width_m, style, field)
    if forms.whole(form):
        return Found(1, f"1 {name}", "it is shot as it comes", OWN_RULE)
    size = size_of(tub, field)
    deep_m = size.depth_m / tub.cut
    if solid == "block":
        each, how = _cut_from(size, deep_m, sizes), "sliced in rows as they lie best"
    elif solid == "roll":
        across_m, length_m = sizes
        deep = max(LAYER_SHARE * across_m, math.pi / 4 * across_m * length_m / (size.area_m2 / size.across_m))
        each, how = lanes(size.across_m, across_m) * math.floor(deep_m / deep + 1e-9), "pulled in lanes and layers"
    else:
        each = math.floor(size.area_m2 * deep_m / (math.pi / 12 * sizes[0] ** 2 * sizes[1]))
        how = "by volume, drawn from a machine"
    pieces = f", in each of {tub.cut} pieces" if tub.cut > 1 else ""
    across = " x ".join(units.length(one, style) for one in sizes)
    many = f"{name}{'es' if name.endswith('ch') else 's'}"
    return Found(
        each * tub.cut, counted(each * tub.cut, name, many), f"{many} of {across}, {how}{pieces}",
        f"{OWN_RULE}; size of the tub: {size.source}",
    )  # fmt: skip


def _cut_from(size: Size, deep_m: float, sizes: Sequence[float]) -> int:
    """Return how many blocks of three `sizes` [m] are cut from a tub `deep_m` deep, all of them lying alike."""
    return max(
        math.floor(deep_m / down + 1e-9) * _laid_out(size, across, along)
        for down, across, along in permutations(sizes)
    )  # fmt: skip


def _laid_out(size: Size, across_m: float, along_m: float) -> int:
    """Return how many rectangles lie side by side in rows on the open surface of a tub."""
    if size.length_m is not None:
        return lanes(size.across_m, across_m) * lanes(size.length_m, along_m)
    radius = size.across_m / 2
    rows = range(1, lanes(size.across_m, across_m) + 1)
    return max((sum(_in_row(radius, place - count / 2, across_m, along_m) for place in range(count)) for count in rows),
               default=0)  # fmt: skip


def _in_row(radius_m: float, place: float, across_m: float, along_m: float) -> int:
    """Return how many fit into the row that begins `place` widths off the middle of a round surface."""
    off = max(abs(place), abs(place + 1)) * across_m
    return lanes(2 * math.sqrt(max(radius_m**2 - off**2, 0.0)), along_m)


def _named(tub: Tub) -> str:
    return tub.size or "own size tub"


def _plain(name: str) -> str:
    return " ".join(name.lower().replace("-", " ").split())
