"""The cold days before: how each freezer is set, what a shared one costs, when product must arrive."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from studiotimer import units
from studiotimer.prep.found import COMMON_PRACTICE, OWN_RULE, Found, percent
from studiotimer.prep.plan import Flavour, Plan, PlanError
from studiotimer.prep.scene import freezer_c, freezers, mix_of, tub_of
from studiotimer.prep.tubs import size_of
from studiotimer.prep.windows import Window, windows_of
from studiotimer.thermal import tub
from studiotimer.thermal.firmness import advised_freezer_c, firmness
from studiotimer.thermal.mix import Mix
from studiotimer.thermal.tub import LEAST_H, advised_hours

APART_C = 2.0
"""From so far apart on flavours that share a freezer each pay for it, and that is told (own rule)."""


@dataclass(frozen=True)
class Compromise:
    """What one setting for all costs a mix: its firmness and working time, as shares of those it has at its own."""

    flavour: str
    advised_c: float
    firmness_share: float
    working_share: float | None
    text: str

    def as_json(self) -> dict[str, object]:
        """Return the cost as JSON values."""
        return {
            "flavour": self.flavour,
            "advised_c": self.advised_c,
            "firmness_share": self.firmness_share,
            "working_share": self.working_share,
            "text": self.text,
        }


@dataclass(frozen=True)
class Freezer:
    """One freezer: its setting, what is in it, and what the compromise costs (empty when mixes agree)."""

    number: int
    name: str
    flavours: tuple[str, ...]
    setting: Found
    costs: tuple[Compromise, ...]

    def as_json(self) -> dict[str, object]:
        """Return the freezer as JSON values."""
        return {
            "number": self.number,
            "name": self.name,
            "flavours": list(self.flavours),
            "setting": self.setting.as_json(),
            "costs": [cost.as_json() for cost in self.costs],
        }


def freezers_of(plan: Plan, style: units.Style = "metric") -> tuple[Freezer, ...]:
    """Return how each freezer is set. Raises PlanError for an unknown mix or light."""
    found = []
    for number, flavours in freezers(plan).items():
        setting = freezer_c(plan, flavours[0])
        advised = {each.name: advised_freezer_c(mix_of(each)) for each in flavours}
        apart = max(advised.values()) - min(advised.values())
        off = max(abs(setting - each) for each in advised.values())
        costs = _costs(plan, flavours, setting, style) if apart > APART_C or off > APART_C else ()
        found.append(
            Freezer(number, plan.freezer_name(number), tuple(advised), _setting(plan, setting, advised, style), costs)
        )
    return tuple(found)


def settings(plan: Plan, each: tuple[Freezer, ...]) -> dict[str, Found]:
    """Return the setting of the freezer each flavour is in, by flavour."""
    by_number = {freezer.number: freezer.setting for freezer in each}
    return {flavour.name: by_number[flavour.freezer] for flavour in plan.flavours}


def tempering(plan: Plan, style: units.Style = "metric") -> Found:
    """Return how long product must stand in the freezer [s]: the longest of its tubs by the model, and 24 h.

    Raises PlanError for an unknown mix or tub, and for a tub too large to temper at all.
    """
    hours = {flavour.name: model_hours(plan, flavour) for flavour in plan.flavours}
    slowest = max(plan.flavours, key=lambda flavour: hours[flavour.name])
    model, name = hours[slowest.name], size_of(tub_of(plan, slowest)).called
    if not math.isfinite(model):
        raise PlanError(f"tub: the {name} of {slowest.name} would not temper in 90 days; choose a smaller one")
    seconds = advised_hours(model) * 3600.0
    delivered = units.temperature(plan.delivered_c, style)
    return Found(
        seconds,
        f"{seconds / 3600:.0f} h",
        f"the {name} of {slowest.name} delivered at {delivered} needs {model:.0f} h to "
        f"{units.temperature(freezer_c(plan, slowest), style)}, and the rule is {LEAST_H:.0f} h: the longer counts",
        f"model of a tub, own rule for when it is tempered; {LEAST_H:.0f} h: {COMMON_PRACTICE}",
    )


def model_hours(plan: Plan, flavour: Flavour, delivered_c: float | None = None, cut: int | None = None) -> float:
    """Return how long a flavour's tub takes from `delivered_c` [°C] to its freezer's setting [h], by the model.

    `delivered_c` None: as the plan says; `cut`: a piece of a tub that is cut in so many, each as deep as its part.
    Infinite for a tub too large to temper in 90 days. Raises PlanError for an unknown mix or tub.
    """
    size = size_of(tub_of(plan, flavour))
    deep = float(size.depth_m) / (cut or 1)
    inside = tub.Tub(float(size.across_m), deep, size.length_m and float(size.length_m))
    came = float(plan.delivered_c) if delivered_c is None else delivered_c
    return _tempering(mix_of(flavour), inside, came, freezer_c(plan, flavour))


@lru_cache(maxsize=256)
def _tempering(mix: Mix, inside: tub.Tub, delivered_c: float, setting_c: float) -> float:
    return tub.tempering_hours(mix, inside, delivered_c, setting_c)


def _setting(plan: Plan, setting: float, advised: Mapping[str, float], style: units.Style) -> Found:
    said = ", ".join(f"{name} {units.temperature(each, style, 1)}" for name, each in advised.items())
    if plan.freezer_c is not None:
        return Found(setting, units.temperature(setting, style), f"set in the plan; advised: {said}", "the plan")
    how = f"advised: {said}" if len(advised) == 1 else f"midway between the coldest and the warmest advised: {said}"
    return Found(setting, units.temperature(setting, style), how, f"{OWN_RULE}: the mix scoops well at this firmness")


def _costs(plan: Plan, flavours: list[Flavour], setting: float, style: units.Style) -> tuple[Compromise, ...]:
    costs = []
    for flavour in flavours:
        mix = mix_of(flavour)
        advised = advised_freezer_c(mix)
        firm = float(firmness(mix, setting)) / float(firmness(mix, advised))
        here, own = _working(plan, flavour, setting, advised)
        share = here.working_s / own.working_s if here and own and own.working_s > 0.0 else None
        time = "" if share is None else f", working time {_change(share)}"
        text = (
            f"{flavour.name} at {units.temperature(setting, style)} instead of {units.temperature(advised, style)}: "
            f"{'firmer' if firm > 1 else 'softer'} by {percent(abs(firm - 1))}{time}"
        )
        costs.append(Compromise(flavour.name, advised, firm, share, text))
    return tuple(costs)


def _working(plan: Plan, flavour: Flavour, setting: float, advised: float) -> tuple[Window | None, Window | None]:
    """Return the window of the flavour alone in the first shot it is in, from the setting and from its advised one."""
    for shot in plan.shots:
        heroes = [hero for hero in shot.heroes if hero.flavour == flavour.name]
        if heroes:
            alone = shot.model_copy(update={"heroes": heroes[:1]})
            plans = [plan.model_copy(update={"freezer_c": each}) for each in (setting, advised)]
            here, own = windows_of([(each, alone, True) for each in plans])
            return here, own
    return None, None


def _change(share: float) -> str:
    text = percent(share - 1, signed=True)
    return "unchanged" if text == "0 %" else text
