"""How each scoop changed on set, with all that is known by the end: the model's times, mended by what was seen."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import NormalDist

import numpy as np

from studiotimer.prep.looks import AIMS, PACK_STAGES, STAGES, look_ends, look_window, pack_ends, pack_starts
from studiotimer.session.climate import Climate
from studiotimer.session.entries import STAGES_SEEN, WALL_SEEN, Shot
from studiotimer.session.learning import prior, taus_of
from studiotimer.session.lives import Life, Lives, edges_now
from studiotimer.session.packs import Packs
from studiotimer.session.product import EDGES
from studiotimer.session.scoops import Scoop, Stay
from studiotimer.session.slumps import within_horizon
from studiotimer.thermal.body import Case, slump_times
from studiotimer.thermal.horizon import HORIZON_S
from studiotimer.wrap.recorded import Recorded
from studiotimer.wrap.stays import OnSet

_SEEN_STAGE = dict(zip(STAGES_SEEN, range(2, 6), strict=True))
_WALL_SEEN_STAGE = dict(zip(WALL_SEEN, range(1, 4), strict=True))
_MEDIAN = 1


@dataclass(frozen=True, slots=True, eq=False)
class Passage:
    """A stay on set and when each of its stages began in it (session seconds, rising; infinite: not within 3 h).

    `seen` are the stages whose time a person called; the others are reckoned. The stages are STAGES, those of a closed
    pack PACK_STAGES; of one that was wiped this is the time since the last wiping, and `before` has those before it.
    """

    stay: OnSet
    starts: tuple[float, ...]
    seen: frozenset[int]
    stages: tuple[str, ...] = STAGES
    before: Passage | None = None

    def then(self, at: float) -> Passage:
        """Return the passage that it was in: of a pack that was wiped later, the one before."""
        return self if self.before is None or at >= self.starts[0] else self.before.then(at)

    @property
    def parts(self) -> list[Passage]:
        """The passages between one wiping and the next, in order; itself alone where it was not wiped."""
        return [*(self.before.parts if self.before else ()), self]

    def stage_at(self, at: float) -> int:
        """Return which of its stages it was in."""
        return max(bisect_right(self.then(at).starts, at) - 1, 0)

    def window(self, shot: Shot | None = None, at: float | None = None) -> tuple[float, float]:
        """Return when the look of `shot` (by default its own) began and ended, had it stayed on set.

        Of a pack that was wiped that is the window it was in at session second `at`, by default the last one.
        """
        asked, part = shot or self.stay.asked, self if at is None else self.then(at)
        look, dressing_s = (asked.look, asked.dressing_s) if asked else ("crisp", 0.0)
        starts = part.starts if part.stages is STAGES else pack_starts(look, part.starts, math.inf)
        start, end = look_window(look, starts)
        return max(start, self.stay.since + dressing_s), end

    def working_s(self, shot: Shot | None = None) -> float:
        """Return how long the look of `shot` was right [s], had it stayed on set; infinite: past 3 h."""
        start, end = self.window(shot)
        return max(end - start, 0.0) if math.isfinite(start) else 0.0

    def ended_as_seen(self, shot: Shot | None = None) -> bool:
        """Whether a person called the change that ends the window."""
        asked = shot or self.stay.asked
        ends = look_ends if self.stages is STAGES else pack_ends
        return ends(asked.look if asked else "crisp") in self.seen


def passages(
    session: Recorded, stays: Sequence[OnSet], taus: Mapping[str, NormalDist] | None = None
) -> dict[tuple[int, float], Passage]:
    """Return the passage of every stay, by scoop and the second it came on set.

    `taus` by flavour are what the shoot taught; by default what the plan held before it.
    """
    held = taus or taus_of(prior(session.plan), session.plan, {stay.flavour for stay in stays})
    found: dict[tuple[int, float], Passage] = {}
    rounds: dict[int, list[OnSet]] = {}
    turn: dict[int, int] = {}
    for stay in stays:
        turn[stay.scoop] = turn.get(stay.scoop, 0) + 1
        rounds.setdefault(turn[stay.scoop], []).append(stay)
    for each in rounds.values():
        found |= _passages(session, each, held)
    return found


def _passages(
    session: Recorded, stays: Sequence[OnSet], taus: Mapping[str, NormalDist]
) -> dict[tuple[int, float], Passage]:
    """Return the passages of stays of different scoops."""
    lives = Lives(session.plan)
    cut = [_cut(session.state.scoops[stay.scoop], stay) for stay in stays]
    until = max(stay.until for stay in stays) + 1.0
    followed = lives.follow(cut, session.climate, until, taus)
    closed = {number for number, life in followed.items() if life.product.build.body.closed}
    reached = {
        stay.scoop: _reached(followed[stay.scoop], session.climate, stay.until)
        for stay in stays
        if followed[stay.scoop].now.on_set and stay.scoop not in closed
    }
    melt = any(shot.look in AIMS for _, shot in session.shots)
    slumping = [stay for stay in stays if stay.scoop in reached and (melt or reached[stay.scoop][EDGES] < stay.until)]
    slumps = _slumps(lives, session, slumping, followed)
    walls = {
        (stay.scoop, stay.since): _wall(session, stay, followed[stay.scoop]) for stay in stays if stay.scoop in closed
    }  # fmt: skip
    return walls | {
        (stay.scoop, stay.since): _passage(
            stay, session.state.scoops[stay.scoop], (*reached.get(stay.scoop, (math.inf,) * 4), slumps.get(stay.scoop))
        )
        for stay in stays
        if stay.scoop not in closed
    }


def _cut(scoop: Scoop, stay: OnSet) -> Scoop:
    """Return the scoop with its life ending with `stay`."""
    kept = tuple(one for one in scoop.stays if one.since <= stay.since)
    return replace(scoop, stays=(*kept, Stay("out", stay.until)))


def _reached(life: Life, climate: Climate, until: float) -> tuple[float, ...]:
    """Return when the median edge came to crisp, sheen, edges and drained, had it stayed."""
    edge = edges_now({0: life}, {0: climate.around("set", until, life.product)})[0]
    times = np.minimum(edge.shown, until + within_horizon(edge.ahead))[:, _MEDIAN]
    return tuple(times.tolist())


def _slumps(lives: Lives, session: Recorded, stays: Sequence[OnSet], followed: Mapping[int, Life]) -> dict[int, float]:
    """Return when each scoop slumped, had it stayed."""
    if not stays:
        return {}
    bodies = lives.bodies({stay.scoop: followed[stay.scoop] for stay in stays})
    after, placed = [], []
    for stay in stays:
        life, body = followed[stay.scoop], bodies[stay.scoop]
        there = session.climate.around("set", stay.until, life.product)
        first = next(one.around for one in (*life.done, life.now) if one.on_set)
        after.append(Case(life.product.mix, life.product.build.body, body.states[_MEDIAN], (), there))
        placed.append(Case(life.product.mix, life.product.build.body, body.placed[_MEDIAN], (), first))
    from_end, from_start = slump_times(after, HORIZON_S), slump_times(placed, HORIZON_S)
    found = {}
    for stay, later, sooner in zip(stays, from_end.tolist(), from_start.tolist(), strict=True):
        slowing = float(followed[stay.scoop].slowing[_MEDIAN])
        found[stay.scoop] = (
            stay.until + later * slowing if later > 0 else min(stay.since + sooner * slowing, stay.until)
        )
    return found


def _wall(session: Recorded, stay: OnSet, life: Life) -> Passage:
    """Return the passage of a closed pack: anew from each time it was wiped there."""
    scoop = session.state.scoops[stay.scoop]
    first = sum(at <= stay.since for at, _ in scoop.wiped)
    wiped = [one for one in scoop.wiped if one[0] <= stay.until]
    before: Passage | None = None
    for count in range(first, len(wiped) + 1):
        until = wiped[count][0] if count < len(wiped) else stay.until
        known = replace(
            _cut(scoop, stay), wiped=tuple(wiped[:count]), seen=tuple(one for one in scoop.seen if one[0] <= until)
        )
        placed = replace(known, stays=known.stays[:-1])
        changes = Packs().on_set({scoop.number: placed}, {scoop.number: life}, session.climate, stay.until)[
            scoop.number
        ]
        starts = (changes.clear, *(max(band.likely, changes.clear) for band in changes.begun))
        called = {_WALL_SEEN_STAGE[what] for at, what in known.seen if what in _WALL_SEEN_STAGE and at >= changes.clear}
        before = Passage(stay, starts, frozenset(called), PACK_STAGES, before)
    assert before is not None
    return before


def _passage(stay: OnSet, scoop: Scoop, times: Sequence[float | None]) -> Passage:
    starts = [stay.since]
    *looks, drained, slump = (math.inf if time is None else time for time in times)
    for time in (*looks, min(drained, slump), slump):
        starts.append(max(time, starts[-1]))
    seen = set()
    for at, what in sorted(scoop.seen):
        if not stay.since <= at <= stay.until or what not in _SEEN_STAGE:
            continue
        index = _SEEN_STAGE[what]
        seen.add(index)
        starts[index] = at
        starts[:index] = [min(one, at) for one in starts[:index]]
        starts[index + 1 :] = [max(one, at) for one in starts[index + 1 :]]
    return Passage(stay, tuple(starts), frozenset(seen))
