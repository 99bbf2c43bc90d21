"""The run sheet as an iCalendar file, through the icalendar library (BSD-2-Clause licence)."""

from __future__ import annotations

import datetime as dt
import hashlib
import zoneinfo
from collections.abc import Sequence

from studiotimer import __version__
from studiotimer.prep.plan import Plan
from studiotimer.prep.runsheet import Event

MOMENT = dt.timedelta(minutes=5)


def calendar_of(plan: Plan, events: Sequence[Event], made: dt.datetime) -> bytes:
    """Return the .ics bytes (RFC 5545): one event a line of the run sheet, a moment lasting five minutes.

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
        calendar.add_component(entry)
    if zone is not None:
        calendar.add_missing_timezones()
    return bytes(calendar.to_ical())


def _uid(plan: Plan, event: Event) -> str:
    """Return a name that outlives a change of the plan, so that a calendar updates its own entry."""
    digest = hashlib.sha256(f"{plan.title}|{plan.date}|{event.key}".encode()).hexdigest()
    return f"{digest[:24]}@studiotimer"
