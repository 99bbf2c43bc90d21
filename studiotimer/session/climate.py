"""What is around a scoop in each place at each time, from the plan, the readings, the lamps and the dry ice."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from typing import Literal, Protocol, TypeVar

from studiotimer.lamps import lamps
from studiotimer.prep.plan import Plan
from studiotimer.session import pulling
from studiotimer.session.measures import Measured
from studiotimer.session.product import Product
from studiotimer.session.scoops import Place, Scoop
from studiotimer.session.state import Change, State
from studiotimer.thermal import co2, dryice, surroundings
from studiotimer.thermal.charge import OUTDOOR_PPM, Charge
from studiotimer.thermal.light import Light, Tone
from studiotimer.thermal.surroundings import Surroundings

ICE_STEP_S = 120.0
"""In steps so long the cold of dry ice, which dwindles, is taken as even (own rule)."""
CO2_STEP_S, HOUR_S = 300.0, 3600.0
TOP_UP_HORIZON_MIN = 60
"""How far ahead a top-up is looked for."""
TARGET_SLACK_K = 0.1
"""So much over its target the air at the set is still as planned (own rule)."""
CALIBRATION_W = 1.0
"""Least heat taken up by dry ice at which a reading beside the scoop calibrates its gain."""

Spot = Place | Literal["pull", "carry"]


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of a scoop's life in unchanging surroundings; `began` in session seconds."""

    spot: Spot
    began: float
    around: Surroundings
    seconds: float

    @property
    def on_set(self) -> bool:
        """Whether the scoop stood on set."""
        return self.spot == "set"


@dataclass(frozen=True, slots=True)
class _Found:
    """What is around a product by spot, time and whether lit; stretches, which scoops share, by spot, begin and end."""

    around: dict[tuple[Spot, float, bool], Surroundings]
    stretches: dict[tuple[Spot, float, float], Stretch]


@lru_cache(maxsize=256)
def _cold_store(temp_c: float) -> Surroundings:
    return surroundings.cold_store(temp_c)


@lru_cache(maxsize=256)
def _room(air_c: float, humidity: float) -> Surroundings:
    return surroundings.room(air_c, humidity)


@lru_cache(maxsize=256)
def _carrying(air_c: float, humidity: float) -> Surroundings:
    return surroundings.carrying(_room(air_c, humidity))


@lru_cache(maxsize=256)
def _pulling(air_c: float, humidity: float) -> Surroundings:
    return surroundings.pulling(_room(air_c, humidity))


@lru_cache(maxsize=1024)
def _on_set(air_c: float, humidity: float, absorbed_w_m2: float, local_c: float) -> Surroundings:
    lit = surroundings.room(air_c, humidity, absorbed_w_m2)
    return lit if abs(local_c - air_c) < 0.005 else surroundings.chilled(lit, local_c)


class Climate:
    """The surroundings of a shoot over session seconds; made from a state, never changed."""

    def __init__(self, state: State, plan: Plan) -> None:
        self._state = state
        self._plan = plan
        self._series: dict[Measured, tuple[list[float], list[float]]] = {}
        self._gains, self._offsets = self._calibrated()
        self._pull, self._carry = pulling.pull(state, plan), pulling.carry(state, plan)
        self._marks: dict[Spot, tuple[list[float], float]] = {}
        """Of each spot when something around it changes, and up to when those are known."""
        self._found: dict[tuple[Tone, str, str, float], _Found] = {}
        self._histories: dict[int, tuple[Scoop, float, tuple[Stretch, ...]]] = {}
        """Of each scoop the history that was asked for last, up to when: until something turns only its end moves."""

    def room_c(self, at: float) -> float:
        """Return the room's temperature [°C]."""
        return self._read("room_c", at, self._plan.room.air_c)

    def humidity(self, at: float) -> float:
        """Return the room's relative humidity, a fraction."""
        return self._read("humidity", at, self._plan.room.humidity)

    def freezer_c(self, product: Product, at: float) -> float:
        """Return the temperature [°C] of the freezer a product is in: its reading, else its planned setting.

        Scoops that wait in a freezer are where their tub is.
        """
        put = _latest(self._state.tubs_in.get(product.flavour, ()), at)
        name = put.freezer if put else product.freezer
        planned = product.freezer_c if name == product.freezer else Product.planned_c(self._plan, name)
        return _value(self._state.read_of(name), at, product.freezer_c if planned is None else planned)

    def start_c(self, product: Product, scoop: Scoop, until: float) -> float:
        """Return the temperature [°C] a scoop's history up to session second `until` begins with, the same all through.

        That is its core as it was read last; else that of its tub before the pull; else its freezer.
        """
        core = scoop.core_by(until)
        if core is not None:
            return core[1]
        tub = _latest(self._state.cores.get(scoop.flavour, ()), scoop.pulled)
        return self.freezer_c(product, scoop.pulled) if tub is None else tub.value

    def box_c(self, at: float) -> float:
        """Return the holding box's temperature [°C]."""
        return self._read("box_c", at, self._plan.dry_ice.box_c)

    def plate_c(self, since: float, until: float = math.inf) -> float | None:
        """Return the last reading of the plate [°C] from `since` on and before `until`; it puts the plan right."""
        read = self._state.readings.get("plate_c", ())
        last = bisect_left(read, until, key=lambda one: one.at)
        return read[last - 1].value if last and read[last - 1].at >= since else None

    def carry_s(self, at: float) -> float:
        """Return how long the way to the set takes a scoop that comes there at `at` [s]."""
        return self._carry.at(at)

    def gain_k_per_w(self, at: float) -> float:
        """Return how much each watt taken up by dry ice cools the air at the set [K/W]."""
        return _value(self._gains, at, self._plan.dry_ice.gain_k_per_w)

    def ice_kg(self, where: Literal["set", "box"], at: float) -> float:
        """Return the dry ice left [kg]; in the box it is lost at the plan's rate."""
        charges = self._charges(where, at)
        if where == "box":
            return _box_left(charges, at, self._plan.dry_ice.box_loss_kg_per_s)
        room = self.room_c(at)
        return sum(float(dryice.left_kg(one, room, at - one.at)) for one in charges)

    def ice_w(self, at: float) -> float:
        """Return the heat [W] that the dry ice on set takes up; charges long gone cost nothing to pass over."""
        if not self._state.charges["set"]:
            return 0.0
        room = self.room_c(at)
        there = [one for one in self._charges("set", at) if at - one.at < dryice.lasts_s(one, room)]
        return float(dryice.heat_taken_w(there, room, at)) if there else 0.0

    def ice_gone_at(self, at: float) -> float | None:
        """Return when the dry ice on set will be gone (session seconds), None when there is none."""
        room = self.room_c(at)
        last = max((one.at + dryice.lasts_s(one, room) for one in self._charges("set", at)), default=at)
        return last if last > at else None

    def top_up_at(self, at: float) -> float | None:
        """Return when the air at the set will be back at the plan's target; None without one, or not within 1 h."""
        target = self._plan.dry_ice.target_air_c
        if target is None:
            return None
        ahead = (at + minutes * 60.0 for minutes in range(TOP_UP_HORIZON_MIN + 1))
        return next((time for time in ahead if self.local_air_c(time) > target + TARGET_SLACK_K), None)

    def co2_ppm(self, at: float) -> float | None:
        """Return an estimate of the CO₂ in the well-mixed room [ppm], None when no dry ice was logged.

        It begins at the outdoor level with the first charge; never a substitute for a monitor.
        """
        first = min((one.at for charges in self._state.charges.values() for one in charges), default=None)
        if first is None or first >= at:
            return None
        steps = max(round((at - first) / CO2_STEP_S), 1)
        span = (at - first) / steps
        middles = [first + (index + 0.5) * span for index in range(steps)]
        room = self._plan.room
        levels = co2.ppm_over(
            OUTDOOR_PPM,
            [(self._source_kg_s(middle), span) for middle in middles],
            volume_m3=room.volume_m3,
            changes_per_s=room.changes_per_s,
            room_c=self.room_c(at),
        )
        return float(levels[-1])

    def _source_kg_s(self, at: float) -> float:
        box = self._plan.dry_ice.box_loss_kg_per_s if self.ice_kg("box", at) > 0 else 0.0
        return box + float(co2.sublimation_kg_s(self.ice_w(at)))

    def local_air_c(self, at: float) -> float:
        """Return the temperature [°C] of the air at the set."""
        return self._local_air(at, self.gain_k_per_w(at), _value(self._offsets, at, 0.0))

    def absorbed_w_m2(self, at: float, tone: Tone, lit: bool = False) -> float:
        """Return the light that a scoop of that tone takes up on set [W/m2]; `lit`, as if the lamp were on."""
        lights = self._state.lights
        place = bisect_right(lights, at, key=lambda one: one.at)
        if place == 0 or not (lights[place - 1].on or lit):
            return 0.0
        light = lights[place - 1]
        return Light(lamps()[light.lamp], light.lux).absorbed(tone)

    def around(self, spot: Spot, at: float, product: Product, lit: bool = False) -> Surroundings:
        """Return what is around a scoop in that spot; `lit`, as if the lamp on set were on."""
        known = self._found_of(product).around
        around = known.get((spot, at, lit))
        if around is None:
            around = known[spot, at, lit] = self._around(spot, at, product, lit)
        return around

    def _found_of(self, product: Product) -> _Found:
        """Return what was found so far of what is around a product."""
        key = (product.tone, product.flavour, product.freezer, product.freezer_c)
        found = self._found.get(key)
        if found is None:
            found = self._found[key] = _Found({}, {})
        return found

    def _around(self, spot: Spot, at: float, product: Product, lit: bool) -> Surroundings:
        if spot == "freezer":
            return _cold_store(round(self.freezer_c(product, at), 3))
        if spot == "box":
            return _cold_store(round(self.box_c(at), 3))
        room_c, humidity = self.room_c(at), self.humidity(at)
        if spot in ("pull", "carry"):
            return _carrying(room_c, humidity) if spot == "carry" else _pulling(room_c, humidity)
        if spot != "set":
            return _room(room_c, humidity)
        return _on_set(room_c, humidity, self.absorbed_w_m2(at, product.tone, lit), round(self.local_air_c(at), 2))

    def onward(self, now: Stretch, at: float, product: Product) -> Surroundings:
        """Return what a scoop on set is to stand in from `at` on: what it stands in, unless that turns just then.

        So dry ice drifts there in steps too (own rule), and between two of them what is to come stays as it was.
        """
        turned = self._turns("set", now.began, math.nextafter(at, math.inf))
        return self.around("set", at, product) if turned else now.around

    def history(self, scoop: Scoop, until: float, product: Product) -> list[Stretch]:
        """Return a scoop's life to session second `until`, in order.

        It begins with the pull, in the seconds before its call: that comes when the scoop is put down. Once its core
        was read it begins there.
        """
        known, before, stood = self._histories.get(scoop.number, (None, until, ()))
        if known is scoop and before <= until:
            last = stood[-1]
            if not self._turns(last.spot, last.began, until):
                return [*stood[:-1], replace(last, seconds=until - last.began)]
        stretches = self._history(scoop, until, product)
        told = (scoop.stays[-1].since, *(at for at, _ in scoop.cores[-1:]))
        if stretches and stretches[-1].spot == scoop.place and max(told) <= until:
            self._histories[scoop.number] = scoop, until, tuple(stretches)
        return stretches

    def _history(self, scoop: Scoop, until: float, product: Product) -> list[Stretch]:
        stretches: list[Stretch] = []
        known = self._found_of(product).stretches
        core = scoop.core_by(until)
        since = -math.inf if core is None else core[0]
        for spot, begin, end in self._spans(scoop, until):
            if end <= since:
                continue
            begin = max(begin, since)
            turns = [begin, *self._turns(spot, begin, end), end]
            for start, stop in pairwise(turns):
                if stop > start:
                    one = known.get((spot, start, stop))
                    if one is None:
                        around = self.around(spot, self._middle(spot, start), product)
                        one = known[spot, start, stop] = Stretch(spot, start, around, stop - start)
                    stretches.append(one)
        return stretches

    def _spans(self, scoop: Scoop, until: float) -> list[tuple[Spot, float, float]]:
        """Return the scoop's places as spans; the walk to the set is the end of the stay before it.

        Pull and walk last as long as they do, however soon the calls followed one another.
        """
        ends = [stay.since for stay in scoop.stays[1:]] + [until]
        if scoop.pulled > until:
            return []
        spans: list[tuple[Spot, float, float]] = [("pull", scoop.pulled - self._pull.at(scoop.pulled), scoop.pulled)]
        for index, (stay, end) in enumerate(zip(scoop.stays, ends, strict=True)):
            placed, end = end, min(end, until)
            if stay.place == "out" or end < stay.since:
                break
            following = scoop.stays[index + 1] if index + 1 < len(scoop.stays) else None
            to_set = following is not None and (following.place == "set" or following.brought)
            walks = to_set and stay.place != "set" and not stay.brought and placed <= until
            walk = end - self.carry_s(end) if walks else end
            spans += [(stay.place, stay.since, max(walk, stay.since)), ("carry", walk, end)]
        return spans

    def _turns(self, spot: Spot, begin: float, end: float) -> list[float]:
        """Return the times between `begin` and `end` at which something around the spot changes."""
        marks, until = self._marks.get(spot, ([], -math.inf))
        if end > until:
            iced = spot == "set" and bool(self._state.charges["set"])
            until = end + HOUR_S if iced else math.inf
            marks = sorted({*self._marks_of(spot), *(self._ice_turns(until) if iced else ())})
            self._marks[spot] = marks, until
        return marks[bisect_right(marks, begin) : bisect_left(marks, end)]

    def _marks_of(self, spot: Spot) -> list[float]:
        """Return all times at which something was read or done that changes what is around the spot, dry ice aside."""
        watched: dict[Spot, tuple[Measured, ...]] = {"freezer": ("freezer_c",), "box": ("box_c",)}
        names: tuple[Measured, ...] = watched.get(spot, ("room_c", "humidity"))
        told: list[Sequence[_Timed]] = [self._state.readings.get(name, ()) for name in names]
        if spot == "freezer":
            told += self._state.tubs_in.values()
        if spot == "set":
            told += [self._state.lights, self._gains, self._offsets]
        return sorted({one.at for changes in told for one in changes})

    def _ice_turns(self, until: float) -> list[float]:
        """Return when dry ice at the set came or went, and the steps in which it drifts, up to `until`."""
        steps = [step * ICE_STEP_S for step in range(math.ceil(until / ICE_STEP_S))]
        return [*(one.at for one in self._state.charges["set"]), *self._state.cleared["set"], *steps]

    def _middle(self, spot: Spot, start: float) -> float:
        """Return the time that stands for a piece: dry ice drifts, so the middle of its step, else the start."""
        if spot != "set" or not self._state.charges["set"] or not self._charges("set", start):
            return start
        ahead = (start // ICE_STEP_S + 0.5) * ICE_STEP_S
        turns = self._turns(spot, start, max(ahead, start))
        return ahead if ahead > start and not turns else start

    def _charges(self, where: Literal["set", "box"], at: float) -> Sequence[Charge]:
        cleared = max((time for time in self._state.cleared[where] if time <= at), default=float("-inf"))
        return [one for one in self._state.charges[where] if cleared < one.at <= at]

    def _read(self, what: Measured, at: float, planned: float) -> float:
        if what not in self._series:
            read = tuple(self._state.readings.get(what, ()))
            self._series[what] = [one.at for one in read], [one.value for one in read]
        times, values = self._series[what]
        place = bisect_right(times, at)
        return values[place - 1] if place else planned

    def _local_air(self, at: float, gain: float, offset: float) -> float:
        return float(dryice.local_air_c(self.room_c(at) + offset, self.ice_w(at), gain))

    def _calibrated(self) -> tuple[tuple[Change, ...], tuple[Change, ...]]:
        """Return the gains and the offsets that readings beside the scoop give.

        With dry ice on set a reading gives its gain; without, how much warmer or colder the set is than the room.
        """
        gains: list[Change] = []
        offsets: list[Change] = []
        for reading in self._state.readings.get("air_c", ()):
            heat = self.ice_w(reading.at)
            room = self.room_c(reading.at)
            if heat > CALIBRATION_W:
                offset = offsets[-1].value if offsets else 0.0
                gains.append(Change(reading.at, dryice.link_from_reading(room + offset, reading.value, heat)))
            else:
                offsets.append(Change(reading.at, reading.value - room))
        return tuple(gains), tuple(offsets)


class _Timed(Protocol):
    @property
    def at(self) -> float: ...


T = TypeVar("T", bound=_Timed)


def _latest(changes: Sequence[T], at: float) -> T | None:
    """Return the last of `changes`, which are in order of time, that had come by `at`."""
    place = bisect_right(changes, at, key=lambda one: one.at)
    return changes[place - 1] if place else None


def _value(changes: Sequence[Change], at: float, before: float) -> float:
    place = bisect_right(changes, at, key=lambda one: one.at)
    return changes[place - 1].value if place else before


def _box_left(charges: Sequence[Charge], at: float, loss_kg_per_s: float) -> float:
    left, since = 0.0, at
    for charge in charges:
        left = max(left - loss_kg_per_s * (charge.at - since), 0.0) if left else 0.0
        left, since = left + charge.mass_kg, charge.at
    return max(left - loss_kg_per_s * (at - since), 0.0)
