"""Days and times of day as a plan has them."""

from __future__ import annotations

import datetime as dt
from typing import Annotated

from pydantic import AfterValidator, BeforeValidator

from studiotimer import units

EARLIEST, LATEST = dt.date(2000, 1, 1), dt.date(2200, 1, 1)


def in_a_plan(date: dt.date) -> dt.date:
    """Return the nearest date that a plan can have: a clock that is years off must not keep a shoot from beginning."""
    return min(max(date, EARLIEST), LATEST)


def today(ahead: int = 0) -> dt.date:
    """Return the date in so many days by the machine's clock, or the nearest that a plan can have."""
    return in_a_plan(in_a_plan(dt.date.today()) + dt.timedelta(days=ahead))


DATED = (("delivery", "day"), ("delivery", "order_by"), ("dry_ice", "order_by"))
"""Where a plan has other dates than its own."""


def moved(values: dict[str, object], to: dt.date) -> None:
    """Give a plan's JSON values another date; its orders and its truck stay as many days before it as they were."""
    apart = to - dt.date.fromisoformat(str(values["date"]))
    for part, field in DATED:
        inside = values.get(part)
        if isinstance(inside, dict) and inside.get(field) is not None:
            inside[field] = in_a_plan(dt.date.fromisoformat(str(inside[field])) + apart).isoformat()
    values["date"] = to.isoformat()


def _date(value: object) -> object:
    """Return the date people write ("14 Jun 2026"); what is no text is left to the model."""
    return units.date_of(value, None, "value") if isinstance(value, str) else value


def _in_reach(date: dt.date) -> dt.date:
    if not EARLIEST <= date <= LATEST:
        span = f"{units.date_words(EARLIEST, False)} to {units.date_words(LATEST, False)}"
        raise ValueError(f"{units.date_words(date, False)} is not possible; give {span}")
    return date


def _time(value: object) -> object:
    """Return the time of day people write ("7am"); what is no text is left to the model."""
    return units.time_of_day(value, "value") if isinstance(value, str) else value


Day = Annotated[dt.date, BeforeValidator(_date), AfterValidator(_in_reach)]
TimeOfDay = Annotated[dt.time, BeforeValidator(_time)]
