"""Time zones as people give them, and spans by which a clock is off."""

from __future__ import annotations

import datetime as dt
import re
import zoneinfo

from studiotimer.errors import InputError
from studiotimer.plain import shown
from studiotimer.units import Quantity, parse

Zone = dt.tzinfo

_OFFSET = re.compile(r"^(?:UTC)?([+−-])(\d{1,2}):?([0-5]\d)?$")
_SPAN = Quantity("time", "s", "-3 s, 2 min or -1:02:00", -4e8, 4e8, bare=("s", "s"))
_WIDEST = dt.timedelta(hours=15)


class ZoneError(InputError):
    """A time zone or a clock's span that cannot be used; the message is one sentence."""


class RepeatedHourError(ZoneError):
    """A local time that a zone had twice, or not at all, when its clocks changed."""


def zone_named(text: str) -> Zone:
    """Return the zone written as "+02:00", "Z" or "Europe/Berlin"; raises ZoneError."""
    if text.strip().upper() in ("Z", "UTC", "+00:00"):
        return dt.UTC
    if match := _OFFSET.match(text.strip()):
        sign, hours, minutes = match.groups()
        span = dt.timedelta(hours=int(hours), minutes=int(minutes or 0))
        if span < _WIDEST:
            return dt.timezone(-span if sign in "-−" else span)
    else:
        try:
            return zoneinfo.ZoneInfo(text.strip())
        except (zoneinfo.ZoneInfoNotFoundError, ValueError, OSError):
            pass
    raise ZoneError(f"{shown(text)} is not a time zone; write +02:00 or Europe/Berlin")


def to_utc(local: dt.datetime, zone: Zone, name: str) -> dt.datetime:
    """Return the instant of a plain local time in `zone`.

    Raises RepeatedHourError naming `name` where the zone's clocks had that time twice, or skipped it.
    """
    early, late = local.replace(tzinfo=zone, fold=0), local.replace(tzinfo=zone, fold=1)
    first, second = early.utcoffset(), late.utcoffset()
    if first != second:
        skipped = early.astimezone(dt.UTC).astimezone(zone).replace(tzinfo=None) != local
        how = "did not exist" if skipped else "came twice"
        raise RepeatedHourError(
            f"{name}: {local:%Y-%m-%d %H:%M:%S} {how} in {zone}, where the clocks changed; "
            f"give the camera's offset instead, {_written(first)} or {_written(second)}"
        )
    return early.astimezone(dt.UTC)


def clock_span(text: str, field: str) -> float:
    """Return the seconds in "-3s", "2 min" or "-1:02:00"; raises UnitError."""
    return parse(text, _SPAN, field)


def _written(offset: dt.timedelta | None) -> str:
    minutes = int((offset or dt.timedelta()).total_seconds() // 60)
    return f"{'-' if minutes < 0 else '+'}{abs(minutes) // 60:02d}:{abs(minutes) % 60:02d}"
