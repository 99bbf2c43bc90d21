"""What defaults and choices have in common: the numbers given, assumed pulls, and what there is to choose from."""

from __future__ import annotations

from collections.abc import Sequence

from studiotimer.prep.slots import slots
from studiotimer.session.calls.record import Options, Several
from studiotimer.session.desk import Desk, Fields

MOST_TOGGLES = 8  # own rule: as many as are told apart at a glance


def given_numbers(desk: Desk, key: str) -> list[int]:
    """Return the scoop numbers that a call was given under `key`."""
    value = desk.given.get(key)
    values = value if isinstance(value, list | tuple) else [value]
    return [int(one) for one in values if isinstance(one, int) or (isinstance(one, str) and one.isdecimal())]


def assumed_pull(desk: Desk, *numbers: int | None) -> Fields:
    """Return how long ago a scoop that was never logged is assumed to have been pulled, if one of these is."""
    unknown = any(number is not None and number not in desk.state.scoops for number in numbers)
    return {"assumed_pull_s": desk.plan.pull_to_set_s} if unknown else {}


def free_slots(desk: Desk, place: object) -> list[str]:
    """Return the slots of the box or the tray in which no scoop is, in the order they are filled."""
    ice = desk.plan.dry_ice
    grid = {"box": ice.box_grid, "tray": ice.tray_grid}.get(str(place), "")
    taken = {scoop.slot for scoop in desk.state.in_play if scoop.place == place}
    return [slot for slot in slots(grid) if slot not in taken]


def free_slot(desk: Desk, place: object) -> Fields:
    """Return the slot that the next scoop put there gets; nothing where the grid is not known, or full."""
    free = free_slots(desk, place)
    return {"slot": free[0]} if free else {}


def of_slots(desk: Desk, place: str, slot: str | None) -> list[Options[str]]:
    """Return the choice of a free slot; none where the grid is not known."""
    free = free_slots(desk, place)
    return [of_words("slot", "slot", free[:MOST_TOGGLES], slot)] if free else []


def of_words(field: str, label: str, values: Sequence[str], value: str | None) -> Options[str]:
    """Return the choice of one of a few words."""
    return Options(field, label, tuple((one, one) for one in values), value)


def of_scoops(field: str, label: str, desk: Desk, numbers: Sequence[int], value: int | None) -> Options[int]:
    """Return the choice of one of a few scoops."""
    return Options(field, label, tuple((one, f"{one} {desk.state.scoops[one].flavour}") for one in numbers), value)


def of_flavours(desk: Desk, value: str) -> Options[str]:
    """Return the choice of a flavour, the shot's first."""
    shot = desk.state.shot
    first = list(dict.fromkeys(shot.flavours)) if shot else []
    return of_words(
        "flavour", "flavour", first + [one.name for one in desk.plan.flavours if one.name not in first], value
    )


def some_scoops(field: str, label: str, numbers: Sequence[int], value: Sequence[int]) -> Several:
    """Return the choice of some of a few scoops."""
    return Several(field, label, tuple((one, str(one)) for one in numbers[:MOST_TOGGLES]), tuple(value))


def in_line(desk: Desk) -> list[int]:
    """Return the scoops that wait, best first."""
    waiting = [scoop.number for scoop in desk.state.line()]
    return [number for number in desk.best if number in waiting] + [n for n in waiting if n not in desk.best]


def on_set(desk: Desk) -> list[int]:
    """Return the scoops on set, heroes first."""
    return [scoop.number for scoop in (*desk.state.heroes(), *desk.state.stand_ins())]
