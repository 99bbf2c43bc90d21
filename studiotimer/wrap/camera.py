"""The camera's clock matched with the session's: by a typed offset, a paired call, or the crew screen in a frame."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable
from dataclasses import dataclass

from studiotimer.errors import InputError
from studiotimer.plain import shown
from studiotimer.wrap.recorded import Recorded
from studiotimer.wrap.zones import Zone, to_utc

_TIME = re.compile(
    r"^\s*(\d{4})[-:/](\d\d)[-:/](\d\d)[ T](\d\d):(\d\d):(\d\d)(?:[.,](\d{1,9}))?\s*(Z|[+-]\d\d:?\d\d)?\s*$"
)
_OF_DAY = re.compile(r"^(\d{1,2}):(\d\d):(\d\d)(?:[.,](\d{1,6}))?$")
EARLIEST_YEAR, LATEST_YEAR = 1900, 2200
"""A time outside these was never any camera's clock (own rule)."""
AROUND_S = 6 * 3600.0
"""How far from the session the crew screen's time of day may lie."""


class CameraError(InputError):
    """The camera's clock cannot be matched; the message says what to give, `options` how on the command line."""

    def __init__(self, sentence: str, options: str = "") -> None:
        super().__init__(sentence)
        self.options = options


@dataclass(frozen=True, slots=True)
class Taken:
    """When a frame was taken by the camera's clock: a plain local time, and its offset from UTC where it has one."""

    local: dt.datetime
    offset: dt.timedelta | None = None

    def __str__(self) -> str:
        """Return it as `read_time` reads it."""
        part = f".{self.local:%f}".rstrip("0").rstrip(".")
        if self.offset is None:
            return f"{self.local:%Y-%m-%d %H:%M:%S}{part}"
        minutes = round(self.offset.total_seconds() / 60)
        sign = "-" if minutes < 0 else "+"
        return f"{self.local:%Y-%m-%d %H:%M:%S}{part}{sign}{abs(minutes) // 60:02d}:{abs(minutes) % 60:02d}"

    def instant(self, zone: Zone | None, name: str) -> dt.datetime:
        """Return the instant by the camera's clock; raises CameraError or ZoneError when that is not certain."""
        if self.offset is not None:
            return (self.local - self.offset).replace(tzinfo=dt.UTC)
        if zone is None:
            raise CameraError(
                f"{name} says {self.local:%Y-%m-%d %H:%M:%S} without an offset from UTC; give the zone the camera was "
                "set to, or pair a frame with a call",
                "--camera-zone +02:00, --pair FRAME=ENTRY",
            )
        return to_utc(self.local, zone, name)


def read_time(text: str) -> Taken | None:
    """Return the time written as cameras and spreadsheets do ("2026:06:14 10:32:05.12+02:00"), else None."""
    match = _TIME.match(text)
    if match is None:
        return None
    year, month, day, hour, minute, second, part, offset = match.groups()
    if not EARLIEST_YEAR <= int(year) <= LATEST_YEAR:
        return None
    try:
        local = dt.datetime(int(year), int(month), int(day), int(hour), int(minute), min(int(second), 59))
        local += dt.timedelta(seconds=float(f"0.{part or 0}"))
        return Taken(local, read_offset(offset) if offset else None)
    except (ValueError, OverflowError):
        return None


def read_offset(text: str) -> dt.timedelta | None:
    """Return the span in "+02:00", "-0330" or "Z", else None."""
    if text.strip() == "Z":
        return dt.timedelta()
    match = re.match(r"^\s*([+-])(\d\d):?([0-5]\d)\s*$", text)
    if match is None or int(match.group(2)) > 14:
        return None
    span = dt.timedelta(hours=int(match.group(2)), minutes=int(match.group(3)))
    return -span if match.group(1) == "-" else span


@dataclass(frozen=True, slots=True)
class Anchor:
    """A frame whose session second is known."""

    name: str
    taken: Taken
    at: float


@dataclass(frozen=True)
class CameraClock:
    """What is known of the camera's clock.

    `ahead_s` is by how much it was ahead of the session's (typed); an anchor says so by itself and takes its place.
    `zone` is the zone it was set to, for frames that do not say.
    """

    ahead_s: float = 0.0
    zone: Zone | None = None
    anchor: Anchor | None = None

    def second(self, session: Recorded, taken: Taken, name: str) -> float:
        """Return the session second of a frame; raises CameraError, ZoneError or WrongClockError."""
        if self.anchor is None:
            return session.second(taken.instant(self.zone, name) - dt.timedelta(seconds=self.ahead_s))
        known = self.anchor.taken
        if known.offset is None and taken.offset is None and self.zone is None:
            apart = taken.local - known.local
        else:
            apart = taken.instant(self.zone, name) - known.instant(self.zone, self.anchor.name)
        return self.anchor.at + apart.total_seconds()


def paired(session: Recorded, name: str, taken: Taken, entry: int) -> Anchor:
    """Return the anchor of a frame taken at the moment of call `entry`; raises CameraError when there is none."""
    told = session.ledger.told_of(entry)
    if told is None:
        raise CameraError(f"entry {entry} is not a call that counts in this session; see the log for its number")
    return Anchor(name, taken, told.at)


def showing(session: Recorded, name: str, taken: Taken, screen: str) -> Anchor:
    """Return the anchor of a frame that shows the crew screen's time of day; `screen` is what it reads.

    Raises CameraError when it is not certain which moment that was.
    """
    written = read_time(screen)
    if written is not None and written.offset is not None:
        return Anchor(name, taken, session.second(written.instant(None, name)))
    if session.zone is None:
        raise CameraError(
            f"the crew screen said {shown(screen)}, but the plan does not say in which zone; give the zone the set was "
            "in",
            "--zone Europe/Berlin",
        )
    if written is not None:
        return Anchor(name, taken, session.second(to_utc(written.local, session.zone, "the crew screen")))
    match = _OF_DAY.match(screen.strip())
    if match is None or int(match.group(1)) > 23 or int(match.group(2)) > 59 or int(match.group(3)) > 59:
        raise CameraError(f"{shown(screen)} is not a time of day; write what the crew screen says, like 10:32:05")
    hour, minute, second, part = match.groups()
    of_day = dt.time(int(hour), int(minute), int(second), int(float(f"0.{part or 0}") * 1e6))
    found = sorted(set(_moments(session, of_day)))
    if len(found) != 1:
        how = "falls near this session more than once" if found else "does not fall near this session"
        raise CameraError(f"{screen} on the crew screen {how}; write the date too, like 2026-06-14T{screen}+02:00")
    return Anchor(name, taken, found[0])


def _moments(session: Recorded, of_day: dt.time) -> Iterable[float]:
    """Yield the session seconds near the session at which the clock where the set was said `of_day`."""
    assert session.zone is not None
    day = session.local(session.begin - AROUND_S).date()
    last = session.local(session.end + AROUND_S).date()
    while day <= last:
        for fold in (0, 1):
            local = dt.datetime.combine(day, of_day).replace(tzinfo=session.zone, fold=fold)
            at = session.second(local.astimezone(dt.UTC))
            if session.begin - AROUND_S <= at <= session.end + AROUND_S:
                yield at
        day += dt.timedelta(days=1)
