"""What comes by truck: when it is ready to be pulled, whether that is in time, and what can still be done."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass

from studiotimer import units
from studiotimer.prep.cold import model_hours
from studiotimer.prep.day import ready_by
from studiotimer.prep.plan import Flavour, Plan
from studiotimer.prep.scene import tub_of
from studiotimer.thermal.tub import LEAST_H, advised_hours

SOFTENED_C = -15.0
"""Warmer than this frozen goods have been let warm: −18 °C and at most 3 K over it for a while (Directive 89/108/EEC,
article 5, memory)."""
CUT_IN = 3


@dataclass(frozen=True)
class Arrival:
    """A delivery: when each flavour is ready, what is wrong with it, and what can still be done. Plain local times."""

    at: dt.datetime
    ready: dict[str, dt.datetime]
    wrong: tuple[str, ...]
    still: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """Return what is wrong and what can still be done in one line; empty when all is well."""
        if not self.wrong:
            return ""
        return "; ".join(self.wrong) + (". Still possible: " + "; ".join(self.still) if self.still else "")


def arrival(plan: Plan, at: dt.datetime, core_c: float | None, style: units.Style = "metric") -> Arrival:
    """Return what a delivery at `at` (plain local time), read at `core_c` [°C], comes to; None: at the planned one.

    Product must stand 24 h, or as long as its tub takes to the freezer's setting, before the test pulls.
    """
    at = at.replace(second=0, microsecond=0)
    read = float(plan.delivered_c) if core_c is None else core_c
    needs = {flavour.name: advised_hours(model_hours(plan, flavour, read)) for flavour in plan.flavours}
    ready = {name: at + dt.timedelta(hours=min(hours, 2160.0)) for name, hours in needs.items()}
    needed = ready_by(plan)
    late = [name for name, when in ready.items() if when > needed]
    wrong, still = [], []
    if core_c is not None and core_c > SOFTENED_C:
        wrong.append(
            f"it came at {units.temperature(core_c, style)}, warmer than {units.temperature(SOFTENED_C, style)}"
        )
        still.append("ask for other tubs, and keep these for stand-ins: what softened and froze again is coarse")
    if late:
        last = max(late, key=lambda name: ready[name])
        why = f"{LEAST_H:.0f} h" if needs[last] <= LEAST_H else f"{needs[last]:.0f} h"
        names = "it" if len(late) == len(ready) else ", ".join(late)
        wrong.append(
            f"{names} must stand {why} and would be ready {_said(ready[last], plan)}, after the test pulls at "
            f"{_said(needed, plan)}"
        )
        still += _still(plan, needed, at, read, ready, late)
    return Arrival(at, ready, tuple(wrong), tuple(still))


def planned_arrival(plan: Plan, style: units.Style = "metric") -> Arrival | None:
    """Return what the planned truck comes to, at the end of its hours; None where no truck is planned."""
    truck = plan.delivery
    last = truck.to_time or truck.from_time
    if truck.day is None or last is None:
        return None
    return arrival(plan, dt.datetime.combine(truck.day, last), None, style)


def _still(
    plan: Plan, needed: dt.datetime, at: dt.datetime, core_c: float, ready: dict[str, dt.datetime], late: list[str]
) -> list[str]:
    said = []
    cut = [name for name in late if _cut_ready(plan, plan.flavour(name), at, core_c) <= needed]
    if cut:
        said.append(f"cut {', '.join(cut)} in {CUT_IN} at once: a piece is at the freezer's temperature in time")
    first = [name for name in ready if name not in late]
    if first:
        said.append(f"begin with {', '.join(first)}")
    last = max(ready[name] for name in late)
    said.append(f"call time {_said(plan.call + (last - needed), plan, up=True)} or later")
    return said


def _cut_ready(plan: Plan, flavour: Flavour, at: dt.datetime, core_c: float) -> dt.datetime:
    """Return when a tub cut now is at the freezer's temperature by the model, whatever the rule of 24 h says."""
    if tub_of(plan, flavour).cut >= CUT_IN:
        return dt.datetime.max
    hours = model_hours(plan, flavour, core_c, CUT_IN)
    return at + dt.timedelta(hours=hours) if math.isfinite(hours) else dt.datetime.max


def _said(at: dt.datetime, plan: Plan, up: bool = False) -> str:
    if up:
        at += (dt.datetime.min - at) % dt.timedelta(minutes=30)
    return f"{at:%H:%M}" if at.date() == plan.date else f"{at:%a %H:%M}"
