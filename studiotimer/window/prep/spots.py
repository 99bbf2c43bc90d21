"""Where scoops stand in the frame: the spots' usual names, and where each is in a picture of it. Pure."""

from __future__ import annotations

from collections.abc import Sequence

USUAL: dict[int, tuple[str, ...]] = {1: ("centre",), 2: ("left", "right"), 3: ("left", "middle", "right")}
_SIDES = {"left": -1.0, "right": 1.0}
_DEPTHS = {"top": -1.0, "back": -1.0, "behind": -1.0, "bottom": 1.0, "front": 1.0, "base": 1.0}
_MIDDLES = frozenset(("centre", "center", "middle"))


def one_more(spots: Sequence[str]) -> list[str]:
    """Return the spots with one more: the usual names while nobody chose others, else a free name."""
    count = len(spots) + 1
    if tuple(spots) == USUAL.get(len(spots)) and count in USUAL:
        return list(USUAL[count])
    free = [*USUAL.get(count, ()), *(f"spot {number}" for number in range(1, count + 1))]
    return [*spots, next(name for name in free if name not in spots)]


def places(spots: Sequence[str]) -> list[tuple[float, float]]:
    """Return where each spot is, (across, down) from -1 to 1; those whose words say no place stand in a row."""
    known = [_place(spot) for spot in spots]
    taken = {place for place in known if place is not None}
    if len(taken) < len(spots):
        return [(_along(number, len(spots)), 0.0) for number in range(len(spots))]
    return [place for place in known if place is not None]


def _place(spot: str) -> tuple[float, float] | None:
    across = down = 0.0
    words = spot.casefold().replace(",", " ").split()
    said = False
    for word in words:
        across += _SIDES.get(word, 0.0)
        down += _DEPTHS.get(word, 0.0)
        said = said or word in _SIDES or word in _DEPTHS or word in _MIDDLES
    return (across, down) if said else None


def _along(number: int, count: int) -> float:
    return 0.0 if count == 1 else -1.0 + 2.0 * number / (count - 1)
