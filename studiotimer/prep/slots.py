"""The slots of a box or a tray: a grid, its columns lettered and its rows numbered, A1 next to the hand."""

from __future__ import annotations

import re
from string import ascii_uppercase

MOST = 12  # own rule: a letter and a number that fit a tile, and no freezer box has more rows
EXAMPLE = "4 x 3"
USUAL_BOX, USUAL_TRAY = "4 x 3", "4 x 2"
"""What a new plan begins with: scoops of 65 mm in a usual chest, and on a half-sheet tray."""

_GRID = r"(?i)^\s*(\d{1,2})\s*(?:x|×|by)\s*(\d{1,2})\s*$"


def parse_grid(text: str) -> tuple[int, int]:
    """Return (columns, rows) of a grid written like "4 x 3"; raises ValueError with what would be right."""
    found = re.match(_GRID, text)
    if not found:
        raise ValueError(f"“{text.strip()[:20]}” is no grid; write columns x rows, such as {EXAMPLE}")
    columns, rows = (int(one) for one in found.groups())
    if not (1 <= columns <= MOST and 1 <= rows <= MOST):
        raise ValueError(f"“{text.strip()}” is no grid to count; give 1 to {MOST} columns and rows, such as {EXAMPLE}")
    return columns, rows


def slots(grid: str) -> tuple[str, ...]:
    """Return the names of a grid's slots, row by row: A1, B1, C1, A2 …; none for an empty grid."""
    if not grid.strip():
        return ()
    columns, rows = parse_grid(grid)
    return tuple(f"{ascii_uppercase[column]}{row + 1}" for row in range(rows) for column in range(columns))
