"""The freezers of a shoot: planned beside read, which is too warm, and what to do about it. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from studiotimer.prep.plan import Plan
from studiotimer.session.calls.deliveries import Delivery
from studiotimer.session.calls.readings import Reading
from studiotimer.session.delivered import delivery_words
from studiotimer.session.desk import inside
from studiotimer.session.entries import Entry
from studiotimer.session.state import Change, State
from studiotimer.units import K_PER_F, shown_in, temperature

WARM_K = 2.0
"""Two readings after one another warmer than planned by more than this: too warm."""
HOT_K = 4.0
"""One reading warmer than planned by more than this: too warm."""
READY_K = 1.0
"""A tub this near the setting advised for its freezer is ready to pull."""
DOOR_S = 60.0
"""How long a door is open before it is asked to be closed (own rule)."""
READ_AGAIN_S = 300.0
"""How long after a reading that was too warm the next one is asked for (own rule)."""


class TubNow(NamedTuple):
    """The core of a flavour's tub as it was read last: °C, since when (session seconds), and how that is in words."""

    flavour: str
    core_c: float
    since: float
    ready: bool
    said: str


class FreezerNow(NamedTuple):
    """One freezer: planned beside read [°C], when it was read (session seconds), what is in it, and what to do.

    `planned_c` is None where nothing says, `read_c` and `since` where it was not read; `do` is empty while all is well.
    """

    number: int
    name: str
    planned_c: float | None
    read_c: float | None
    since: float | None
    too_warm: bool
    do: str
    flavours: tuple[str, ...]
    tubs: tuple[TubNow, ...]
    door_open_since: float | None


def freezers_now(plan: Plan, state: State) -> tuple[FreezerNow, ...]:
    """Return every freezer of the plan as it is, by number; a tub is in the one it was put into last."""
    return tuple(_freezer(plan, state, number, name) for number, name in plan.freezer_names.items())


def warning_words(plan: Plan, state: State) -> str:
    """Return what is to be said of freezers that are too warm; empty while none is."""
    if not state.freezers:
        return ""
    return " ".join(_warning(one) for one in freezers_now(plan, state) if one.too_warm)


def is_warm(plan: Plan, state: State, flavour: str) -> bool:
    """Whether the freezer that a flavour's tub is in is too warm."""
    if not state.freezers:
        return False
    name = inside(plan, state, flavour)
    return too_warm(state.read_of(name), _planned(plan, name))


def too_warm(read: Sequence[Change], planned_c: float | None) -> bool:
    """Whether a freezer that is planned at `planned_c` [°C] is too warm by what was `read`, in order of time."""
    if planned_c is None or not read:
        return False
    off = [one.value - planned_c for one in read[-2:]]
    return off[-1] > HOT_K or (len(off) == 2 and min(off) > WARM_K)


def meanwhile(plan: Plan, state: State, flavour: str) -> str | None:
    """Return the freezer that can hold a flavour while its own is too warm; None where there is none.

    It is not too warm itself and at most WARM_K warmer than the flavour is planned; of several, the nearest to that.
    """
    own = next((one for one in plan.flavours if one.name == flavour), plan.flavours[0])
    wanted = _planned(plan, plan.freezer_name(own.freezer))
    here, found = inside(plan, state, flavour), {}
    for name in plan.freezer_names.values():
        planned, read = _planned(plan, name), state.read_of(name)
        is_c = read[-1].value if read else planned
        if name != here and is_c is not None and wanted is not None and not too_warm(read, planned):
            found[name] = is_c - wanted
    able = [name for name, off in found.items() if off <= WARM_K]
    return min(able, key=lambda name: abs(found[name]), default=None)


def ready_words(plan: Plan, flavour: str, core_c: float) -> tuple[bool, str]:
    """Return whether a tub with that core [°C] is ready to pull, and that in words."""
    advised = _advised(plan, flavour)
    if advised is None:
        return False, ""
    off = core_c - advised
    if abs(off) <= READY_K:
        return True, "ready to pull"
    return False, f"{apart(abs(off))} too {'warm' if off > 0 else 'cold'} to pull"


def core_question(plan: Plan, flavour: str, core_c: float) -> str:
    """Return what is asked of a core [°C] that has no ice left in it; empty where it has."""
    from studiotimer.session.product import Product  # brings the physics, which the window opens without
    from studiotimer.thermal.freezing import initial_freezing_point

    melts_c = initial_freezing_point(Product.of(plan, flavour).mix)
    if core_c <= melts_c:
        return ""
    is_c, from_c = (temperature(one, digits=1) for one in (core_c, melts_c))
    return f"{flavour} has no ice left above {from_c} and this is {is_c}: was the probe all the way in?"


def question(plan: Plan, state: State, entry: Entry) -> str:
    """Return what is asked of a reading that can hardly be, or said of a delivery that is not in time; else nothing."""
    if isinstance(entry, Delivery):
        return delivery_words(plan, entry)
    if not isinstance(entry, Reading) or entry.what != "core_c":
        return ""
    scoop = state.scoops.get(entry.scoop) if entry.scoop is not None else None
    return core_question(plan, entry.flavour or (scoop.flavour if scoop else ""), entry.value)


def apart(kelvin: float) -> str:
    """Return a difference of temperatures in words."""
    return f"{kelvin:.1f} °C" if shown_in() == "metric" else f"{kelvin / K_PER_F:.0f} °F"


def _freezer(plan: Plan, state: State, number: int, name: str) -> FreezerNow:
    read, planned = state.read_of(name), _planned(plan, name)
    flavours = tuple(one.name for one in plan.flavours if inside(plan, state, one.name) == name)
    warm = too_warm(read, planned)
    last = read[-1] if read else None
    only = state.doors_open.get("") if len(plan.freezer_names) == 1 else None
    return FreezerNow(
        number,
        name,
        planned,
        last.value if last else None,
        last.at if last else None,
        warm,
        _do(plan, state, name, flavours) if warm else "",
        flavours,
        tuple(_tub(plan, one, state.cores[one][-1]) for one in flavours if one in state.cores),
        state.doors_open.get(name, only),
    )


def _do(plan: Plan, state: State, name: str, flavours: Sequence[str]) -> str:
    """Return what to do about a freezer that is too warm."""
    others = dict.fromkeys(meanwhile(plan, state, flavour) for flavour in flavours)
    named = [other for other in others if other is not None]
    return f"pull from {' or '.join(named)} meanwhile" if named else f"close {name} and read it again"


def _tub(plan: Plan, flavour: str, read: Change) -> TubNow:
    ready, said = ready_words(plan, flavour, read.value)
    return TubNow(flavour, read.value, read.at, ready, said)


def _warning(one: FreezerNow) -> str:
    assert one.read_c is not None
    assert one.planned_c is not None
    planned = temperature(one.planned_c, digits=1)
    return f"{one.name} is too warm, {temperature(one.read_c, digits=1)} instead of {planned}: {one.do}."


def _planned(plan: Plan, name: str) -> float | None:
    from studiotimer.session.product import Product  # brings the physics, which the window opens without

    return Product.planned_c(plan, name)


def _advised(plan: Plan, flavour: str) -> float | None:
    from studiotimer.prep import scene  # brings the physics, which the window opens without
    from studiotimer.prep.plan import PlanError

    known = next((one for one in plan.flavours if one.name == flavour), plan.flavours[0])
    try:
        return scene.advised_c(plan, known)
    except PlanError:
        return None
