"""What a shot's heroes stand on: when their foot shows, and what would help."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import lru_cache, partial

from studiotimer import plates, units
from studiotimer.prep.found import OWN_RULE, Found
from studiotimer.prep.plan import PlanError, Shot
from studiotimer.thermal.foot import BASE_SHARE, Base, Foot, foot, standing_c
from studiotimer.thermal.scoop import Scoop
from studiotimer.thermal.stuff import Plate
from studiotimer.units import UnitError

CHILLED_C = 4.0
"""What a plate is chilled to: a refrigerator (common practice)."""
THIN_GLASS_M = 3e-3  # a cup of thin glass (common practice)
NEVER = Foot(math.inf, math.inf, math.inf)
_SOURCE = f"model of the plate and the melt above it; the foot's layer: {OWN_RULE}"


def standing_checks(shot: Shot) -> list[tuple[str, Callable[[], object]]]:
    """Return, by field, what raises PlanError naming the shot where what its heroes stand on cannot be."""
    return [
        ("stands_on", partial(_name_of, shot)),
        ("plate", partial(_size_of, shot, "plate", shot.plate_m, plates.THICKNESS)),
        ("plate_at", partial(_plate_c, shot, 0.0, 0.0)),
        ("base", partial(_size_of, shot, "base", shot.base_m, plates.BASE)),
    ]


def base_of(shot: Shot, scoop: Scoop) -> Base | None:
    """Return how a hero stands; None where it has no foot, as a closed pack, or it is not said what it stands on.

    A plate brought in with its hero is as cold as the hero's freezer; one that is as the set is, as the air there (own
    rules). Raises PlanError for a plate that cannot be.
    """
    plate = _plate_of(shot, scoop.on_set.air_c, scoop.start_c)
    if plate is None or scoop.build.body.closed:
        return None
    across = float(shot.base_m) if shot.base_m is not None else 2 * BASE_SHARE * scoop.build.width_m
    start_c = _stands_at(scoop.mix, scoop.start_c, scoop.history, scoop.build.body)
    return Base(scoop.mix, start_c, plate, across / 2, scoop.on_set.air_c)


_stands_at = lru_cache(maxsize=256)(standing_c)
"""A plan is worked out anew with each key, and most of its heroes come to the set as before."""


def foot_of(shot: Shot, scoop: Scoop) -> Foot | None:
    """Return when a hero's foot shows, in seconds on set; None where the plan does not say what it stands on."""
    if shot.stands_on is None:
        return None
    base = base_of(shot, scoop)
    return NEVER if base is None else _slowed(foot(base), scoop.tau)


def told(shot: Shot, scoops: Sequence[Scoop], style: units.Style) -> Found | None:
    """Return what the foot of a shot's quickest hero will do, and what helps; None where it is not said."""
    if shot.stands_on is None:
        return None
    feet = [(foot_of(shot, scoop) or NEVER, scoop) for scoop in scoops[: 1 if shot.stacked else None]]
    found, scoop = min(feet, key=lambda each: each[0].seconds)
    base = base_of(shot, scoop)
    if base is None:
        name = plates.named(shot.stands_on)
        if scoop.build.body.closed:
            return Found(None, "no foot: a closed pack keeps its melt", f"dew may run onto {_article(name)}", _SOURCE)
        return Found(None, f"no foot: it stands on {_article(name)}", f"on {name} it melts nothing", _SOURCE)
    plate = f"{base.plate.stuff.name} {units.length(base.plate.thickness_m, style)}"
    here = f"{words(found)} on {plate} at {units.temperature(base.plate.at_c, style)}"
    helps = [*_chilled(base, scoop.tau, style), *_glass(base, scoop.tau, style), "on a frozen base: none"]
    value = found.seconds if math.isfinite(found.seconds) else None
    wide = units.length(2 * base.radius_m, style)
    how = f"base {wide} across, set down at {units.temperature(base.start_c, style)}; min:s on set"
    return Found(value, f"foot {here}; {'; '.join(helps)}", how, _SOURCE)


def words(found: Foot) -> str:
    """Return a foot as read on set: ``0:09 (0:03 to 0:24)``."""
    if not math.isfinite(found.seconds):
        return "not within 15 min" + (f", soonest {units.duration(found.sooner)}" if found.sooner < math.inf else "")
    later = units.duration(found.later) if math.isfinite(found.later) else "over 15 min"
    return f"{units.duration(found.seconds)} ({units.duration(found.sooner)} to {later})"


def _name_of(shot: Shot) -> str | None:
    try:
        return None if shot.stands_on is None else plates.named(shot.stands_on, "stands on")
    except UnitError as error:
        raise PlanError(f"shot {shot.name}, {error}") from None


def _size_of(shot: Shot, field: str, size_m: float | None, quantity: units.Quantity) -> float | None:
    try:
        return None if size_m is None else units.checked(float(size_m), quantity, field)
    except UnitError as error:
        raise PlanError(f"shot {shot.name}, {error}") from None


def _plate_c(shot: Shot, air_c: float, hero_c: float) -> float:
    """Return how warm the plate is [°C] in air at `air_c`, with a hero from `hero_c`."""
    if shot.plate_is == "chilled" and shot.plate_at_c is None:
        raise PlanError(f"shot {shot.name}, plate at: a chilled plate needs its temperature; write 4 °C")
    chilled = air_c if shot.plate_at_c is None else float(shot.plate_at_c)
    return {"as the set": air_c, "chilled": chilled, "with its hero": hero_c}[shot.plate_is]


def _plate_of(shot: Shot, air_c: float, hero_c: float) -> Plate | None:
    name = _name_of(shot)
    thick_m = _size_of(shot, "plate", shot.plate_m, plates.THICKNESS)
    return None if name is None else plates.plate(name, thick_m, _plate_c(shot, air_c, hero_c))


def _slowed(found: Foot, tau: float) -> Foot:
    slow = math.exp(tau)
    return Foot(found.seconds * slow, found.sooner * slow, found.later * slow)


def _chilled(base: Base, tau: float, style: units.Style) -> list[str]:
    if base.plate.at_c <= CHILLED_C:
        return []
    cold = foot(replace(base, plate=replace(base.plate, at_c=CHILLED_C)))
    return [f"chilled to {units.temperature(CHILLED_C, style)}: {_short(_slowed(cold, tau))}"]


def _glass(base: Base, tau: float, style: units.Style) -> list[str]:
    glass = Plate(plates.stuff("glass"), THIN_GLASS_M, base.plate.at_c)
    if base.plate.stuff == glass.stuff and base.plate.thickness_m <= THIN_GLASS_M:
        return []
    thin = _slowed(foot(replace(base, plate=glass)), tau)
    return [f"on glass {units.length(THIN_GLASS_M, style)}: {_short(thin)}"]


def _short(found: Foot) -> str:
    return units.duration(found.seconds) if math.isfinite(found.seconds) else "not within 15 min"


def _article(name: str) -> str:
    return name if name.startswith("another") else f"a {name}"
