"""The stages a scoop goes through on set, and between which of them each look is right."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, Protocol, TypeVar, get_args

Look = Literal["crisp", "sheen", "melt", "first drip", "run", "pool"]
LOOKS: tuple[Look, ...] = get_args(Look)
USUAL_LOOKS: tuple[Look, ...] = LOOKS[:3]

STAGES = ("frosted", "matte", "sheen", "edges gone", "dripping", "slumped")
CHANGES = ("hero in", "crisp", "sheen", "edges", "first drip", "slump")
"""What begins each of STAGES, as it is called."""

PACK_STAGES = ("dry", "frosted", "dewy", "running")
"""The stages of a closed pack's wall."""

AIMS: dict[Look, str] = {"melt": "drips", "first drip": "drips", "run": "runs", "pool": "pools"}
"""What the looks of a melting scoop come with; they are told as spans, and the body is reckoned for them."""


class Later(Protocol):
    """A time, times or a band, of which a later one can be made."""

    def __add__(self: T, seconds: float, /) -> T: ...


T = TypeVar("T", bound="Later")

_WINDOWS: dict[Look, tuple[tuple[str, float], tuple[str, float]]] = {
    "crisp": (("matte", 0.0), ("edges gone", 0.0)),
    "sheen": (("sheen", 0.0), ("edges gone", 0.0)),
    "melt": (("dripping", 0.0), ("slumped", 0.0)),
    "first drip": (("dripping", 0.0), ("dripping", 45.0)),
    "run": (("dripping", 45.0), ("dripping", 135.0)),
    "pool": (("dripping", 0.0), ("slumped", 0.0)),
}
"""The stage with which each look begins and ends, and how many seconds after it (own rule)."""


def look_window(look: Look, starts: Sequence[T]) -> tuple[T, T]:
    """Return when the window of a look begins and ends, of when each of STAGES begins."""
    (first, after), (last, later) = _WINDOWS[look]
    return starts[STAGES.index(first)] + after, starts[STAGES.index(last)] + later


def pack_starts(look: Look, starts: Sequence[T], never: T) -> tuple[T, ...]:
    """Return a closed pack's changes, of when each of PACK_STAGES begins, as STAGES: so `look_window` has its look.

    Crisp is a dry or frosted wall until dew beads, sheen dew until it runs, the looks of a melt what runs (own rule).
    """
    dry, _, dew, runs = starts
    return dry, dry, dew, dew if look == "crisp" else runs, runs, never


def pack_ends(look: Look) -> int:
    """Return the number of the stage of a closed pack with which, or some seconds after which, a look ends."""
    return PACK_STAGES.index("dewy" if look == "crisp" else "running")


def look_ends(look: Look) -> int:
    """Return the number of the stage with which, or some seconds after which, the window of a look ends."""
    return STAGES.index(_WINDOWS[look][1][0])
