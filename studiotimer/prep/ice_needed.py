"""Dry ice: how much to buy, when to top up, and what it does to the air of the studio."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from studiotimer import units
from studiotimer.prep.cautions import LIMITS
from studiotimer.prep.day import Day
from studiotimer.prep.found import OWN_RULE, Found, counted, percent
from studiotimer.prep.plan import Plan
from studiotimer.prep.sold import as_sold
from studiotimer.thermal import dryice
from studiotimer.thermal.charge import LIMITS_PPM, OUTDOOR_PPM
from studiotimer.thermal.charge import Charge as PutOut
from studiotimer.thermal.co2 import ppm_over, sublimation_kg_s

CO2_STEP_S, CO2_STEPS = 60.0, 1440
MOST_KG = 500.0  # own rule: far beyond a set, and a slip of units
LONGEST_S = 24 * 3600.0  # a day: the plan's own reach
LEAST_TOP_UP_KG = 0.1
"""What is worth a walk to the set (own rule)."""
LOSS_SOURCE = "loss of a usual chest, 5 to 10 lb a day: dry-ice suppliers' guidance"
DAY_PPM, SHORT_PPM, _ = sorted(LIMITS_PPM.values())

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Charge:
    """Dry ice put on set: when, how much [kg]."""

    at: dt.datetime
    mass_kg: float


@dataclass(frozen=True)
class Ice:
    """The day's dry ice. `air` is the estimated CO₂ of the studio by time [ppm]; never an all-clear."""

    buy: Found
    box: Found
    on_set: Found
    way: Found
    margin: Found
    charges: tuple[Charge, ...]
    co2: Found
    air: tuple[tuple[dt.datetime, float], ...]
    parts: str
    bought_kg: float
    """What is bought: `buy` as the supplier sells it."""

    def as_json(self) -> dict[str, object]:
        """Return the dry ice as JSON values."""
        found = {"buy": self.buy, "box": self.box, "on_set": self.on_set, "way": self.way, "margin": self.margin}
        return {name: each.as_json() for name, each in found.items()} | {
            "bought_kg": self.bought_kg,
            "top_ups": [{"at": each.at.isoformat(), "mass_kg": each.mass_kg} for each in self.charges],
            "co2": self.co2.as_json(),
        }


def ice_of(plan: Plan, day: Day, style: units.Style = "metric") -> Ice | None:
    """Return the day's dry ice, None when the plan uses none."""
    if day.ice_fetched is None:
        return None
    box, on_set, way = _box(plan, day, style), _on_set(plan, day, style), _way(plan, day, style)
    charges = charges_of(plan, day)
    parts = [(box, "box"), (on_set, "set"), (way, "loss on the way")]
    used = math.fsum(each.value or 0.0 for each, _ in parts)
    margin = Found(
        used * plan.dry_ice.margin,
        units.mass(used * plan.dry_ice.margin, style),
        f"{percent(plan.dry_ice.margin)} of {units.mass(used, style)}",
        "margin: the plan's own",
    )
    parts.append((margin, "margin"))
    said = ", ".join(f"{name} {each.text}" for each, name in parts if each.value)
    total = used + float(margin.value or 0.0)
    sold = as_sold(plan.dry_ice, total, style)
    buy = Found(total, sold.text, said + sold.why, f"{OWN_RULE}: the parts added, rounded up to what is sold")
    air = _air(plan, day, charges)
    return Ice(buy, box, on_set, way, margin, tuple(charges), _co2(plan, air, style), tuple(air), said, sold.kg)


def charges_of(plan: Plan, day: Day) -> list[Charge]:
    """Return the charges that hold the target local air from the first hero to the last.

    One at the start, then in equal spans no longer than the plan's, each as large as it takes for all of them
    together to still cool enough when the next one comes (own rule; dry ice as the thermal model has it), a top-up no
    less than LEAST_TOP_UP_KG. No more than 24 h are planned.
    """
    ice, start = plan.dry_ice, day.ice_on_set
    if start is None or ice.target_air_c is None:
        return []
    needed_w = max(plan.room.air_c - ice.target_air_c, 0.0) / ice.gain_k_per_w
    lasting = min((day.last_hero - start).total_seconds(), LONGEST_S)
    spans = max(math.ceil(lasting / ice.top_up_every_s), 1)
    every = math.ceil(lasting / spans / 60) * 60
    charges: list[Charge] = []
    for began in range(0, math.ceil(lasting), every) if needed_w > 0.0 else ():
        ends = min(began + every, lasting)
        more_w = needed_w - float(on_set_w(plan, charges, start, ends))
        mass = min(dryice.least_kg(ice.form, float(plan.room.air_c), more_w, ends - began), MOST_KG)
        if mass > 0.0:
            least = LEAST_TOP_UP_KG if charges else 0.0
            charges.append(Charge(start + dt.timedelta(seconds=began), max(mass, least)))
    return charges


def on_set_w(plan: Plan, charges: Sequence[Charge], since: dt.datetime, seconds: ArrayLike) -> Floats:
    """Return the heat [W] all charges take up at `seconds` after `since`, same shape."""
    form = plan.dry_ice.form
    put_out = [PutOut(each.mass_kg, form, (each.at - since).total_seconds()) for each in charges]
    return dryice.heat_taken_w(put_out, float(plan.room.air_c), seconds)


def _box(plan: Plan, day: Day, style: units.Style) -> Found:
    ice = plan.dry_ice
    if not ice.holding_box or day.box_charged is None:
        return Found(0.0, "none", "the plan has no dry-ice box", OWN_RULE)
    seconds = ice.hours_s if ice.hours_s is not None else (day.wrap - day.box_charged).total_seconds()
    mass, rate = ice.box_loss_kg_per_s * seconds, units.mass(ice.box_loss_kg_per_s * 86400, style)
    how = f"{seconds / 3600:.1f} h in use, a box that loses {rate} a day"
    return Found(mass, units.mass(mass, style), how, LOSS_SOURCE)


def _on_set(plan: Plan, day: Day, style: units.Style) -> Found:
    ice = plan.dry_ice
    charges = charges_of(plan, day)
    if ice.target_air_c is None or day.ice_on_set is None:
        return Found(0.0, "none", "the plan has no dry ice on set", OWN_RULE)
    mass = math.fsum(each.mass_kg for each in charges)
    needed = max(plan.room.air_c - ice.target_air_c, 0.0) / ice.gain_k_per_w
    every = (charges[1].at - charges[0].at).total_seconds() if len(charges) > 1 else 0.0
    often = f", a charge every {units.duration(every)}" if every else ""
    how = (
        f"{needed:.0f} W hold {units.temperature(ice.target_air_c, style)} in a room at "
        f"{units.temperature(plan.room.air_c, style)} ({units.per_watt(ice.gain_k_per_w, style)}/W); "
        f"{counted(len(charges), 'charge')} of {ice.form}{often}"
    )
    return Found(mass, units.mass(mass, style), how, f"{OWN_RULE}, until a reading beside the scoop tells")


def _way(plan: Plan, day: Day, style: units.Style) -> Found:
    if day.ice_fetched is None or day.ice_used is None:
        return Found(0.0, "none", "no dry ice is fetched", OWN_RULE)
    seconds = (day.ice_used - day.ice_fetched).total_seconds()
    mass = plan.dry_ice.box_loss_kg_per_s * seconds
    how = f"{seconds / 3600:.2g} h between pick-up and use, lost as the dry-ice box loses it"
    if day.ice_fetched.date() != day.ice_used.date():
        how += f"; fetched the day before: the supplier opens at {plan.dry_ice.fetch_from:%H:%M}"
    return Found(mass, units.mass(mass, style), how, LOSS_SOURCE)


def _air(plan: Plan, day: Day, charges: list[Charge]) -> list[tuple[dt.datetime, float]]:
    """Return the estimated CO₂ [ppm] minute by minute, as if all the gas, the box's too, mixed into the studio.

    Coarser in days over 24 h.
    """
    ice, room, begin = plan.dry_ice, plan.room, day.box_charged or day.ice_on_set or day.call
    box = ice.box_loss_kg_per_s if ice.holding_box else 0.0
    lasting = (day.wrap - begin).total_seconds()
    steps = min(math.ceil(lasting / CO2_STEP_S), CO2_STEPS)
    step_s = lasting / steps
    sources = box + sublimation_kg_s(on_set_w(plan, charges, begin, (np.arange(steps) + 0.5) * step_s))
    levels = ppm_over(
        OUTDOOR_PPM,
        [(float(source), step_s) for source in sources],
        volume_m3=float(room.volume_m3),
        changes_per_s=float(room.changes_per_s),
        room_c=float(room.air_c),
    )
    step = dt.timedelta(seconds=step_s)
    later = [(begin + step * number, float(ppm)) for number, ppm in enumerate(levels, 1)]
    return [(begin, OUTDOOR_PPM), *later]


def _co2(plan: Plan, air: list[tuple[dt.datetime, float]], style: units.Style) -> Found:
    at, peak = max(air, key=lambda each: each[1])
    minutes = round(sum(ppm > DAY_PPM for _, ppm in air) * (air[1][0] - air[0][0]).total_seconds() / 60)
    if peak > SHORT_PPM:
        warning = f"over {SHORT_PPM:,.0f} ppm: do not shoot like this; use less dry ice or much more ventilation"
    elif minutes:
        warning = f"over {DAY_PPM:,.0f} ppm for {minutes} min: use less dry ice or more ventilation"
    else:
        warning = "a monitor decides, not this estimate"
    if plan.room.changes_per_s <= 0.0:
        warning = "no air changes: ventilate; " + warning
    return Found(
        peak,
        f"{peak:,.0f} ppm at most, {at:%H:%M}; {warning}",
        f"well-mixed studio of {units.told(plan.room.volume_m3, units.VOLUME, style)} at "
        f"{plan.room.changes_per_s * 3600:g} air changes an hour, the gas of the box and of the set in it; "
        "near the floor and near the ice it is more",
        f"mass balance; limits: {LIMITS}",
    )
