"""The rows of the shipped table of mixes, as they are written; to name them, no mix is made and no physics loaded."""

from __future__ import annotations

import json
from functools import cache

from studiotimer.places import resource

BOOK_MEAN, BOOK_SD = 0.0, 0.20
"""How far a mix's tau is off the table's, mean and spread, before any shoot taught something about it."""


@cache
def rows() -> tuple[dict[str, object], ...]:
    """Return the rows of the table, each a recipe."""
    return tuple(json.loads(resource("mixes.json").read_text(encoding="utf-8"))["mixes"])


@cache
def names() -> tuple[str, ...]:
    """Return the class names of the shipped mixes."""
    return tuple(str(row["name"]) for row in rows())
