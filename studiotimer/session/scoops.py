"""One scoop's life as the log tells it: where it was from when, how it was judged, what was seen on it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from studiotimer.session.entries import Judgement, Seen, Shot, Store, Why, Wiped

Place = Literal["freezer", "box", "tray", "set", "out"]


@dataclass(frozen=True, slots=True)
class Stay:
    """A place from a time (session seconds) on; `assumed` when no call said so.

    `brought` is on a tray at the set: the way there is behind it.
    """

    place: Place
    since: float
    assumed: bool = False
    slot: str | None = None
    brought: bool = False


@dataclass(frozen=True, slots=True)
class Pour:
    """A sauce poured, and when it has run (session seconds)."""

    at: float
    until: float
    what: str


@dataclass(frozen=True, slots=True)
class Stood:
    """What a scoop stands on: the plate of a shot, as that was from `since` to `until` (session seconds)."""

    shot: Shot
    since: float
    until: float = math.inf


@dataclass(frozen=True, slots=True)
class FootLook:
    """A foot seen on a scoop on set since `since`, or looked for and `not_yet` there, and what the scoop stood on."""

    at: float
    since: float
    not_yet: bool
    stood: Stood


@dataclass(frozen=True, slots=True)
class Scoop:
    """A pulled scoop; times are session seconds, stays in order of time, at least one.

    `unseen` are the changes that were looked for and not yet there.
    """

    number: int
    flavour: str
    stays: tuple[Stay, ...]
    judged: Judgement | None = None
    hero: bool = False
    spot: str | None = None
    shot: str | None = None
    seen: tuple[tuple[float, Seen], ...] = ()
    unseen: tuple[tuple[float, Seen], ...] = ()
    why_out: Why | None = None
    pours: tuple[Pour, ...] = ()
    cores: tuple[tuple[float, float], ...] = ()
    """When its core was read, and what it read [°C], in order of time."""
    stood: Stood | None = None
    """The plate of the shot before that it was left standing on; None where it stands on the current shot's."""
    feet: tuple[FootLook, ...] = ()
    wiped: tuple[tuple[float, Wiped], ...] = ()
    """When frost or dew was wiped off it, where it is a closed pack, in order of time."""

    @property
    def pulled(self) -> float:
        """When it was pulled."""
        return self.stays[0].since

    @property
    def assumed(self) -> bool:
        """Whether its pull was assumed rather than logged."""
        return self.stays[0].assumed

    @property
    def place(self) -> Place:
        """Where it is."""
        return self.stays[-1].place

    @property
    def slot(self) -> str | None:
        """Which slot of the box or tray it is in, where that was logged."""
        return self.stays[-1].slot

    @property
    def where(self) -> str:
        """Where it is in words: "box B3"."""
        if self.brought:
            return "at the set"
        return f"{self.place} {self.slot}" if self.slot else self.place

    @property
    def brought(self) -> bool:
        """Whether it was brought and waits at the set."""
        return self.stays[-1].brought

    @property
    def since(self) -> float:
        """Since when it has been there."""
        return self.stays[-1].since

    @property
    def on_set(self) -> bool:
        """Whether it stands on set, as hero or stand-in."""
        return self.place == "set"

    @property
    def waiting(self) -> bool:
        """Whether it is in the line: pulled, not on set, not out, not rejected."""
        return self.place in ("freezer", "box", "tray") and self.judged != "reject"

    @property
    def hero_on_set(self) -> bool:
        """Whether it is a hero standing on set."""
        return self.hero and self.on_set

    def there(self, at: float) -> bool:
        """Whether it was somewhere at `at`: pulled, and not out yet."""
        return self.pulled < at and (self.place != "out" or at <= self.since)

    def core_by(self, at: float) -> tuple[float, float] | None:
        """Return when its core was read last by session second `at`, and what it read [°C]."""
        return next((one for one in reversed(self.cores) if one[0] <= at), None)

    def moved(self, place: Store | Place, at: float, assumed: bool = False, slot: str | None = None) -> Scoop:
        """Return this scoop in `place` from `at` on."""
        return replace(self, stays=(*self.stays, Stay(place, at, assumed, slot)), stood=None)


def numbers(values: Sequence[int]) -> str:
    """Return scoop numbers in words: "11, 12, 13"."""
    return ", ".join(str(value) for value in values)
