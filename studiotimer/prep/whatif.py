"""What if: the curve of a hero's edge and body, and its window, for another room, light, cold or scoop."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from studiotimer.prep.plan import Plan, Shot
from studiotimer.prep.windows import Way, Window, edge_on_arrival, joined, slumps_s, span_of, way_of
from studiotimer.thermal.body import HORIZON_S, Case, Piece, advance_bodies, mean_enthalpy, start_body
from studiotimer.thermal.edge import edge_clock
from studiotimer.thermal.material import material

POINTS = 61
BODY_EVERY = 4
LEAST_S = 120.0
BEYOND = 1.25

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Instead:
    """What is different from the plan; None leaves the plan's own. Temperatures in °C, humidity a fraction.

    `dry_ice_air_c` is the local air on set; `dry_ice` False takes box and set ice away.
    """

    room_c: float | None = None
    humidity: float | None = None
    light: str | None = None
    dry_ice: bool | None = None
    dry_ice_air_c: float | None = None
    freezer_c: float | None = None
    width_m: float | None = None


@dataclass(frozen=True)
class Curve:
    """The hero that ends the shot's window: temperatures [°C] over seconds on set, and when it changes look.

    A look change is infinite where it does not come within three hours; slump, far beyond the curve of the
    other looks, is None unless the shot wants melt.
    """

    flavour: str
    seconds: Floats
    edge_c: Floats
    body_c: Floats
    sheen_s: float
    edges_s: float
    first_drip_s: float
    slump_s: float | None
    window: Window


def changed(plan: Plan, shot: Shot, instead: Instead) -> tuple[Plan, Shot, bool]:
    """Return the plan and shot with what is different, and whether dry ice is used."""
    room: dict[str, Any] = {"air_c": instead.room_c, "humidity": instead.humidity}
    ice: dict[str, Any] = {"target_air_c": instead.dry_ice_air_c}
    whole: dict[str, Any] = {"freezer_c": instead.freezer_c, "width_m": instead.width_m}
    parts: dict[str, Any] = {
        "room": plan.room.model_copy(update=_given(room)),
        "dry_ice": plan.dry_ice.model_copy(update=_given(ice)),
    }
    return (
        plan.model_copy(update=parts | _given(whole)),
        shot.model_copy(update=_given({"light": instead.light})),
        instead.dry_ice is not False,
    )


def what_if(plan: Plan, shot: Shot, instead: Instead | None = None) -> Curve:
    """Return the curve of the hero that ends the shot's window, and the window of the whole shot.

    Raises PlanError when the light or a mix is not known.
    """
    plan, shot, iced = changed(plan, shot, instead or Instead())
    ways = [way_of(plan, shot, hero, iced) for hero in shot.heroes]
    melts = shot.look == "melt"
    slumps = slumps_s(ways) if melts else [math.inf] * len(ways)
    spans = [span_of(way, shot.look, slump) for way, slump in zip(ways, slumps, strict=True)]
    window = joined(spans, shot)
    number = shot.heroes.index(window.ended_by)
    way = ways[number]
    crisp = span_of(way, "crisp")
    sheen = span_of(way, "sheen")
    melt = span_of(way, "melt", slumps[number])
    until = _until((crisp.end_s, melt.start_s, melt.end_s if melts else 0.0))
    seconds = np.linspace(0.0, until, POINTS)
    return Curve(
        window.ended_by.flavour,
        seconds,
        _edge_c(way, seconds),
        _body_c(way, seconds),
        sheen.start_s,
        _or_never(sheen.end_s),
        melt.start_s,
        _or_never(melt.end_s) if melts else None,
        window,
    )


def _edge_c(way: Way, seconds: Floats) -> Floats:
    clock = edge_clock(way.mix, way.on_set, way.width_m, way.edge_m)
    h = clock.advance(np.full(seconds.size, edge_on_arrival(way)), seconds * math.exp(-way.tau))
    return material(way.mix).temperature(h)


def _body_c(way: Way, seconds: Floats) -> Floats:
    """Return the temperature of the body's mean enthalpy, reckoned at every fourth point and drawn between."""
    quick = math.exp(-way.tau)
    at = seconds[::BODY_EVERY]
    before = tuple(Piece(piece.surroundings, piece.seconds * quick) for piece in way.before if piece.seconds > 0.0)
    start = start_body(way.mix, way.start_c)
    lives = [
        before,
        *((*before, Piece(way.on_set, float(each) * quick)) for each in at[1:]),
    ]
    states = advance_bodies([Case(way.mix, way.width_m, start, life) for life in lives if life])
    if not before:
        states.insert(0, start)
    means = np.array([mean_enthalpy(state) for state in states])
    return np.interp(seconds, at, material(way.mix).temperature(means))


def _until(times: tuple[float, ...]) -> float:
    ends = [time for time in times if time < HORIZON_S]
    return max(LEAST_S, BEYOND * max(ends, default=HORIZON_S / BEYOND))


def _or_never(seconds: float) -> float:
    return seconds if seconds < HORIZON_S else math.inf


def _given(values: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in values.items() if value is not None}
