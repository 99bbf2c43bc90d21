"""A planned day in plain numbers, as the fast trial needs it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from studiotimer.errors import InputError
from studiotimer.prep.looks import Look
from studiotimer.prep.plan import Plan
from studiotimer.prep.results import Results
from studiotimer.thermal.learn import MIX_SD
from studiotimer.trial.spans import Looks, looks_of

LONGEST_DAY_H = 24.0
"""A longer day is none."""


class TrialError(InputError):
    """A day cannot be tried; the message is one sentence naming what is wrong."""


@dataclass(frozen=True)
class Scene:
    """One shot: the flavour of each hero by number, what is wanted of it, and when its scoops have its look."""

    name: str
    look: Look
    heroes: tuple[int, ...]
    takes: int
    frames: int
    between_s: float
    dressing_s: float
    locks_s: float
    planned: int
    """Groups of heroes that Prep reckons with."""
    looks: Mapping[int, Looks]
    change_s: float
    approval_s: float


@dataclass(frozen=True)
class Stock:
    """One flavour: its freezer, its mix's part of tau (mean and spread), the tubs ordered and what each yields."""

    name: str
    freezer: int
    mix: str
    tau_mean: float
    tau_sd: float
    tubs: int
    scoops_a_tub: int


@dataclass(frozen=True)
class IceStock:
    """Dry ice [kg, s after the call]: bought, lost before use, and used by box and set at a rate since a time."""

    bought_kg: float
    way_kg: float
    box_kg_s: float
    box_since_s: float
    box_for_s: float | None
    """How long the box is in use where the plan says it, else until the day ends."""
    set_kg_s: float
    set_since_s: float


@dataclass(frozen=True)
class Setup:
    """A planned day; times in seconds after the call. `carry_s` is the way to the set."""

    shots: tuple[Scene, ...]
    flavours: tuple[Stock, ...]
    good_share: float
    pull_s: float
    carry_s: float
    reset_s: float
    wrap_s: float
    """When the planned wrap is over."""
    ice: IceStock | None
    lunch: tuple[float, float] | None
    """When lunch is at the earliest, and how long it takes; None: the day has none."""
    looked_over_s: float
    """How long after its pull a scoop is fit to be carried; those that were pulled ahead are."""
    hero_takes_s: float
    """From one hero in to the next at least [s], as past sessions took it; 0 where none told."""

    @property
    def work(self) -> int:
        """Return how many scoops a planned day carries to the set: what trying it costs."""
        return sum(shot.planned * len(shot.heroes) for shot in self.shots)


def setup_of(results: Results) -> Setup:
    """Return the planned day of a plan's results; raises TrialError when it cannot be shot at all."""
    plan, day = results.plan, results.day
    check(results)
    products = {each.flavour: each for each in results.products}
    flavours = []
    for flavour in plan.flavours:
        learned, product = plan.learned.get(flavour.mix_name), products[flavour.name]
        mean, sd = (float(learned.mean), float(learned.sd)) if learned else (0.0, MIX_SD)
        tubs, holds = int(product.tubs.value or 0), int(product.scoops_a_tub.value or 0)
        flavours.append(Stock(flavour.name, flavour.freezer, flavour.mix_name, mean, sd, tubs, holds))
    planned_lunch = None
    if day.lunch is not None and plan.lunch_at is not None:
        planned_lunch = (dt.datetime.combine(plan.date, plan.lunch_at) - day.call).total_seconds()
    return Setup(
        scenes_of(plan, [int(shot.groups.value or 1) for shot in results.shots]),
        tuple(flavours),
        float(plan.good_share),
        float(plan.pull_s),
        plan.carried_s,
        float(plan.reset_s),
        (day.wrap - day.call).total_seconds(),
        _ice(results),
        (planned_lunch, float(plan.lunch_s)) if planned_lunch is not None else None,
        float(plan.pull_to_set_s) - plan.carried_s,
        float(plan.hero_takes_s or 0.0),
    )


def scenes_of(plan: Plan, planned: list[int]) -> tuple[Scene, ...]:
    """Return the shots of a plan, of which Prep reckons with so many groups of heroes each."""
    number = {flavour.name: place for place, flavour in enumerate(plan.flavours)}
    return tuple(
        Scene(
            shot.name, shot.look, tuple(number[hero.flavour] for hero in shot.heroes), shot.takes, shot.frames,
            float(shot.between_s), float(shot.dressing_s), float(shot.locks_s), groups,
            {number[flavour]: each for flavour, each in looks.items()}, float(shot.set_change_s),
            float(shot.approval_s),
        )
        for shot, groups, looks in zip(plan.shots, planned, looks_of(plan), strict=True)
    )  # fmt: skip


def check(results: Results) -> None:
    """Raise TrialError, naming what, when a plan cannot be shot in a day."""
    for shot in results.shots:
        if not shot.frames_fit.value:
            raise TrialError(f"shot {shot.name}: no day can give it, no frame fits in one hero; it {shot.verdict}")
    for product in results.products:
        if product.tubs.value is None:
            raise TrialError(f"flavour {product.flavour}: no day can give it, {product.tubs.how}")
    hours = (results.day.wrap - results.day.call).total_seconds() / 3600
    if hours > LONGEST_DAY_H:
        raise TrialError(
            f"shots: they take {hours:,.0f} h, which is no day; want fewer takes or frames, or plan several"
        )


def _ice(results: Results) -> IceStock | None:
    ice, plan, day = results.ice, results.plan.dry_ice, results.day
    if ice is None:
        return None
    since = {at: (at - day.call).total_seconds() for at in (day.box_charged, day.ice_on_set) if at is not None}
    on_set_s = (day.last_hero - day.ice_on_set).total_seconds() if day.ice_on_set else 0.0
    return IceStock(
        ice.bought_kg,
        float(ice.way.value or 0.0),
        float(plan.box_loss_kg_per_s) if day.box_charged else 0.0,
        since[day.box_charged] if day.box_charged else 0.0,
        None if plan.hours_s is None else float(plan.hours_s),
        float(ice.on_set.value or 0.0) / on_set_s if on_set_s > 0.0 else 0.0,
        since[day.ice_on_set] if day.ice_on_set else 0.0,
    )
