"""The day worked back from the call time: when each thing must have happened."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from studiotimer.prep.plan import Plan, Shot

BOX_BEFORE_PULLS = dt.timedelta(minutes=30)
ICE_BEFORE_HEROES = dt.timedelta(minutes=10)
WRAP = dt.timedelta(minutes=30)
STEP = dt.timedelta(minutes=5)


@dataclass(frozen=True)
class Slot:
    """One shot's part of the day: locks from `start`, heroes from `heroes`, over at `end`."""

    shot: Shot
    groups: int
    start: dt.datetime
    heroes: dt.datetime
    end: dt.datetime


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
    wrap: dt.datetime

    @property
    def last_hero(self) -> dt.datetime:
        """Return when the last shot is over."""
        return self.slots[-1].end


def group_s(plan: Plan, shot: Shot, usable_from_s: float, frames: int) -> float:
    """Return the seconds one group of heroes takes: carried, dressed, in its window, shot, set made ready again."""
    return plan.pull_to_set_s + usable_from_s + max(frames - 1, 0) * shot.between_s + plan.reset_s


def day_of(plan: Plan, temper_s: float, groups: Mapping[str, tuple[int, float]]) -> Day:
    """Return the day of a plan.

    `temper_s` is how long product must stand in the freezer [s]; `groups` gives, for each shot by name, how many
    groups of heroes it needs and how long one takes [s]. Deadlines are rounded to the earlier five minutes.
    """
    test_pulls = _earlier(plan.call - _span(plan.test_pulls_before_s))
    product_in = _earlier(test_pulls - _span(temper_s))
    slots, clock = [], plan.call
    for shot in plan.shots:
        count, seconds = groups[shot.name]
        heroes = _later(clock + _span(shot.locks_s))
        end = _later(heroes + _span(count * seconds))
        slots.append(Slot(shot, count, clock, heroes, end))
        clock = end
    ice, on_set = plan.dry_ice.holding_box, plan.dry_ice.target_air_c is not None
    on_set_at = _earlier(slots[0].heroes - ICE_BEFORE_HEROES) if on_set else None
    charged = _earlier(test_pulls - BOX_BEFORE_PULLS) if ice else None
    first_use = charged or on_set_at
    return Day(
        freezer_on=_earlier(product_in - _span(plan.freezer_pull_down_s)),
        product_in=product_in,
        ice_fetched=_earlier(first_use - _span(plan.dry_ice.pickup_before_s)) if first_use else None,
        box_charged=charged,
        test_pulls=test_pulls,
        stand_ins=_earlier(plan.call - _span(plan.stand_ins_before_s)),
        call=plan.call,
        ice_on_set=on_set_at,
        slots=tuple(slots),
        wrap=slots[-1].end + WRAP,
    )


def _span(seconds: float) -> dt.timedelta:
    return dt.timedelta(seconds=float(seconds))


def _earlier(at: dt.datetime) -> dt.datetime:
    return at - (at - dt.datetime.min) % STEP


def _later(at: dt.datetime) -> dt.datetime:
    return at + (dt.datetime.min - at) % STEP
