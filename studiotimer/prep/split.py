"""Which flavours share a freezer: the split over as many freezers that costs least firmness."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from studiotimer import units
from studiotimer.prep.found import OWN_RULE, Found, counted
from studiotimer.prep.plan import Flavour, Plan
from studiotimer.prep.scene import freezers, mix_of
from studiotimer.thermal.firmness import advised_freezer_c, firmness

WORTH = 0.10
"""A split is worth carrying tubs for when it spares this much (own rule): a tenth of firmness, flavours summed."""


@dataclass(frozen=True)
class Split:
    """Flavours by freezer, each group with its setting [°C], and what they cost together.

    The cost is the sum over the flavours of how far each is from its own firmness, as a natural logarithm.
    """

    groups: tuple[tuple[Flavour, ...], ...]
    settings_c: tuple[float, ...]
    cost: float


def best_split(flavours: Sequence[Flavour], count: int) -> Split:
    """Return the split of `flavours` over at most `count` freezers that costs least.

    A setting lies midway between the coldest and the warmest advised of its group, so the best groups are
    neighbours in the order of the advised settings. Raises PlanError for an unknown mix.
    """
    ordered = sorted(flavours, key=lambda each: advised_freezer_c(mix_of(each)))

    @cache
    def after(first: int, left: int) -> tuple[float, tuple[int, ...]]:
        if first == len(ordered):
            return 0.0, ()
        if left == 0:
            return math.inf, ()
        found = []
        for end in range(first + 1, len(ordered) + 1):
            rest, ends = after(end, left - 1)
            found.append((cost_of(ordered[first:end]) + rest, (end, *ends)))
        return min(found)

    cost, ends = after(0, count)
    groups = tuple(tuple(ordered[begin:end]) for begin, end in zip((0, *ends[:-1]), ends, strict=True))
    return Split(groups, tuple(_setting_c(group) for group in groups), cost)


def cost_of(group: Sequence[Flavour]) -> float:
    """Return what one freezer for `group` costs, as `Split` has it."""
    setting = _setting_c(group)
    costs = 0.0
    for flavour in group:
        mix = mix_of(flavour)
        costs += abs(math.log(float(firmness(mix, setting)) / float(firmness(mix, advised_freezer_c(mix)))))
    return costs


def split_of(plan: Plan, style: units.Style = "metric") -> Found | None:
    """Return the split worth proposing: over the plan's own freezers, else with one more; None when all is well.

    Raises PlanError for an unknown mix.
    """
    now = freezers(plan)
    if plan.freezer_c is not None or len(plan.flavours) < 2:
        return None
    cost = sum(cost_of(group) for group in now.values())
    for count in (len(now), len(now) + 1):
        best = best_split(plan.flavours, count)
        if cost - best.cost >= WORTH:
            return _proposed(plan, best, cost, style)
    return None


def _proposed(plan: Plan, best: Split, cost: float, style: units.Style) -> Found:
    more = len(best.groups) > len(freezers(plan))
    over = f"{'a freezer more, so ' if more else ''}{counted(len(best.groups), 'freezer')}"
    parts = [
        f"{' and '.join(each.name for each in group)} at {units.temperature(setting, style)}"
        for group, setting in zip(best.groups, best.settings_c, strict=True)
    ]
    return Found(
        best.cost,
        f"over {over}: {'; '.join(parts)}",
        f"off their own firmness by {_off(cost)} now, {_off(best.cost)} so, all flavours together",
        f"{OWN_RULE}: firmness off as little as can be, flavours summed",
    )


def _off(cost: float) -> str:
    return f"{100.0 * math.expm1(cost):.0f} %"


def _setting_c(group: Sequence[Flavour]) -> float:
    advised = [advised_freezer_c(mix_of(each)) for each in group]
    return (min(advised) + max(advised)) / 2
