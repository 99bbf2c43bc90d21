"""The truck with the product: the cue to read it as it comes, whether it stands long enough, what can still be done."""

from __future__ import annotations

import datetime as dt
import zoneinfo
from collections.abc import Iterable

from studiotimer.prep.plan import Plan, PlanError
from studiotimer.session.calls.deliveries import Delivery
from studiotimer.session.cue import Cue
from studiotimer.session.desk import Desk
from studiotimer.units import shown_in


def delivery_words(plan: Plan, entry: Delivery) -> str:
    """Return what is wrong with a delivery and what can still be done, and cartons that are missing; empty if well."""
    from studiotimer.prep.arrival import arrival  # brings the physics, which the window opens without

    at = entry.at.astimezone(_zone(plan)).replace(tzinfo=None)
    said = []
    expected = plan.delivery.cartons
    if expected is not None and entry.cartons is not None and entry.cartons != expected:
        said.append(f"{entry.cartons} of {expected} cartons: ring {_whom(plan)}")
    try:
        there = arrival(plan, at, entry.core_c, shown_in())
    except PlanError:
        return "; ".join(said)
    if there.sentence:
        said.append(there.sentence)
    return "; ".join(said)


def due_deliveries(desk: Desk) -> Iterable[Cue]:
    """Yield the cue to read the product that the truck brings, from its hour on for as long as its day lasts.

    It ends with the delivery, or the first pull: then the product is there.
    """
    truck, state = desk.plan.delivery, desk.state
    first = truck.from_time or truck.to_time
    if truck.day is None or first is None or state.deliveries or state.scoops:
        return
    wall = desk.ledger.wall_time(desk.at).astimezone(_zone(desk.plan))
    if wall.date() != truck.day:
        return
    begins, ends = (_ahead_s(wall, each) for each in (first, truck.to_time or first))
    late = f"it was due by {truck.to_time or first:%H:%M}: ring {_whom(desk.plan)}" if ends < 0 else ""
    yield Cue("delivery", "Read the delivery as it comes", desk.at + begins, note=late)


def _ahead_s(wall: dt.datetime, time: dt.time) -> float:
    """Return in how many seconds it is that time of day."""
    moment = dt.datetime.combine(wall.date(), time, wall.tzinfo)
    return moment.timestamp() - wall.timestamp()


def _zone(plan: Plan) -> dt.tzinfo | None:
    return zoneinfo.ZoneInfo(plan.timezone) if plan.timezone else None


def _whom(plan: Plan) -> str:
    truck = plan.delivery
    return ", ".join(part for part in (truck.contact or truck.supplier, truck.phone) if part) or "the supplier"
