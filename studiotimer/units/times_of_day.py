"""Times as people write them: of day ("7am", "20:12:19"), and by how much earlier or later ("15 s earlier")."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass

from studiotimer.units.numbers import shown, tidy
from studiotimer.units.quantities import TIME, UnitError
from studiotimer.units.understanding import Value, understood

_OF_DAY = r"(?i)^(\d{1,2})(?:\s*[:.h]\s*([0-5]\d)(?:\s*[:.]\s*([0-5]\d)(?:[.,]\d+)?)?)?\s*(?:([ap])\.?\s*m?\.?)?$"
_WORDS = {"noon": dt.time(12, 0), "midday": dt.time(12, 0), "midnight": dt.time(0, 0)}
_MOVED = r"(?i)^(.*?)\s*\b(earlier|before|sooner|later|after|ago)$"
_KNOWN = (
    "s", "sec", "secs", "second", "seconds", "m", "min", "mins", "minute", "minutes", "h", "hr", "hour", "hours", "am",
    "pm", "noon", "midday", "midnight", "earlier", "before", "sooner", "later", "after", "ago",
)  # fmt: skip
EXAMPLE = "7:00, 7am or 19:30"
EXAMPLE_OF_MOMENT = "20:12:19, 15 s earlier or 1 min later"


@dataclass(frozen=True)
class At:
    """A time of day."""

    time: dt.time


@dataclass(frozen=True)
class Shift:
    """Seconds later than it was, less than 0 for earlier."""

    seconds: float


@dataclass(frozen=True)
class Ago:
    """Seconds before now."""

    seconds: float


def time_of_day(text: str, field: str = "time") -> dt.time:
    """Return the time of day in "7am", "7:00", "19.30", "7"; raises UnitError with one sentence."""
    found = _of_day(text)
    if found is None:
        raise UnitError(f"{field}: {shown(text)} is not a time of day; write {EXAMPLE}")
    return found.time


def moment(text: str) -> At | Shift | Ago:
    """Return when something was, as it is told afterwards; raises UnitError with one sentence."""
    plain = tidy(text)
    if match := re.match(_MOVED, plain):
        read = understood(match.group(1), TIME)
        if isinstance(read, Value):
            how = match.group(2).lower()
            if how == "ago":
                return Ago(read.number)
            return Shift(read.number if how in ("later", "after") else -read.number)
    elif plain[:1] in ("+", "-"):
        read = understood(plain, TIME._replace(low=-TIME.high))
        if isinstance(read, Value):
            return Shift(read.number)
    elif (found := _of_day(plain)) is not None and any(mark in plain.lower() for mark in ":.amp"):
        return found
    raise UnitError(f"when: {shown(text)} is not a time; write {EXAMPLE_OF_MOMENT}")


def could_be_moment(text: str) -> bool:
    """Whether more keys can make a moment of what is typed so far."""
    words = re.findall(r"[^\W\d_]+", text.lower())
    signs = re.sub(r"[^\W_]|[\s:.,+−-]", "", text)
    return not signs and all(any(known.startswith(word) for known in _KNOWN) for word in words)


def _of_day(text: str) -> At | None:
    plain = tidy(text).lower()
    if plain in _WORDS:
        return At(_WORDS[plain])
    match = re.match(_OF_DAY, plain)
    if match is None:
        return None
    hour, minute, second, half = int(match[1]), int(match[2] or 0), int(match[3] or 0), match[4]
    if half:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if half == "p" else 0)
    return At(dt.time(hour, minute, second)) if hour < 24 else None
