"""The stages a scoop goes through on set, and between which of them each look is right."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, TypeVar, get_args

Look = Literal["crisp", "sheen", "melt"]
LOOKS: tuple[Look, ...] = get_args(Look)

STAGES = ("frosted", "crisp", "sheen", "edges gone", "dripping", "slumped")

_CHANGES = ("hero in", "crisp", "sheen", "edges", "first drip", "slump")
"""What begins each of STAGES."""

T = TypeVar("T")

_WINDOWS: dict[Look, tuple[str, str]] = {
    "crisp": ("crisp", "edges gone"),
    "sheen": ("sheen", "edges gone"),
    "melt": ("dripping", "slumped"),
}


def look_window(look: Look, starts: Sequence[T]) -> tuple[T, T]:
    """Return where the window of a look begins and ends, of when each of STAGES begins."""
    first, last = _WINDOWS[look]
    return starts[STAGES.index(first)], starts[STAGES.index(last)]


def look_ends(look: Look) -> str:
    """Return the change, as it is called, with which the window of a look ends."""
    _, last = look_window(look, _CHANGES)
    return last
