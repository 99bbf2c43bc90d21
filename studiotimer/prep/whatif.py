"""What if: the curve of a hero's edge and body, and its window, for another room, light, cold or scoop."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from studiotimer.prep.looks import AIMS
from studiotimer.prep.plan import Plan, Shot
from studiotimer.prep.windows import Window, joined, scoop_of, seen_foot_s, slow_changes_of, span_of
from studiotimer.thermal.body import Case, advance_bodies, mean_enthalpy, start_body
from studiotimer.thermal.edge import edge_clock
from studiotimer.thermal.material import material
from studiotimer.thermal.pack import PackChanges, sweat
from studiotimer.thermal.scoop import HORIZON_S, Changes, Piece, Scoop, edge_after

POINTS = 61  # one in some 5 px of the curve
BODY_EVERY = 4  # the slump's curve is smooth, and each point of it costs far more
LEAST_S = 120.0  # so that a quick look has an axis that can be read
BEYOND = 1.25  # so that the last change is not at the edge

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Instead:
    """What is different from the plan; None leaves the plan's own. Temperatures in °C, humidity a fraction.

    `dry_ice_air_c` is the local air at the set; `dry_ice` False takes box and set ice away.
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

    `outside` is what `edge_c` is of: its edge, or the wall of a closed pack. A look change in `marks` is infinite where
    it does not come within three hours; slump, far beyond the curve of the other looks, is there where the shot wants
    melt.
    """

    flavour: str
    seconds: Floats
    edge_c: Floats
    body_c: Floats
    marks: tuple[tuple[str, float], ...]
    window: Window
    outside: str = "edge"


def changed(plan: Plan, shot: Shot, instead: Instead) -> tuple[Plan, Shot, bool]:
    """Return the plan and shot with what is different, and whether dry ice is used."""
    room: dict[str, object] = {"air_c": instead.room_c, "humidity": instead.humidity}
    ice: dict[str, object] = {"target_air_c": instead.dry_ice_air_c}
    whole: dict[str, object] = {"freezer_c": instead.freezer_c, "width_m": instead.width_m}
    parts: dict[str, object] = {
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
    scoops = [scoop_of(plan, shot, hero, iced) for hero in shot.heroes]
    melts = shot.look in AIMS
    slow = slow_changes_of(scoops)
    changes = [slow[scoop] for scoop in scoops]
    feet = [seen_foot_s(shot, one, number) for number, one in enumerate(scoops)]
    window = joined([span_of(each, shot.look, foot) for each, foot in zip(changes, feet, strict=True)], shot)
    number = shot.heroes.index(window.ended_by)
    scoop, marks = scoops[number], _marks(changes[number], melts)
    shown = [at for words, at in marks if words != "sheen"]
    seconds = np.linspace(0.0, _until(shown), POINTS)
    closed = scoop.build.body.closed
    edge_c = _wall_c(scoop, seconds) if closed else _edge_c(scoop, seconds)
    outside = "wall" if closed else "edge"
    return Curve(window.ended_by.flavour, seconds, edge_c, _body_c(scoop, seconds), marks, window, outside)


def _marks(changes: Changes | PackChanges, melts: bool) -> tuple[tuple[str, float], ...]:
    """Return when a hero changes its look, in words."""
    if isinstance(changes, PackChanges):
        return ("frost", changes.frost_s), ("dew", changes.dew_s), ("dew runs", changes.runs_s)
    slump = (("slump", changes.slump_s),) if melts else ()
    return ("sheen", changes.sheen_s), ("edges gone", changes.edges_s), ("first drip", changes.first_drip_s), *slump


def _wall_c(scoop: Scoop, seconds: Floats) -> Floats:
    """Return the temperature of a closed pack's wall [°C]."""
    quick = math.exp(-scoop.tau)
    history = tuple(Piece(piece.surroundings, piece.seconds * quick) for piece in scoop.history)
    longest = float(seconds[-1]) * quick
    found = sweat(scoop.mix, scoop.build.body, scoop.start_c, scoop.on_set, history, longest)
    return np.interp(seconds * quick, found.times, found.wall_c)


def _edge_c(scoop: Scoop, seconds: Floats) -> Floats:
    clock = edge_clock(scoop.mix, scoop.on_set, scoop.build.body, scoop.build.edge_m)
    arrived = edge_after(scoop.mix, scoop.start_c, scoop.history, scoop.build, scoop.tau)
    return material(scoop.mix).temperature(clock.advance(arrived, seconds * math.exp(-scoop.tau)))


def _body_c(scoop: Scoop, seconds: Floats) -> Floats:
    """Return the temperature of the body's mean enthalpy, reckoned at every fourth point and drawn between."""
    quick = math.exp(-scoop.tau)
    at = seconds[::BODY_EVERY]
    history = tuple(Piece(piece.surroundings, piece.seconds * quick) for piece in scoop.history)
    start = start_body(scoop.mix, scoop.start_c)
    lives = [history, *((*history, Piece(scoop.on_set, float(each) * quick)) for each in at[1:])]
    states = advance_bodies([Case(scoop.mix, scoop.build.body, start, life) for life in lives if life])
    if not history:
        states.insert(0, start)
    means = np.array([mean_enthalpy(state, scoop.build.body) for state in states])
    return np.interp(seconds, at, material(scoop.mix).temperature(means))


def _until(times: Sequence[float]) -> float:
    ends = [time for time in times if time < HORIZON_S]
    return max(LEAST_S, BEYOND * max(ends, default=HORIZON_S / BEYOND))


def _given(values: dict[str, object]) -> dict[str, object]:
    return {name: value for name, value in values.items() if value is not None}
