"""The order: everything that is bought for a plan, from whom, until when, and when it comes."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from studiotimer import units
from studiotimer.prep.amounts import Amount, parse_amount
from studiotimer.prep.day import Day
from studiotimer.prep.found import OWN_RULE, counted
from studiotimer.prep.ice_needed import Ice
from studiotimer.prep.plan import Plan
from studiotimer.prep.pulls_needed import Product

MORE = 1.5
"""Sauce and garnish ordered for each scoop that is planned to get some (own rule): trying out, and what goes wrong."""


@dataclass(frozen=True)
class Ordered:
    """One thing to order. `comes` is when it must be there (plain local time); texts are empty where nobody said."""

    what: str
    how_much: str
    supplier: str
    phone: str
    order_by: dt.date | None
    comes: dt.datetime | None
    how: str
    kind: str = ""

    def as_json(self) -> dict[str, object]:
        """Return it as JSON values."""
        return {
            "what": self.what, "how_much": self.how_much, "supplier": self.supplier, "phone": self.phone,
            "order_by": self.order_by.isoformat() if self.order_by else None,
            "comes": self.comes.isoformat() if self.comes else None, "how": self.how,
        }  # fmt: skip


def order_of(
    plan: Plan, day: Day, products: tuple[Product, ...], ice: Ice | None, groups: dict[str, int], style: units.Style
) -> tuple[Ordered, ...]:
    """Return everything to order; `groups` says how many groups of heroes each shot needs, by its name."""
    truck = plan.delivery
    lines = [
        Ordered(
            f"{each.flavour} ({plan.flavour(each.flavour).mix_name})", each.tubs.text, truck.supplier, truck.phone,
            truck.order_by, truck_comes(plan, day), each.tubs.how, "product",
        )
        for each in products
    ]  # fmt: skip
    if ice is not None:
        sold = plan.dry_ice
        lines.append(
            Ordered(
                f"dry ice, {sold.form}", ice.buy.text, sold.supplier, sold.phone, sold.order_by, day.ice_fetched,
                ice.buy.how, "dry ice",
            )
        )  # fmt: skip
    return (*lines, *_dressings(plan, groups, style))


def truck_comes(plan: Plan, day: Day) -> dt.datetime:
    """Return when product comes: with the planned truck, else at the latest time it may."""
    truck = plan.delivery
    first = truck.from_time or truck.to_time
    return dt.datetime.combine(truck.day, first) if truck.day and first else day.product_in


def _dressings(plan: Plan, groups: dict[str, int], style: units.Style) -> list[Ordered]:
    """Return sauces and garnish, each once: what all scoops that get it take, and half as much again."""
    wanted: dict[tuple[str, str], tuple[Amount, int]] = {}
    for shot in plan.shots:
        scoops = len(shot.heroes) * groups[shot.name] + shot.stand_ins
        for step in shot.steps:
            each = parse_amount(step.amount)
            if each is None:
                continue
            so_far, count = wanted.get((step.what, each.of), (Amount(0.0, each.of), 0))
            wanted[step.what, each.of] = (Amount(so_far.value + each.value * scoops, each.of), count + scoops)
    return [
        Ordered(
            what, amount.times(MORE).text(style), "", "", None, plan.call,
            f"for {counted(count, 'scoop')} of heroes and stand-ins, and half as much again: {OWN_RULE}", "dressing",
        )
        for (what, _), (amount, count) in wanted.items()
    ]  # fmt: skip
