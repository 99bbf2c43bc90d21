"""The window of a shot as planned: when its heroes have the look, and how many frames fit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from studiotimer import units
from studiotimer.prep.plan import Hero, Look, Plan, Shot
from studiotimer.prep.scene import freezer_c, light_of, mix_of
from studiotimer.thermal.body import HORIZON_S, Case, Piece, slump_times, start_body
from studiotimer.thermal.criteria import targets
from studiotimer.thermal.edge import edge_clock
from studiotimer.thermal.material import material
from studiotimer.thermal.mix import Mix
from studiotimer.thermal.surroundings import Surroundings, carrying, chilled, cold_store, room


@dataclass(frozen=True)
class Way:
    """A hero's way to the set: its mix, scoop, start, the pieces before the set, and the set itself."""

    mix: Mix
    width_m: float
    edge_m: float
    start_c: float
    before: tuple[Piece, ...]
    on_set: Surroundings
    tau: float = 0.0


@dataclass(frozen=True)
class Span:
    """When one hero has the look, in seconds on set; infinite where it does not come within three hours."""

    start_s: float
    end_s: float


@dataclass(frozen=True)
class Window:
    """When every hero of a shot has the look, in seconds on set, and the hero that ends it."""

    start_s: float
    end_s: float
    ended_by: Hero
    dressing_s: float
    between_s: float

    @property
    def usable_from_s(self) -> float:
        """Return when frames begin to count: in the look, and dressed [s on set]."""
        return max(self.start_s, self.dressing_s)

    @property
    def working_s(self) -> float:
        """Return the seconds in which frames count."""
        return max(self.end_s - self.usable_from_s, 0.0) if math.isfinite(self.start_s) else 0.0

    @property
    def frames(self) -> int:
        """Return how many frames fit, one every `between_s`, the first as soon as frames count."""
        return math.floor(self.working_s / self.between_s) + 1 if self.working_s > 0.0 else 0

    @property
    def text(self) -> str:
        """Return the window as read on set: ``0:00 to 3:20``."""
        if not math.isfinite(self.start_s) or self.end_s <= self.start_s:
            return "none"
        if self.end_s >= HORIZON_S:
            return f"from {units.duration(self.start_s)}, over 3 h"
        return f"{units.duration(self.start_s)} to {units.duration(self.end_s)}"


def way_of(plan: Plan, shot: Shot, hero: Hero, iced: bool) -> Way:
    """Return a hero's way to the set, with the plan's dry ice (`iced`) or with none.

    With dry ice a scoop waits in the holding box before it is carried, and the air on set is at the plan's
    target. Raises PlanError for a mix or a light that is not known.
    """
    flavour = plan.flavour(hero.flavour)
    light, air, ice = light_of(shot), room(plan.room.air_c, plan.room.humidity), plan.dry_ice
    absorbed = light.absorbed(flavour.tone) if light else 0.0
    on_set = room(plan.room.air_c, plan.room.humidity, absorbed)
    before = [Piece(carrying(air), float(plan.pull_to_set_s))]
    if iced and ice.holding_box:
        before.insert(0, Piece(cold_store(float(ice.box_c)), float(ice.box_wait_s)))
    if iced and ice.target_air_c is not None and ice.target_air_c < plan.room.air_c:
        on_set = chilled(on_set, float(ice.target_air_c))
    learned = plan.learned.get(flavour.mix_name)
    return Way(
        mix_of(flavour),
        float(plan.width_m),
        float(plan.edge_m),
        freezer_c(plan, flavour),
        tuple(before),
        on_set,
        learned.mean if learned else 0.0,
    )


def edge_on_arrival(way: Way) -> float:
    """Return the edge's enthalpy [J/kg] when the hero reaches the set."""
    h = float(material(way.mix).enthalpy(way.start_c))
    for piece in way.before:
        clock = edge_clock(way.mix, piece.surroundings, way.width_m, way.edge_m)
        h = float(clock.advance(h, piece.seconds * math.exp(-way.tau)))
    return h


def span_of(way: Way, look: Look, slump_s: float = math.inf) -> Span:
    """Return when a hero has the look; `slump_s`, which only melt needs, is when its body slumps [s on set]."""
    slow, wanted, h = math.exp(way.tau), targets(way.mix), edge_on_arrival(way)
    clock = edge_clock(way.mix, way.on_set, way.width_m, way.edge_m)
    crisp, sheen, edges, drip = (
        _within(slow * float(clock.seconds_to(h, target)))
        for target in (wanted.crisp, wanted.sheen, wanted.edges, wanted.first_drip)
    )
    edges = max(sheen, edges)
    drip = max(edges, drip)
    if look == "crisp":
        return Span(crisp, min(edges, HORIZON_S))
    if look == "sheen":
        return Span(sheen, min(edges, HORIZON_S))
    return Span(drip, min(max(drip, slump_s), HORIZON_S))


def windows_of(cases: Sequence[tuple[Plan, Shot, bool]]) -> list[Window]:
    """Return the window of each plan's shot, with dry ice or without: where every hero is in its own.

    The bodies, which only melt needs, are reckoned all at once. Raises PlanError for an unknown mix or light.
    """
    ways = [[way_of(plan, shot, hero, iced) for hero in shot.heroes] for plan, shot, iced in cases]
    melting = list(
        dict.fromkeys(way for case, each in zip(cases, ways, strict=True) if case[1].look == "melt" for way in each)
    )
    slumps = dict(zip(melting, slumps_s(melting), strict=True))
    return [
        joined([span_of(way, shot.look, slumps.get(way, math.inf)) for way in each], shot)
        for (_, shot, _), each in zip(cases, ways, strict=True)
    ]


def window_of(plan: Plan, shot: Shot, iced: bool) -> Window:
    """Return the window of one shot; the hero that ends it is named."""
    return windows_of([(plan, shot, iced)])[0]


def joined(spans: Sequence[Span], shot: Shot) -> Window:
    """Return the span common to all heroes of a shot."""
    last = min(range(len(spans)), key=lambda number: spans[number].end_s)
    start = max(span.start_s for span in spans)
    return Window(start, spans[last].end_s, shot.heroes[last], float(shot.dressing_s), float(shot.between_s))


def slump_case(way: Way) -> Case:
    """Return the hero's body for the body model, its pieces shortened as the learned tau slows it."""
    quick = math.exp(-way.tau)
    pieces = tuple(Piece(piece.surroundings, piece.seconds * quick) for piece in way.before)
    return Case(way.mix, way.width_m, start_body(way.mix, way.start_c), pieces, way.on_set)


def slumps_s(ways: Sequence[Way]) -> list[float]:
    """Return when each hero's body slumps [s on set], infinite where it does not within three hours."""
    if not ways:
        return []
    times = slump_times([slump_case(way) for way in ways])
    return [math.exp(way.tau) * float(time) for way, time in zip(ways, times, strict=True)]


def _within(seconds: float) -> float:
    return seconds if seconds < HORIZON_S else math.inf
