"""Cues about heroes: in, swap, out, and what to look for on them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from studiotimer.session.coming import NO_WAY, Coming, Way, best_way, way
from studiotimer.session.countdowns import Band, Forecast, HeroForecast, WallChanges
from studiotimer.session.cue import Cue, action
from studiotimer.session.desk import Desk, free_spots
from studiotimer.session.fitting import fit_words
from studiotimer.session.pulling import carry_s
from studiotimer.session.scoops import numbers
from studiotimer.session.state import State
from studiotimer.session.wanted import Take, chosen, heroes_wanted, take_of, usable_s

ASK_AGAIN_S = 30.0
"""How long after a “not yet” a change is asked about again (own rule)."""
SPARE_READY_Z = 0.2533 / 1.2816
"""Where a swap is due between the median and the 10 % point of the end: at the 40 % point (own rule).

Sooner costs the frames of a good hero and its swap, later the few frames until somebody sees that it is gone; on
simulated days the balance lies there.
"""
TOGETHER = 0.6
"""New heroes join others only where that leaves them this share of their frames, or all that are wanted (own rule)."""
OUT_S = 3.0
"""How long it takes to clear the set (own rule)."""


def heroes(desk: Desk, forecast: Forecast | None, clear_at: float) -> Iterable[Cue]:
    """Yield hero in once the line has a scoop for every free spot, when that brings most frames a second.

    Beside heroes that stand only where that does not waste the new ones: else those are let go first.
    """
    if not heroes_wanted(desk) or not all(desk.state.locks.values()):
        return
    free = free_spots(desk.state)
    scoops = chosen(desk, forecast, [flavour for flavour, _ in free])
    if not free or len(scoops) < len(free):
        return
    lines = coming_of(desk, forecast, scoops)
    if len(lines) < len(scoops) or forecast is None:
        yield from action("hero_in", desk, "Hero in {scoops}", max(desk.at, clear_at), scoops=scoops)
        return
    take = take_of(desk.state, desk.plan)
    standing = [hero for hero in forecast.heroes if hero.hero and _stands(desk, hero)]
    best = _way_in(desk, lines, standing, take, max(desk.at, clear_at))
    note = fit_words(desk, [one.one for one in lines], best.begin, best.frames, min(take.left, take.frames))
    if best.frames > 0:
        yield from action("hero_in", desk, "Hero in {scoops}", best.begin, note=note, scoops=scoops)
    elif not standing:
        yield Cue(None, "No frame fits", desk.at, note=note)


def _way_in(
    desk: Desk, lines: Sequence[Coming], standing: Sequence[HeroForecast], take: Take, soonest: float
) -> Way:  # fmt: skip
    """Return how a group is best brought to the free spots; none where it would waste it beside those that stand."""
    walk = carry_s(desk.state, desk.plan, desk.at)
    best = best_way(lines, standing, take, desk.at, soonest, walk)
    if not standing or best.frames == 0:
        return best
    alone = best_way(lines, [], take, desk.at, soonest, walk)
    return best if best.frames >= min(take.left, TOGETHER * alone.frames) else NO_WAY


def coming_of(desk: Desk, forecast: Forecast | None, scoops: Iterable[int]) -> list[Coming]:
    """Return what is foreseen of waiting scoops, those that it is known of."""
    dressing = desk.state.shot.dressing_s if desk.state.shot else 0.0
    known = ((number, forecast.waiting(number)) for number in scoops) if forecast else ()
    return [Coming(one, desk.state.scoops[number].place != "tray", dressing) for number, one in known if one]


def swaps(desk: Desk, forecast: Forecast | None) -> Iterable[Cue]:
    """Yield a swap (or, with nothing to swap, an out) for each hero whose window comes to its end.

    None where the frames still wanted fit before that end. Where another spot is free a new hero by itself would only
    grow old there, so that the whole group comes in anew; so it does where that brings more frames a second. A hero
    beside which nothing that waits gets a frame is swapped at once.
    """
    state = desk.state
    if forecast is None or not heroes_wanted(desk):
        return
    take = take_of(state, desk.plan)
    standing = [hero for hero in forecast.heroes if hero.hero and _stands(desk, hero)]
    ending = sorted((hero for hero in standing if math.isfinite(hero.end.likely)), key=lambda hero: hero.end.likely)
    renewed = _renewed(desk, forecast, standing, take)
    if renewed:
        yield from (_swap(hero, best, desk.at, "nothing that waits gets a frame beside it") for hero, best in renewed)
        return
    lead = carry_s(desk.state, desk.plan, desk.at)
    together = _replaced(desk, forecast, standing, ending, take, lead)
    tower = state.shot is not None and state.shot.stacked and len(standing) > 1
    if tower or together is None:
        leaving = [hero.scoop for hero in standing]
        due = swap_point(forecast.window.end) if forecast.window else desk.at
        if not _enough(take, forecast, desk.at):
            note = "the next ones come in together"
            yield Cue("out", f"Out {numbers(leaving)}", due, {"scoops": leaving, "why": "gone"}, "swap", note)
        return
    yield from _each(desk, forecast, ending, take, together)


def _each(
    desk: Desk, forecast: Forecast, ending: Sequence[HeroForecast], take: Take, together: int
) -> Iterable[Cue]:  # fmt: skip
    """Yield how each hero goes by itself: swapped (so many of them together), wiped, or out once its window is over."""
    lead = carry_s(desk.state, desk.plan, desk.at)
    alone = _waits_for_others(desk.state)
    coming: list[int] = []
    first = math.inf
    for place, hero in enumerate(ending):
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
        first = min(first, due)
        if place < together:
            due = min(due, first + place * lead)
        yield _swap(hero, best, due)


def _swap(hero: HeroForecast, best: int, due: float, note: str = "") -> Cue:
    words = f"Swap {hero.spot}: {best} for {hero.scoop}"
    return Cue("swap", words, due, {"out": hero.scoop, "in": best}, "swap", note)


def _renewed(
    desk: Desk, forecast: Forecast, standing: Sequence[HeroForecast], take: Take
) -> Sequence[tuple[HeroForecast, int]]:  # fmt: skip
    """Return which heroes are best swapped now for which scoops, so that others can come in beside them.

    Those that end first, where what waits for the free spots gets no frame beside them; none while one lacks its scoop.
    """
    state = desk.state
    if not _waits_for_others(state) or not all(state.locks.values()) or (state.shot and state.shot.stacked):
        return ()
    free = [flavour for flavour, _ in free_spots(state)]
    ending = sorted(standing, key=lambda hero: hero.end.likely)
    for count in range(len(ending) + 1):
        scoops = chosen(desk, forecast, [*free, *(hero.flavour for hero in ending[:count])])
        lines = coming_of(desk, forecast, scoops)
        if len(lines) < len(free) + count:
            break
        if _way_in(desk, lines, ending[count:], take, desk.at).frames > 0:
            return list(zip(ending[:count], scoops[len(free) :], strict=True))
    return ()


def _wiping(hero: HeroForecast) -> Iterable[Cue]:
    """Yield that a pack whose window ends is wiped, where none waits for its place: dry, it begins anew (own rule)."""
    given = {"scoops": [hero.scoop]}
    yield Cue("dew_wiped", f"Wipe the dew off {hero.scoop} {hero.flavour}", hero.end.likely, given, "swap")


def _waits_for_others(state: State) -> bool:
    """Whether a spot is free and no frame is taken without its hero, so that those that stand only grow old."""
    return bool(free_spots(state)) and not _shot_without(state)


def _shot_without(state: State) -> bool:
    """Whether frames are taken though a spot has no hero."""
    left = (scoop.since for scoop in state.scoops.values() if scoop.place == "out")
    return state.last_frame is not None and state.last_frame[1] > max(state.shot_since, *left, -math.inf)


def _replaced(
    desk: Desk, forecast: Forecast, standing: Sequence[HeroForecast], ending: Sequence[HeroForecast], take: Take,
    lead: float,
) -> int | None:  # fmt: skip
    """Return how many heroes, those that end first, are best swapped one after another; None: all out, then all in.

    By the frames a second that each way brings from the window's end on.
    """
    window = forecast.window
    if window is None or len(standing) < 2:
        return 1
    spots = [hero.flavour for hero in ending]
    free = [flavour for flavour, _ in free_spots(desk.state)]
    lines = coming_of(desk, forecast, chosen(desk, forecast, [*spots, *free]))
    begin = max(desk.at, swap_point(window.end) - lead)
    ways: list[tuple[float, int | None]] = [(0.0, 1)]
    if len(lines) == len(spots) + len(free) and len(ending) == len(standing):
        ways.append((way(lines, [], take, desk.at, begin + lead + OUT_S, lead, begin).rate, None))
    for count in range(1, len(ending) if not free else 1):
        lines = coming_of(desk, forecast, chosen(desk, forecast, spots[:count]))
        if len(lines) == count:
            ways.append((way(lines, ending[count:], take, desk.at, begin, lead * count, begin).rate, count))
    if free:
        lines = coming_of(desk, forecast, chosen(desk, forecast, free))
        if len(lines) == len(free):
            ways.append((best_way(lines, standing, take, desk.at, desk.at, lead).rate, 1))
    return max(ways, key=lambda one: one[0])[1]


def swap_point(end: Band) -> float:
    """Return when a hero is best gone, with a spare at hand: where frames lost late and early balance (own rule).

    Never, where its window has no end.
    """
    return math.inf if math.isinf(end.likely) else end.likely - SPARE_READY_Z * (end.likely - end.early)


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
