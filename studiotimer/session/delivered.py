"""What is said of product that a truck brought: whether it stands long enough, and what can still be done."""

from __future__ import annotations

import zoneinfo

from studiotimer.prep.plan import Plan, PlanError
from studiotimer.session.calls.deliveries import Delivery
from studiotimer.units import shown_in


def delivery_words(plan: Plan, entry: Delivery) -> str:
    """Return what is wrong with a delivery and what can still be done, and cartons that are missing; empty if well."""
    from studiotimer.prep.arrival import arrival  # brings the physics, which the window opens without

    zone = zoneinfo.ZoneInfo(plan.timezone) if plan.timezone else None
    at = entry.at.astimezone(zone).replace(tzinfo=None)
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


def _whom(plan: Plan) -> str:
    truck = plan.delivery
    return ", ".join(part for part in (truck.contact or truck.supplier, truck.phone) if part) or "the supplier"
