"""Which facts of the header nobody has read on set, and whether they are the usual ones or the plan's. Pure."""

from __future__ import annotations

from typing import Literal

from studiotimer.lamps import parse_light
from studiotimer.plates import footless, named
from studiotimer.prep.parts import DryIce, Studio
from studiotimer.prep.plan import Plan
from studiotimer.session.countdowns import ClimateNow
from studiotimer.session.measures import Measured
from studiotimer.session.state import State
from studiotimer.units import UnitError

Whence = Literal["", "as usual", "as planned"]
"""Empty where it was read."""


def room(plan: Plan, state: State) -> Whence:
    """Return whence the room's temperature and humidity are."""
    return _whence(state, "room_c", plan.room.air_c, Studio().air_c)


def box(plan: Plan, state: State) -> Whence:
    """Return whence the temperature in the box is."""
    return _whence(state, "box_c", plan.dry_ice.box_c, DryIce().box_c)


def light_is_usual(plan: Plan, state: State) -> bool:
    """Whether nobody told or read how bright the light of the shot is."""
    shot = state.shot
    planned = plan.shot_named(state.shot_name)
    if shot is None or planned is None or any(one.at >= state.shot_since for one in state.readings.get("lux", ())):
        return False
    try:
        light = parse_light(planned.light)
    except UnitError:
        return False
    return light is not None and light.usual and (light.lamp.kind, light.lux) == (shot.lamp, shot.lux)


def plate(state: State, climate: ClimateNow) -> tuple[str, float, Whence] | None:
    """Return what the heroes stand on, how warm that is [°C], and whence; None where there is no plate to tell of."""
    shot = state.shot
    if shot is None or shot.stands_on is None:
        return None
    name = named(shot.stands_on)
    if footless(name):
        return None
    read = [one.value for one in state.readings.get("plate_c", ()) if one.at >= state.shot_since]
    if read:
        return name, read[-1], ""
    if shot.plate_is == "chilled" and shot.plate_c is not None:
        return name, shot.plate_c, "as planned"
    return (name, climate.local_air_c, "as usual") if shot.plate_is == "as the set" else None


def _whence(state: State, what: Measured, planned: float, usual: float) -> Whence:
    if state.readings.get(what):
        return ""
    return "as usual" if planned == usual else "as planned"
