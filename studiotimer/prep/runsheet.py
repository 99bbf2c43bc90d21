"""The run sheet: what happens when, and who does it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from studiotimer.prep.day import Day, Slot
from studiotimer.prep.daylight import Sun, by_window
from studiotimer.prep.found import counted
from studiotimer.prep.plan import Plan
from studiotimer.thermal.charge import CAUTIONS_SHORT

EVENING = dt.time(18, 0)
LATEST_COLD = "latest time: cold when the product comes"


@dataclass(frozen=True)
class Event:
    """One line of the run sheet. `key` names it when the plan changes; `until` is None for a moment."""

    key: str
    at: dt.datetime
    until: dt.datetime | None
    what: str
    who: str
    note: str = ""


def run_sheet(
    plan: Plan, day: Day, freezers: str, temper_note: str, top_ups: Sequence[tuple[dt.datetime, str]],
    pulls: Mapping[str, int], sun: Sun | None = None,
) -> list[Event]:  # fmt: skip
    """Return the run sheet in order of time.

    `freezers` says what the freezers are set to, `temper_note` why product comes when it does, `top_ups` when
    how much dry ice goes on set, `pulls` how many pulls each flavour is planned for, `sun` when daylight ends where
    a shot needs it.
    """
    dry_ice = plan.dry_ice
    events = [
        _moment("freezer_on", day.freezer_on, f"Freezers on, {freezers}", "assistant", LATEST_COLD),
        _moment("product_in", day.product_in, "Product in the freezers", "assistant", f"latest time; {temper_note}"),
        _moment("test_pulls", day.test_pulls, "Test pulls, good pulls counted", "stylist, assistant", _planned(pulls)),
        _moment("stand_ins", day.stand_ins, "Stand-ins on set, light built on them", "stylist, photographer"),
        _moment("call", day.call, "Call time", "everyone"),
    ]
    if day.ice_fetched is not None:
        events.append(_moment("ice_fetched", day.ice_fetched, "Dry ice fetched", "assistant", CAUTIONS_SHORT))
    if day.box_charged is not None:
        monitor = "CO₂ monitor on" if dry_ice.co2_monitor else "bring a CO₂ monitor"
        what = f"Dry-ice box charged, a lid that lets gas out, doors open, {monitor}"
        events.append(_moment("box_charged", day.box_charged, what, "assistant", CAUTIONS_SHORT))
    events += [
        _moment(f"top_up {number}", at, what, "assistant", CAUTIONS_SHORT)
        for number, (at, what) in enumerate(top_ups, 1)
    ]
    events += _truck(plan)
    events += _evening(day)
    if day.lunch is not None:
        events.append(
            Event("lunch", *day.lunch, "Lunch", "everyone", "nothing waits in the line; box and freezers shut")
        )
    for slot in day.slots:
        events += _shot(slot, sun)
    events.append(Event("wrap", day.slots[-1].end, day.wrap, "Wrap", "everyone", _ice_left(day)))
    return sorted(events, key=lambda event: event.at)


def _evening(day: Day) -> list[Event]:
    """Return the reading of the freezers on the evening before, where product is in them by then."""
    at = dt.datetime.combine(day.call.date() - dt.timedelta(days=1), EVENING)
    note = "too warm: set it lower and read it again"
    return [_moment("freezers_read", at, "Freezers read", "assistant", note)] if at > day.product_in else []


def _truck(plan: Plan) -> list[Event]:
    truck = plan.delivery
    first = truck.from_time or truck.to_time
    if truck.day is None or first is None:
        return []
    begins, ends = (dt.datetime.combine(truck.day, each) for each in (first, truck.to_time or first))
    cartons = f"{counted(truck.cartons, 'carton')} counted" if truck.cartons else "cartons counted"
    until = f"until {truck.to_time:%H:%M}" if truck.from_time and truck.to_time else ""
    note = ", ".join(part for part in (until, truck.supplier, truck.contact, truck.phone) if part)
    what = f"Truck with the product: temperature read, {cartons}, damage noted"
    return [Event("truck", begins, ends if ends > begins else None, what, "assistant", note)]


def _shot(slot: Slot, sun: Sun | None) -> list[Event]:
    name, shot, events = slot.shot.name, slot.shot, []
    if slot.locks > slot.start:
        changed = f"{name}: set changed"
        events.append(Event(f"change {name}", slot.start, slot.locks, changed, "stylist, photographer"))
    if slot.heroes > slot.locks:
        locked = f"{name}: light, set and camera locked"
        events.append(Event(f"locks {name}", slot.locks, slot.heroes, locked, "photographer"))
    light = f", {sun.found.text}" if sun is not None and by_window(shot) else ""
    events.append(_heroes(slot, light))
    if slot.end > slot.over:
        events.append(Event(f"approval {name}", slot.over, slot.end, f"{name}: client's approval", "client"))
    return events


def _moment(key: str, at: dt.datetime, what: str, who: str, note: str = "") -> Event:
    return Event(key, at, None, what, who, note)


def _heroes(slot: Slot, light: str) -> Event:
    shot = slot.shot
    names = counted(slot.groups, "hero", "heroes")
    if len(shot.heroes) > 1:
        names = counted(slot.groups, f"group of {len(shot.heroes)} heroes", f"groups of {len(shot.heroes)} heroes")
    flavours = ", ".join(dict.fromkeys(hero.flavour for hero in shot.heroes))
    who = "all three"
    what = f"{shot.name}: {names}"
    ends = f"ends {slot.early:%H:%M} to {slot.late:%H:%M}"
    return Event(f"heroes {shot.name}", slot.heroes, slot.over, what, who, f"{flavours}, {shot.look}; {ends}{light}")


def _planned(pulls: Mapping[str, int]) -> str:
    return "planned for the day: " + ", ".join(f"{name} {count}" for name, count in pulls.items())


def _ice_left(day: Day) -> str:
    if day.ice_fetched is None:
        return ""
    return "put leftover dry ice where air moves freely and nobody works; never down a drain or in a closed bin"
