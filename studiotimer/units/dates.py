"""Dates as people write them: "12/3/2026" by the units shown, "12 Mar 2026" and "2026-03-12" everywhere."""

from __future__ import annotations

import datetime as dt
import re

from studiotimer.units.numbers import shown, tidy
from studiotimer.units.quantities import Style, UnitError

EXAMPLE = "2026-06-14 or 14 Jun 2026"
MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
LONG = (
    "january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november",
    "december",
)  # fmt: skip

_ISO = r"^(\d{4})-(\d{1,2})-(\d{1,2})$"
_NUMBERS = r"^(\d{1,2})\s*([/.-])\s*(\d{1,2})\s*\2\s*(\d{4}|\d{2})$"
_DAY_FIRST = r"^(?:[a-z]+,?\s+)?(\d{1,2})(?:st|nd|rd|th|\.)?\s*([a-z]{3,9})\.?,?\s*(\d{4})$"
_MONTH_FIRST = r"^(?:[a-z]+day,?\s+)?([a-z]{3,9})\.?\s*(\d{1,2})(?:st|nd|rd|th)?,?\s+(\d{4})$"


def iso_date(text: str) -> dt.date | None:
    """Return the date of "2026-06-14", the form of files; None when it is none."""
    match = re.match(_ISO, text.strip())
    return _made(*(int(part) for part in match.groups())) if match else None


def date_of(text: str, style: Style | None = None, field: str = "date") -> dt.date:
    """Return the date in `text`: with numbers alone the month comes first in US units and the day in metric.

    With no style such a date is taken only where both readings agree. Raises UnitError with one sentence.
    """
    plain = tidy(text).lower()
    found = iso_date(plain) or _lettered(plain)
    if found is None and (match := re.match(_NUMBERS, plain)):
        first, mark, second, year = int(match[1]), match[2], int(match[3]), int(match[4])
        year += 2000 if year < 100 else 0
        by_month, by_day = _made(year, first, second), _made(year, second, first)
        if mark == ".":  # a day with a point comes first wherever it is written
            by_month = by_day
        if style is None and by_month and by_day and by_month != by_day:
            both = f"{date_words(by_day, False)} or {date_words(by_month, False)}"
            raise UnitError(f"{field}: {shown(text)} can be {both}; write it like {by_day.isoformat()}")
        found = (by_month if style == "US" else by_day) if style else by_month or by_day
    if found is None:
        raise UnitError(f"{field}: {shown(text)} is not a date; write {EXAMPLE}")
    return found


def date_words(date: dt.date, weekday: bool = True) -> str:
    """Return a date with its month in letters: "Thu 12 Mar 2026"."""
    words = f"{date.day} {date:%b} {date.year}"
    return f"{date:%a} {words}" if weekday else words


def moment_words(at: dt.datetime) -> str:
    """Return a moment of this time of the year with its day: "17 Jun, 07:30"."""
    return f"{at.day} {at:%b}, {at:%H:%M}"


def _lettered(text: str) -> dt.date | None:
    if match := re.match(_DAY_FIRST, text):
        day, name, year = match.groups()
    elif match := re.match(_MONTH_FIRST, text):
        name, day, year = match.groups()
    else:
        return None
    if name not in LONG and name[:3] not in MONTHS:
        return None
    if not LONG[MONTHS.index(name[:3])].startswith(name) and name != "sept":
        return None
    return _made(int(year), MONTHS.index(name[:3]) + 1, int(day))


def _made(year: int, month: int, day: int) -> dt.date | None:
    try:
        return dt.date(year, month, day)
    except ValueError:
        return None
