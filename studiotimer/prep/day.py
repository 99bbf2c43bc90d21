"""The day worked back from the call time and on from it: when each thing must have happened, and when it may end."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from studiotimer.prep.plan import Plan, Shot

BOX_BEFORE_PULLS = dt.timedelta(minutes=30)
ICE_BEFORE_HEROES = dt.timedelta(minutes=10)
LEAST_FETCH_S = 3600.0
"""With no less than this left the dry ice is fetched when its supplier opens, else the day before (own rule)."""
WRAP = dt.timedelta(minutes=30)
STEP = dt.timedelta(minutes=5)

SPREAD = 0.3
"""How far spans go from what is planned for them, as a share (own rule, as the simulated days have it)."""
ONE_MORE = 0.25
"""How often something makes a shot take a group more (own rule): a take again, a lock that moved, a scoop dropped."""
TENTH = 1.2816
"""Of a normal distribution 10 % lie so many standard deviations below the middle, and 10 % above."""


@dataclass(frozen=True)
class Slot:
    """One shot's part of the day: its set changed from `start`, locks from `locks`, heroes from `heroes`.

    Its last hero is over at `over`, the client has said yes at `end`; `early` and `late` are when that is on one
    day in ten earlier, and later.
    """

    shot: Shot
    groups: int
    start: dt.datetime
    locks: dt.datetime
    heroes: dt.datetime
    over: dt.datetime
    end: dt.datetime
    early: dt.datetime
    late: dt.datetime


@dataclass(frozen=True)
class Day:
    """When things must have happened, as plain local times; dry-ice times are None where none is used."""

    freezer_on: dt.datetime
    product_in: dt.datetime
    ice_fetched: dt.datetime | None
    box_charged: dt.datetime | None
    test_pulls: dt.datetime
    stand_ins: dt.datetime
    call: dt.datetime
    ice_on_set: dt.datetime | None
    slots: tuple[Slot, ...]
    lunch: tuple[dt.datetime, dt.datetime] | None
    wrap: dt.datetime

    @property
    def last_hero(self) -> dt.datetime:
        """Return when the last shot's heroes are over."""
        return self.slots[-1].over

    @property
    def ice_used(self) -> dt.datetime | None:
        """Return when dry ice is first used."""
        return self.box_charged or self.ice_on_set

    @property
    def ends(self) -> tuple[dt.datetime, dt.datetime]:
        """Return when the last shot ends on one day in ten earlier, and later."""
        return self.slots[-1].early, self.slots[-1].late


def group_s(plan: Plan, shot: Shot, usable_from_s: float, frames: int) -> float:
    """Return the seconds one group of heroes takes: carried, dressed, in its window, shot, set made ready again.

    Where past sessions took longer from one hero to the next, as long as they did.
    """
    worked_out = plan.pull_to_set_s + usable_from_s + max(frames - 1, 0) * shot.between_s + plan.reset_s
    return max(worked_out, float(plan.hero_takes_s or 0.0))


def ready_by(plan: Plan) -> dt.datetime:
    """Return when the test pulls are: product must be ready by then."""
    return _earlier(plan.call - _span(plan.test_pulls_before_s))


def day_of(plan: Plan, temper_s: float, groups: Mapping[str, tuple[int, float]]) -> Day:
    """Return the day of a plan.

    `temper_s` is how long product must stand in the freezer [s]; `groups` gives, for each shot by name, how many
    groups of heroes it needs and how long one takes [s]. Deadlines are rounded to the earlier five minutes.
    """
    test_pulls = ready_by(plan)
    product_in = _earlier(test_pulls - _span(temper_s))
    slots, lunch = _Shooting(plan).slots(groups)
    ice, on_set = plan.dry_ice.holding_box, plan.dry_ice.target_air_c is not None
    on_set_at = _earlier(slots[0].heroes - ICE_BEFORE_HEROES) if on_set else None
    charged = _earlier(test_pulls - BOX_BEFORE_PULLS) if ice else None
    first_use = charged or on_set_at
    return Day(
        freezer_on=_earlier(_first_product(plan, product_in) - _span(plan.freezer_pull_down_s)),
        product_in=product_in,
        ice_fetched=_fetched(plan, first_use) if first_use else None,
        box_charged=charged,
        test_pulls=test_pulls,
        stand_ins=_earlier(plan.call - _span(plan.stand_ins_before_s)),
        call=plan.call,
        ice_on_set=on_set_at,
        slots=slots,
        lunch=lunch,
        wrap=slots[-1].end + WRAP,
    )


class _Shooting:
    """Goes through the shots from the call, with lunch between two things that can be apart."""

    def __init__(self, plan: Plan) -> None:
        self.plan, self.clock = plan, plan.call
        self.lunch: tuple[dt.datetime, dt.datetime] | None = None
        self.lunch_at = None if plan.lunch_at is None else dt.datetime.combine(plan.date, plan.lunch_at)

    def slots(
        self, groups: Mapping[str, tuple[int, float]]
    ) -> tuple[tuple[Slot, ...], tuple[dt.datetime, dt.datetime] | None]:
        """Return each shot's part of the day, and lunch: None where the day ends before it, or has none."""
        slots, mean, variance = [], 0.0, 0.0
        for shot in self.plan.shots:
            count, seconds = groups[shot.name]
            slot = self._slot(shot, count, seconds)
            spans = [float(shot.set_change_s), float(shot.locks_s), float(shot.approval_s), *([seconds] * count)]
            mean += ONE_MORE * seconds
            variance += sum((SPREAD * span) ** 2 for span in spans) + ONE_MORE * (1.0 - ONE_MORE) * seconds**2
            apart = TENTH * math.sqrt(variance)
            early, late = (slot.end + _span(mean + off) for off in (-apart, apart))
            slots.append(replace(slot, early=_earlier(min(early, slot.end)), late=_later(late)))
        return tuple(slots), self.lunch

    def _slot(self, shot: Shot, count: int, seconds: float) -> Slot:
        self._eat()
        start = self.clock
        self.clock += _span(shot.set_change_s)
        locks = self.clock
        self.clock = _later(self.clock + _span(shot.locks_s))
        self._eat()
        heroes = self.clock
        for _ in range(count):
            self._eat()
            self.clock += _span(seconds)
        over = self.clock = _later(self.clock)
        end = self.clock = _later(self.clock + _span(shot.approval_s))
        return Slot(shot, count, start, locks, heroes, over, end, end, end)

    def _eat(self) -> None:
        """Have lunch once it is time for it."""
        if self.lunch_at is not None and self.lunch is None and self.plan.call <= self.lunch_at <= self.clock:
            self.lunch = (self.clock, self.clock + _span(self.plan.lunch_s))
            self.clock = _later(self.lunch[1])


def _first_product(plan: Plan, product_in: dt.datetime) -> dt.datetime:
    """Return when product may first stand at the door: with the planned truck, where that is sooner than needed."""
    truck = plan.delivery
    first = truck.from_time or truck.to_time
    return min(product_in, dt.datetime.combine(truck.day, first)) if truck.day and first else product_in


def _fetched(plan: Plan, first_use: dt.datetime) -> dt.datetime:
    """Return when the dry ice is fetched: as late as the plan says before use, within its supplier's hours."""
    ice = plan.dry_ice
    wanted = _earlier(first_use - _span(ice.pickup_before_s))
    opens, closes = (dt.datetime.combine(wanted.date(), each) for each in (ice.fetch_from, ice.fetch_until))
    if wanted < opens and (first_use - opens).total_seconds() >= min(LEAST_FETCH_S, float(ice.pickup_before_s)):
        return opens
    if wanted < opens:
        return closes - dt.timedelta(days=1)
    return min(wanted, max(closes, opens))


def _span(seconds: float) -> dt.timedelta:
    return dt.timedelta(seconds=float(seconds))


def _earlier(at: dt.datetime) -> dt.datetime:
    return at - (at - dt.datetime.min) % STEP


def _later(at: dt.datetime) -> dt.datetime:
    return at + (dt.datetime.min - at) % STEP
