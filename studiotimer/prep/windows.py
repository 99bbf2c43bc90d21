"""The window of a shot as planned: when its heroes have the look, and how many frames fit."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from statistics import NormalDist

import numpy as np

from studiotimer import units
from studiotimer.prep.looks import AIMS, CHANGES, Look, look_ends, look_window, pack_starts
from studiotimer.prep.plan import Hero, Plan, Shot
from studiotimer.prep.scene import build_of, freezer_c, light_of, mix_of
from studiotimer.prep.standing import foot_of
from studiotimer.thermal.bands import CHANGES as BANDED
from studiotimer.thermal.bands import spread_changes
from studiotimer.thermal.learn import BAND, MIX_SD, SET_SD
from studiotimer.thermal.pack import PackChanges, changes_of_packs
from studiotimer.thermal.ruffle import ruffle_changes
from studiotimer.thermal.scoop import (
    HORIZON_S,
    Changes,
    Piece,
    Scoop,
    changes_of,
    ordered,
    ruffle_of,
)
from studiotimer.thermal.surroundings import carrying, chilled, cold_store, pulling, room


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


def scoop_of(plan: Plan, shot: Shot, hero: Hero, iced: bool) -> Scoop:
    """Return a hero as it reaches the set, with the plan's dry ice (`iced`) or with none.

    It is pulled through the room's air, with dry ice it waits in the holding box, then it is carried; with dry ice
    the air at the set is at the plan's target. Raises PlanError for a mix or a light that is not known.
    """
    flavour = plan.flavour(hero.flavour)
    light, ice = light_of(shot), plan.dry_ice
    absorbed = light.absorbed(flavour.tone) if light else 0.0
    on_set = room(float(plan.room.air_c), float(plan.room.humidity), absorbed)
    history = [Piece(pulling(on_set), float(plan.pull_s)), Piece(carrying(on_set), plan.carried_s)]
    if iced and ice.holding_box:
        history.insert(1, Piece(cold_store(float(ice.box_c)), float(ice.box_wait_s)))
    if iced and ice.target_air_c is not None and ice.target_air_c < plan.room.air_c:
        on_set = chilled(on_set, float(ice.target_air_c))
    learned = plan.learned.get(flavour.mix_name)
    return Scoop(
        mix_of(flavour),
        freezer_c(plan, flavour),
        on_set,
        tuple(piece for piece in history if piece.seconds > 0.0),
        build_of(plan, flavour),
        learned.mean if learned else 0.0,
    )


@lru_cache(maxsize=256)
def edge_changes_of(scoop: Scoop) -> Changes:
    """Return a hero's changes as if it never slumped: the edge alone takes no time to reckon."""
    looks = ruffle_changes(scoop.mix, ruffle_of(scoop), scoop.on_set, scoop.build) * math.exp(scoop.tau)
    crisp, sheen, edges, drained = looks.tolist()
    return ordered(crisp, sheen, edges, drained, math.inf)


def begun(changes: Changes | PackChanges) -> tuple[float, ...]:
    """Return when each stage of a hero begins, in seconds on set: of STAGES, of a closed pack of PACK_STAGES."""
    if isinstance(changes, PackChanges):
        return 0.0, changes.frost_s, changes.dew_s, changes.runs_s
    return 0.0, changes.crisp_s, changes.sheen_s, changes.edges_s, changes.first_drip_s, changes.slump_s


def span_of(changes: Changes | PackChanges, look: Look, foot_s: float = math.inf) -> Span:
    """Return when a hero has the look, no longer than the three hours the model looks ahead.

    A foot at `foot_s` ends crisp and sheen.
    """
    stages = begun(changes)
    if isinstance(changes, PackChanges):
        stages = pack_starts(look, stages, math.inf)
    start, end = look_window(look, stages)
    return Span(start, min(end, HORIZON_S, math.inf if look in AIMS else foot_s))


def windows_of(cases: Sequence[tuple[Plan, Shot, bool]]) -> list[Window]:
    """Return the window of each plan's shot, with dry ice or without: where every hero is in its own.

    The bodies, which only melt needs, are reckoned all at once. Raises PlanError for an unknown mix or light.
    """
    scoops = [[scoop_of(plan, shot, hero, iced) for hero in shot.heroes] for plan, shot, iced in cases]
    pairs = list(zip([shot for _, shot, _ in cases], scoops, strict=True))
    slow = slow_changes_of(scoop for shot, each in pairs for scoop in each if shot.look in AIMS or _closed(scoop))
    return [
        joined(
            [
                span_of(slow.get(one) or edge_changes_of(one), shot.look, seen_foot_s(shot, one, number))
                for number, one in enumerate(each)
            ],
            shot,
        )
        for shot, each in pairs
    ]


def slow_changes_of(scoops: Iterable[Scoop]) -> dict[Scoop, Changes | PackChanges]:
    """Return the changes of those whose bodies are reckoned: packs, and what is to melt."""
    melting: list[Scoop] = []
    packs: list[Scoop] = []
    for scoop in dict.fromkeys(scoops):
        (packs if _closed(scoop) else melting).append(scoop)
    found: dict[Scoop, Changes | PackChanges] = dict(zip(packs, changes_of_packs(packs), strict=True))
    return found | dict(zip(melting, changes_of(melting) if melting else [], strict=True))


def _closed(scoop: Scoop) -> bool:
    return scoop.build.body.closed


def seen_foot_s(shot: Shot, scoop: Scoop, number: int = 0) -> float:
    """Return when a hero's foot ends the look [s on set]; infinite where it is not in the frame or not foretold.

    `number` is the hero's place: of a tower only the lowest (0) has a foot.
    """
    if shot.stacked and number:
        return math.inf
    found = foot_of(shot, scoop) if shot.foot_in_frame and shot.look not in AIMS else None
    return found.seconds if found else math.inf


def window_of(plan: Plan, shot: Shot, iced: bool) -> Window:
    """Return the window of one shot; the hero that ends it is named."""
    return windows_of([(plan, shot, iced)])[0]


@dataclass(frozen=True)
class Life:
    """All a plan's first hero goes through, in seconds on set, and its window; of its end also the 10 and the 90 %."""

    changes: Changes | PackChanges
    window: Window
    end_early_s: float
    end_late_s: float


def life_of(plan: Plan) -> Life:
    """Return the life of the first hero of a plan's first shot; raises PlanError for an unknown mix or light."""
    shot = plan.shots[0]
    hero = shot.heroes[0]
    scoop = scoop_of(plan, shot, hero, iced=True)
    learned = plan.learned.get(plan.flavour(hero.flavour).mix_name)
    held = NormalDist(scoop.tau, math.hypot(SET_SD, learned.sd if learned else MIX_SD))
    by_tau = [replace(scoop, tau=held.inv_cdf(share)) for share in BAND]
    if _closed(scoop):
        packs = changes_of_packs(by_tau)
        early, pack, late = (span_of(each, shot.look) for each in packs)
        return Life(packs[1], joined([pack], shot), early.end_s, late.end_s)
    early_s, likely_s, late_s, likely = _banded(by_tau, shot.look)
    plain = span_of(likely, shot.look)
    after = plain.end_s - likely_s if math.isfinite(likely_s) else 0.0  # some looks end seconds after a change
    found = foot_of(shot, scoop) if shot.foot_in_frame and shot.look not in AIMS else None
    sooner, foot_s, later = (found.sooner, found.seconds, found.later) if found else (math.inf,) * 3
    window = joined([span_of(likely, shot.look, foot_s)], shot)
    return Life(likely, window, min(early_s + after, sooner), min(late_s + after, HORIZON_S, later))


def _banded(by_tau: Sequence[Scoop], look: Look) -> tuple[float, float, float, Changes]:
    """Return when the change comes with which a look ends at 10, 50 and 90 %, and all changes at the middle tau."""
    early, likely, late = changes_of(by_tau)
    times = [[each.sheen_s, each.edges_s, each.first_drip_s, each.slump_s] for each in (early, likely, late)]
    bands = spread_changes(np.sort(np.array([times]).swapaxes(1, 2), axis=-1))[0]
    early_s, likely_s, late_s = bands[BANDED.index(CHANGES[look_ends(look)])].tolist()
    return early_s, likely_s, late_s, likely


def joined(spans: Sequence[Span], shot: Shot) -> Window:
    """Return the span common to all heroes of a shot."""
    last = min(range(len(spans)), key=lambda number: spans[number].end_s)
    start = max(span.start_s for span in spans)
    return Window(start, spans[last].end_s, shot.heroes[last], float(shot.dressing_s), float(shot.between_s))
