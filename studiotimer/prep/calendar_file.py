"""The run sheet as an iCalendar file, through the icalendar library (BSD-2-Clause licence)."""

from __future__ import annotations

import datetime as dt
import hashlib
import zoneinfo
from collections.abc import Sequence
from typing import Any

from studiotimer import __version__
from studiotimer.prep.plan import Plan
from studiotimer.prep.runsheet import Event

MOMENT = dt.timedelta(minutes=5)
ALARMS = {
    "freezer_on": 60, "truck": 30, "product_in": 60, "freezers_read": 10, "ice_fetched": 60, "box_charged": 10,
    "test_pulls": 10, "call": 60, "lunch": 10,
}  # fmt: skip
"""Minutes before these an alarm is given (own rule): the way there, or what must be at hand."""
HEROES_ALARM = 10  # own rule: to the freezer, and the hands dry


def calendar_of(plan: Plan, events: Sequence[Event], made: dt.datetime) -> bytes:
    """Return the .ics bytes (RFC 5545): one event a line of the run sheet, a moment lasting five minutes.

    What must be got ready for has an alarm before it.

    Times float (the place's own) unless the plan names a time zone. `made` is when the file was made, aware.
    """
    import icalendar

    calendar = icalendar.Calendar()
    calendar.add("prodid", f"-//studiotimer//{__version__}//EN")
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", plan.title)
    zone = zoneinfo.ZoneInfo(plan.timezone) if plan.timezone else None
    for event in events:
        entry = icalendar.Event()
        entry.add("uid", _uid(plan, event))
        entry.add("dtstamp", made.astimezone(dt.UTC))
        entry.add("dtstart", event.at.replace(tzinfo=zone))
        entry.add("dtend", (event.until or event.at + MOMENT).replace(tzinfo=zone))
        entry.add("summary", event.what)
        entry.add("description", ". ".join(part for part in (event.who, event.note) if part))
        minutes = HEROES_ALARM if event.key.startswith("heroes ") else ALARMS.get(event.key)
        if minutes is not None:
            entry.add_component(_alarm(icalendar.Alarm(), minutes, event.what))
        if place := _place(plan):
            entry.add("location", place)
        calendar.add_component(entry)
    if zone is not None:
        calendar.add_missing_timezones()
    return bytes(calendar.to_ical())


def _alarm(alarm: Any, minutes: int, what: str) -> Any:
    alarm.add("action", "DISPLAY")
    alarm.add("trigger", dt.timedelta(minutes=-minutes))
    alarm.add("description", what)
    return alarm


def _place(plan: Plan) -> str:
    return ", ".join(part for part in (plan.place.studio, plan.place.address, plan.place.city) if part)


def _uid(plan: Plan, event: Event) -> str:
    """Return a name that outlives a change of the plan, so that a calendar updates its own entry."""
    digest = hashlib.sha256(f"{plan.title}|{plan.date}|{event.key}".encode()).hexdigest()
    return f"{digest[:24]}@studiotimer"
