"""Cues about heroes: in, swap, out, and what to look for on them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from studiotimer.session.countdowns import Band, Forecast, HeroForecast, LineForecast, WallChanges
from studiotimer.session.cue import Cue, action
from studiotimer.session.desk import Desk, free_spots
from studiotimer.session.fitting import fit_words
from studiotimer.session.pulling import carry_s
from studiotimer.session.scoops import numbers
from studiotimer.session.state import State
from studiotimer.session.wanted import Take, chosen, shooting, take_of, usable_s

WAIT_S = 600.0
WAIT_STEP_S = 15.0
ASK_AGAIN_S = 30.0
NEARLY = 0.9
"""A scoop that has this share of the best window that waiting brings is placed (own rule)."""
SPARE_READY_Z = 0.2533 / 1.2816
"""Where a swap is due between the median and the 10 % point of the end: at the 40 % point (own rule).

Sooner costs the frames of a good hero and its swap, later the few frames until somebody sees that it is gone; on
simulated days the balance lies there.
"""
TOGETHER = 0.6
"""All heroes are replaced together where one alone would leave less than this share of the window (own rule)."""


def heroes(desk: Desk, forecast: Forecast | None, clear_at: float) -> Iterable[Cue]:
    """Yield hero in once the line has a scoop for every free spot and what is left of the take fits its window."""
    if not shooting(desk.state) or not all(desk.state.locks.values()):
        return
    free = free_spots(desk.state)
    scoops = chosen(desk, forecast, [flavour for flavour, _ in free])
    if not free or len(scoops) < len(free):
        return
    known = [forecast.waiting(number) for number in scoops] if forecast else []
    lines = [one for one in known if one is not None]
    if len(lines) < len(scoops) or forecast is None:
        yield from action("hero_in", desk, "Hero in {scoops}", max(desk.at, clear_at), scoops=scoops)
        return
    take = take_of(desk.state, desk.plan)
    standing = [hero for hero in forecast.heroes if hero.hero and _stands(desk, hero)]
    due, seconds = _when(lines, standing, take, max(desk.at, clear_at))
    fit = take.fit(seconds)
    wanted = min(take.left, take.frames)
    note = fit_words(desk, lines, due, fit, wanted)
    if fit == 0:
        yield Cue(None, "No frame fits", desk.at, note=note)
        return
    yield from action("hero_in", desk, "Hero in {scoops}", due, note=note, scoops=scoops)


def _when(
    lines: Sequence[LineForecast], standing: Sequence[HeroForecast], take: Take, soonest: float
) -> tuple[float, float]:
    """Return when to place a group, and the seconds of its common window then.

    As soon as what is left of the take fits; if it never does, when nearly the longest window is had.
    """
    times = [soonest + step * WAIT_STEP_S for step in range(int(WAIT_S / WAIT_STEP_S) + 1)]
    seconds = [_common_s(lines, standing, at) for at in times]
    for at, span in zip(times, seconds, strict=True):
        if span >= take.seconds and span > 0:
            return at, span
    best = max(seconds)
    return next((at, span) for at, span in zip(times, seconds, strict=True) if span >= NEARLY * best)


def _common_s(lines: Sequence[LineForecast], standing: Sequence[HeroForecast], at: float) -> float:
    """Return how long all are in their windows together if the waiting ones are placed at `at`."""
    spans = [one.placed(at) for one in lines]
    starts = [at + start for start, _ in spans] + [hero.start.likely for hero in standing]
    ends = [at + end for _, end in spans] + [hero.end.likely for hero in standing]
    common = min(ends) - max(starts)
    return max(common, 0.0) if math.isfinite(common) else (WAIT_S if math.isfinite(max(starts)) else 0.0)


def swaps(desk: Desk, forecast: Forecast | None) -> Iterable[Cue]:
    """Yield a swap (or, with nothing to swap, an out) for each hero whose window comes to its end.

    None where the frames still wanted fit before that end. Where another spot is free a new hero by itself would only
    grow old there, so that the whole group comes in anew.
    """
    state = desk.state
    if forecast is None or not shooting(state):
        return
    take = take_of(state, desk.plan)
    standing = [hero for hero in forecast.heroes if hero.hero and _stands(desk, hero)]
    ending = sorted((hero for hero in standing if math.isfinite(hero.end.likely)), key=lambda hero: hero.end.likely)
    coming: list[int] = []
    lead = carry_s(desk.state, desk.plan, desk.at)
    tower = state.shot is not None and state.shot.stacked and len(standing) > 1
    if tower or _together(desk, forecast, standing, take, lead):
        leaving = [hero.scoop for hero in standing]
        due = swap_point(forecast.window.end) if forecast.window else desk.at
        if not _enough(take, forecast, desk.at):
            note = "the next ones come in together"
            yield Cue("out", f"Out {numbers(leaving)}", due, {"scoops": leaving, "why": "gone"}, "swap", note)
        return
    alone = bool(free_spots(state)) and not _shot_without(state)
    for hero in ending:
        best = None if alone else _spare(desk, forecast, hero, coming)
        if best is None and isinstance(hero.changes, WallChanges):
            yield from _wiping(hero)
            continue
        if best is None:
            if hero.end.likely <= desk.at:
                gone = {"scoops": [hero.scoop], "why": "gone"}
                yield Cue("out", f"Out {hero.scoop} {hero.flavour}", hero.end.likely, gone, "swap")
            continue
        coming.append(best)
        if _enough(take, forecast, desk.at):
            continue
        due = swap_point(hero.end) - lead
        given = {"out": hero.scoop, "in": best}
        yield Cue("swap", f"Swap {hero.spot}: {best} for {hero.scoop}", due, given, "swap")


def _wiping(hero: HeroForecast) -> Iterable[Cue]:
    """Yield that a pack whose window ends is wiped, where none waits for its place: dry, it begins anew (own rule)."""
    given = {"scoops": [hero.scoop]}
    yield Cue("dew_wiped", f"Wipe the dew off {hero.scoop} {hero.flavour}", hero.end.likely, given, "swap")


def _shot_without(state: State) -> bool:
    """Whether frames are taken though a spot has no hero."""
    left = (scoop.since for scoop in state.scoops.values() if scoop.place == "out")
    return state.last_frame is not None and state.last_frame[1] > max(state.shot_since, *left, -math.inf)


def _together(desk: Desk, forecast: Forecast, standing: Sequence[HeroForecast], take: Take, lead: float) -> bool:
    """Whether all heroes are better replaced at once: one alone would leave too little before the next one ends."""
    spares = chosen(desk, forecast, [hero.flavour for hero in standing])
    lines = [one for number in spares if (one := forecast.waiting(number)) is not None]
    if forecast.window is None or len(standing) < 2 or len(lines) < len(standing):
        return False
    at = max(desk.at, forecast.window.end.likely)
    first = min(standing, key=lambda hero: hero.end.likely)
    others = [hero for hero in standing if hero is not first]
    alone = _common_s([lines[standing.index(first)]], others, at + lead)
    return alone < min(take.seconds, TOGETHER * _common_s(lines, [], at + lead))


def swap_point(end: Band) -> float:
    """Return when a hero is best gone, with a spare at hand: where frames lost late and early balance (own rule)."""
    return end.likely - SPARE_READY_Z * (end.likely - end.early)


def _enough(take: Take, forecast: Forecast, at: float) -> bool:
    """Whether the frames still wanted fit into what the heroes on set have left; known only where frames are told."""
    if not take.told or forecast.window is None:
        return False
    left = forecast.window.end.likely - max(at, forecast.window.start.likely)
    return take.fit(left) >= take.left


def _spare(desk: Desk, forecast: Forecast, hero: HeroForecast, coming: Sequence[int]) -> int | None:
    """Return the best waiting scoop of the hero's flavour in whose window at least one frame would fit."""
    best = next(iter(chosen(desk, forecast, [hero.flavour], coming)), None)
    one = forecast.waiting(best) if best is not None else None
    if one is not None and usable_s(one, max(desk.at, hero.end.early)) <= 0.0:
        return None
    return best


def looks(desk: Desk, forecast: Forecast | None) -> Iterable[Cue]:
    """Yield a quiet question once a hero may have changed and nobody said so: what is seen teaches the forecast."""
    for hero in forecast.heroes if forecast else ():
        scoop = desk.state.scoops.get(hero.scoop)
        if scoop is None or not hero.hero or not _stands(desk, hero):
            continue
        wall = isinstance(hero.changes, WallChanges)
        since = hero.changes.clear if isinstance(hero.changes, WallChanges) else hero.since
        told = any(at >= since for at, _ in scoop.seen)
        asked = max((at for at, _ in scoop.unseen if at >= since), default=None)
        seen, words = ("dew", "dew beads") if wall else ("edges", "edges gone")
        band = hero.changes.of(seen)
        due = band.early if asked is None else max(band.likely, asked + ASK_AGAIN_S)
        if not told and math.isfinite(due):
            yield Cue("look", f"{hero.scoop}: {words}, or not yet?", due, {"scoop": hero.scoop, "seen": seen})


def _stands(desk: Desk, hero: HeroForecast) -> bool:
    """Whether a hero stands where the forecast believes it, since then."""
    scoop = desk.state.scoops.get(hero.scoop)
    return scoop is not None and scoop.hero_on_set and scoop.since == hero.since
