"""What makes a planned day doubtful, a sentence each: too long, no lunch, no daylight left, product too late."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from studiotimer.prep import daylight
from studiotimer.prep.arrival import Arrival
from studiotimer.prep.day import Day
from studiotimer.prep.plan import Plan

LONGEST_DAY_H = 14.0
"""A longer day is doubtful (own rule)."""
LUNCH_AFTER_H = 6.0
"""A crew eats within six hours of its call (common practice)."""


def doubts(plan: Plan, day: Day, sun: daylight.Sun | None, truck: Arrival | None) -> list[str]:
    """Return what makes the day doubtful, each sentence beginning with the field it is about."""
    return [*_length(plan, day), *_light(day, sun), *_product(truck)]


def _length(plan: Plan, day: Day) -> Iterator[str]:
    hours = (day.wrap - day.call).total_seconds() / 3600
    if hours > LONGEST_DAY_H:
        yield f"shots: they take {hours:.0f} h from call time to wrap; want fewer takes or frames, or plan several days"
    latest = day.call + dt.timedelta(hours=LUNCH_AFTER_H)
    if day.lunch is None and plan.lunch_at is None and day.last_hero > latest:
        yield f"lunch at: the last hero is at {day.last_hero:%H:%M} and no lunch is planned; give one by {latest:%H:%M}"
    elif day.lunch is not None and day.lunch[0] > latest:
        yield f"lunch at: lunch is at {day.lunch[0]:%H:%M}, over 6 h after call time; give one by {latest:%H:%M}"
    elif plan.lunch_at is not None and plan.lunch_at < plan.call_time:
        yield f"lunch at: {plan.lunch_at:%H:%M} is before call time; give a later one"


def _light(day: Day, sun: daylight.Sun | None) -> Iterator[str]:
    for number, slot in enumerate(day.slots, 1):
        if not daylight.by_window(slot.shot):
            continue
        field = f"shot {number} ({slot.shot.name}), light"
        if sun is None:
            yield f"{field}: when its daylight ends is not known; {daylight.WANTED}"
        elif slot.heroes < sun.rises:
            yield f"{field}: its heroes come at {slot.heroes:%H:%M}, before sunrise at {sun.rises:%H:%M}; begin later"
        elif slot.over > sun.sets:
            yield f"{field}: it is shot until {slot.over:%H:%M}, the sun sets at {sun.sets:%H:%M}; put it earlier"
        elif slot.late > sun.sets:
            yield (
                f"{field}: on a late day it ends at {slot.late:%H:%M}, the sun sets at {sun.sets:%H:%M}; put it earlier"
            )


def _product(truck: Arrival | None) -> Iterator[str]:
    if truck is not None and truck.wrong:
        yield f"delivery: as planned, {truck.sentence}"
