"""What marks scoops in the cold: numbered flags to cut out, and maps of the slots of box and tray."""

from __future__ import annotations

import math
from dataclasses import dataclass

from studiotimer.prep.cautions import DRY_ICE
from studiotimer.prep.results import Results
from studiotimer.prep.slots import parse_grid, slots

FLAGS = "flags.pdf"
MORE = 1.25
"""Flags for each planned pull (own rule): a day takes more pulls than were planned, and flags get lost."""


@dataclass(frozen=True)
class SlotMap:
    """The slots of a box or tray in the order they are taken, row 1 next to the hand, and what is said under it."""

    where: str
    columns: int
    rows: int
    names: tuple[str, ...]
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True)
class Flagged:
    """All that is printed to mark scoops: the flags' numbers, and the maps."""

    title: str
    numbers: tuple[int, ...]
    maps: tuple[SlotMap, ...]
    how: str


def flags_of(results: Results) -> Flagged:
    """Return the flags and maps of a plan; no map for a box or tray without a grid."""
    ice = results.plan.dry_ice
    count = max(1, math.ceil(int(results.pulls.value or 0) * MORE))
    maps = []
    if ice.holding_box and ice.box_grid:
        maps.append(_map("box", ice.box_grid, (DRY_ICE,)))
    if ice.tray_grid:
        maps.append(_map("tray", ice.tray_grid))
    how = "Cut along the lines, fold at the dashes round a pick, number outward. The bar is under the number."
    return Flagged(results.plan.title, tuple(range(1, count + 1)), tuple(maps), how)


def _map(where: str, grid: str, cautions: tuple[str, ...] = ()) -> SlotMap:
    columns, rows = parse_grid(grid)
    return SlotMap(where, columns, rows, slots(grid), cautions)
