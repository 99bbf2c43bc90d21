"""Daylight: which shots a window lights, and when the sun rises and sets there, through astral (Apache-2.0 licence)."""

from __future__ import annotations

import datetime as dt
import zoneinfo
from dataclasses import dataclass
from functools import lru_cache

from studiotimer.prep.found import Found
from studiotimer.prep.people import Place
from studiotimer.prep.plan import Plan, Shot
from studiotimer.prep.scene import light_of

WANTED = "give the studio's city, or its latitude and longitude, and a time zone"
SOURCE = "sunrise and sunset for the place and date: astral, the equations of Meeus as NOAA has them"


@dataclass(frozen=True)
class Sun:
    """When the sun rises and sets at the studio on the day of the shoot, plain local times."""

    rises: dt.datetime
    sets: dt.datetime
    where: str

    @property
    def found(self) -> Found:
        """Return the end of daylight as a result; its value is seconds after midnight."""
        since = self.sets - dt.datetime.combine(self.sets.date(), dt.time())
        how = f"sun up {self.rises:%H:%M}, down {self.sets:%H:%M} in {self.where}"
        return Found(since.total_seconds(), f"daylight until {self.sets:%H:%M}", how, SOURCE)


def by_window(shot: Shot) -> bool:
    """Return whether daylight lights a shot."""
    light = light_of(shot)
    return light is not None and light.lamp.kind == "daylight"


def sun_of(plan: Plan) -> Sun | None:
    """Return the sun's day at the plan's place; None where place or time zone are not known, or it never sets."""
    where = _where(plan.place, plan.timezone)
    if where is None:
        return None
    latitude, longitude, zone, name = where
    times = _sun(latitude, longitude, plan.date, zone)
    return Sun(*times, name) if times else None


def _where(place: Place, timezone: str | None) -> tuple[float, float, str, str] | None:
    """Return (latitude, longitude, time zone, name): as given, else of the city by astral's table of cities."""
    if place.latitude is not None and place.longitude is not None and timezone is not None:
        return place.latitude, place.longitude, timezone, place.city or "the studio"
    if not place.city:
        return None
    found = _city(place.city)
    if found is None:
        return None
    latitude, longitude, zone = found
    return latitude, longitude, timezone or zone, place.city


@lru_cache(maxsize=32)
def _city(name: str) -> tuple[float, float, str] | None:
    from astral.geocoder import database, lookup

    try:
        found = lookup(name, database())
    except (KeyError, ValueError):
        return None
    if isinstance(found, dict):  # the name of a region: its first city would be a guess
        return None
    return found.latitude, found.longitude, found.timezone


@lru_cache(maxsize=64)
def _sun(latitude: float, longitude: float, date: dt.date, zone: str) -> tuple[dt.datetime, dt.datetime] | None:
    from astral import Observer
    from astral.sun import sunrise, sunset

    try:
        place, there = Observer(latitude, longitude), zoneinfo.ZoneInfo(zone)
        up, down = (when(place, date, tzinfo=there) for when in (sunrise, sunset))
    except ValueError:  # polar day or night
        return None
    return up.replace(tzinfo=None, microsecond=0), down.replace(tzinfo=None, microsecond=0)
