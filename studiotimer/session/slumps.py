"""When the scoops on set slump: bodies followed at a few paces that a look leaves as they are, read at those believed.

What is believed of the pace moves with each look, and with it every scoop's forecast. How long a scoop takes to slump
is a smooth function of the pace; so the bodies are followed at three fixed paces, and a look has none followed anew.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from studiotimer.session.climate import Climate, Stretch
from studiotimer.session.lives import QUANTILES, Bodies, Life, Lives
from studiotimer.thermal.body import Case, Piece, slump_times
from studiotimer.thermal.horizon import HORIZON_S
from studiotimer.thermal.surroundings import Surroundings

APART = 0.55
"""How far apart the paces are that bodies are followed at, in tau."""
REACH = 0.8
"""How far from the middle one they are read, in tau."""

MOVES = 0.10
"""How far a slump may be moved, as the logarithm of its seconds ahead, before it is worked out at every pace again."""

NODES = 5
"""Of so many scoops alike the slumps are worked out where what is around all of them changed; see `Slumps`."""
STEPS = 3
"""So many stretches of a life are gone through again, rather than that bodies are followed through them and kept."""
ALIKE = 0.01
"""How far two of those may be moved apart for the ones between them to be read, as the logarithm of seconds ahead."""

_WELL_AHEAD_S = 5.0
_MIDDLE = QUANTILES // 2
_FAR_S = 1e9  # stands for never

Floats = NDArray[np.float64]


def standing_in(lives: Mapping[int, Life], climate: Climate, at: float) -> dict[int, Surroundings]:
    """Return what each scoop on set is to stand in."""
    return {number: climate.onward(life.now, at, life.product) for number, life in lives.items()}


def within_horizon(seconds: Floats) -> Floats:
    """Return seconds ahead, those past the horizon as never."""
    return np.where(seconds <= HORIZON_S, seconds, np.inf)


@dataclass(frozen=True, slots=True, eq=False)
class _Found:
    """A life at fixed paces, when it slumps at them [session s], shape (3,), and how far that was only moved since."""

    life: Life
    times: Floats
    moved: float = 0.0

    def holds(self, life: Life, there: Surroundings) -> bool:
        """Whether a scoop still stands as it did, and is to go on standing so."""
        now, then = life.now, self.life.now
        return (
            bool(np.all(np.isfinite(self.times)))
            and (life.origin, life.done) == (self.life.origin, self.life.done)
            and (now.spot, now.began, now.around) == (then.spot, then.began, then.around)
            and now.around == there
        )

    def can_move(self, life: Life, at: float) -> bool:
        """Whether what is around a scoop may have changed and no more, and its slump is well ahead at every pace."""
        same = life.origin == self.life.origin and _on_set(life).began == _on_set(self.life).began
        return same and bool(np.all(np.isfinite(self.times) & (self.times > at + _WELL_AHEAD_S)))

    def moved_to(self, life: Life, middle: float, at: float) -> _Found:
        """Return this with the middle pace's slump at `middle`, and the others moved by the same share."""
        share = (middle - at) / (self.times[_MIDDLE] - at)
        far = self.moved + math.log(share) if 0 < share < math.inf else math.inf
        return _Found(life, at + (self.times - at) * share, far)

    def since(self, before: _Found) -> float:
        """Return how far this was moved since it was as `before`, as the logarithm of its seconds ahead."""
        return self.moved - before.moved


class Slumps:
    """When scoops on set slump; it keeps what it found of those that stand as they did, only to save work.

    Where no more than what is around a scoop changed, and that little, it is worked out at the middle pace alone; of
    many alike at a few, between which the others are moved in proportion.
    """

    def __init__(self) -> None:
        self._known: dict[int, _Found] = {}

    def of(self, lives: Mapping[int, Life], bodies: Lives, climate: Climate, at: float) -> dict[int, Floats]:
        """Return when each scoop on set slumps, in session seconds, shape (3,), at the paces of its life."""
        paced = {number: _paced(life) for number, life in lives.items()}
        there = standing_in(lives, climate, at)
        known = {one: found for one, found in self._known.items() if one in paced}
        holds = {one: found for one, found in known.items() if found.holds(paced[one], there[one])}
        asked = {one: life for one, life in paced.items() if one not in holds}
        moving = {one: life for one, life in asked.items() if one in known and known[one].can_move(life, at)}
        moved = _moved(moving, known, bodies, there, at)
        rest = {one: life for one, life in asked.items() if one not in moved}
        found = _at_paces(rest, bodies.bodies(rest) if rest else {}, there, at, range(QUANTILES))
        self._known = holds | moved | {one: _Found(rest[one], times) for one, times in found.items()}
        return _read(self._known, lives, at)


def _moved(
    lives: Mapping[int, Life], known: Mapping[int, _Found], bodies: Lives, there: Mapping[int, Surroundings], at: float
) -> dict[int, _Found]:  # fmt: skip
    """Return those that may be moved, moved: the nodes of each group worked out, the others read between them."""
    groups: dict[Hashable, list[int]] = {}
    for one, life in lives.items():
        way = tuple(stretch.spot for stretch in (*life.done, life.now) if not stretch.on_set)
        groups.setdefault((life.origin, known[one].life.now.around, there[one], way), []).append(one)
    ordered = [sorted(group, key=lambda one: float(known[one].times[_MIDDLE])) for group in groups.values()]
    nodes = [[group[place] for place in _nodes(len(group))] for group in ordered]
    found = _worked_out({one: lives[one] for each in nodes for one in each}, known, bodies, there, at)
    far: dict[int, Life] = {}
    for group, worked in zip(ordered, nodes, strict=True):
        ahead = [float(known[one].times[_MIDDLE]) for one in worked]
        shares = [found[one].since(known[one]) for one in worked]
        for one in group:
            if one in found:
                continue
            place = min(max(bisect_right(ahead, float(known[one].times[_MIDDLE])), 1), len(ahead) - 1)
            if not abs(shares[place] - shares[place - 1]) <= ALIKE:
                far[one] = lives[one]
                continue
            share = float(np.interp(known[one].times[_MIDDLE], ahead, shares))
            middle = at + (float(known[one].times[_MIDDLE]) - at) * math.exp(share)
            found[one] = known[one].moved_to(lives[one], middle, at)
    found |= _worked_out(far, known, bodies, there, at)
    return {one: each for one, each in found.items() if abs(each.moved) <= MOVES}


def _nodes(count: int) -> list[int]:
    """Return the places of the nodes among so many in order, the first and the last among them."""
    return (
        [round(place) for place in np.linspace(0, count - 1, NODES).tolist()] if count > NODES else list(range(count))
    )


def _worked_out(
    lives: Mapping[int, Life], known: Mapping[int, _Found], bodies: Lives, there: Mapping[int, Surroundings], at: float
) -> dict[int, _Found]:  # fmt: skip
    """Return scoops moved to where they slump at the middle pace; what is a step or two ahead is gone through again."""
    if not lives:
        return {}
    ahead = {one: each for one, each in bodies.ahead(lives).items() if len(each[1]) <= STEPS}
    cases = [
        Case(
            life.product.mix,
            life.product.build.body,
            body.states[_MIDDLE],
            tuple(Piece(one.around, one.seconds / life.origin.slowing[_MIDDLE]) for one in rest),
            there[number],
        )
        for number, (body, rest) in ahead.items()
        for life in (lives[number],)
    ]
    seconds = dict(zip(ahead, slump_times(cases, 2 * HORIZON_S).tolist(), strict=True))
    middles = {one: at + each * lives[one].origin.slowing[_MIDDLE] for one, each in seconds.items() if each > 0}
    rest = {one: life for one, life in lives.items() if one not in middles}
    found = _at_paces(rest, bodies.bodies(rest) if rest else {}, there, at, (_MIDDLE,))
    middles |= {one: float(times[0]) for one, times in found.items()}
    return {one: known[one].moved_to(lives[one], middle, at) for one, middle in middles.items()}


def _paced(life: Life) -> Life:
    """Return a life at the fixed paces that are around its own."""
    return replace(life, origin=replace(life.origin, slowing=_paces(life.origin.slowing)))


@lru_cache(maxsize=64)
def _paces(slowing: tuple[float, ...]) -> tuple[float, ...]:
    low, middle, high = (math.log(slow) for slow in slowing)
    centre = 0.0 if max(-low, high) <= REACH else APART * round(middle / APART)
    return tuple(math.exp(centre + APART * (place - QUANTILES // 2)) for place in range(QUANTILES))


def _on_set(life: Life) -> Stretch:
    """Return the first stretch on set of a scoop that is there."""
    return next(one for one in (*life.done, life.now) if one.on_set)


def _read(known: Mapping[int, _Found], lives: Mapping[int, Life], at: float) -> dict[int, Floats]:
    """Return when each scoop slumps at the paces of its life, from when it is `known` to at fixed ones.

    Its time on set in the model's own seconds is read over how fast the model runs: the same at every pace for a scoop
    straight from the freezer, a straight line for one that stood in the room before.
    """
    if not lives:
        return {}
    since = np.array([[_on_set(life).began] for life in lives.values()])
    nodes = 1.0 / np.array([known[one].life.origin.slowing for one in lives])
    wanted = 1.0 / np.array([life.origin.slowing for life in lives.values()])
    own = (np.array([known[one].times for one in lives]) - since) * nodes
    ends = np.isfinite(own).all(axis=1)
    read = np.maximum(_parabola(nodes, np.where(ends[:, None], own, 0.0), wanted), 0.0)
    for row in np.nonzero(~ends)[0]:
        read[row] = np.interp(-wanted[row], -nodes[row], np.minimum(own[row], _FAR_S))
    return dict(zip(lives, at + within_horizon(since + read / wanted - at), strict=True))


def _parabola(x: Floats, y: Floats, wanted: Floats) -> Floats:
    """Return at `wanted`, shape (n, 3), the parabolas through three points (x, y) each, of the same shape."""
    slopes = np.diff(y) / np.diff(x)
    bend = (slopes[:, 1:] - slopes[:, :1]) / (x[:, 2:] - x[:, :1])
    return np.asarray(y[:, 1:2] + (wanted - x[:, 1:2]) * (slopes[:, :1] + (wanted - x[:, :1]) * bend))


def _at_paces(
    lives: Mapping[int, Life],
    bodies: Mapping[int, Bodies],
    there: Mapping[int, Surroundings],
    at: float,
    places: Sequence[int],
) -> dict[int, Floats]:
    """Return when each scoop on set slumps, in session seconds, at the paces of its life that have those places."""
    if not lives:
        return {}
    chosen = list(places)
    cases = [
        Case(life.product.mix, life.product.build.body, bodies[number].states[place], (), there[number])
        for number, life in lives.items()
        for place in chosen
    ]
    seconds = slump_times(cases, 2 * HORIZON_S).reshape(len(lives), len(chosen))
    rows = dict(zip(lives, seconds, strict=True))
    slumped = _slumped({one: lives[one] for one, row in rows.items() if not np.all(row > 0)}, bodies)
    found = {}
    for one, row in rows.items():
        times = at + row * lives[one].slowing[chosen]
        found[one] = np.where(row > 0, times, np.minimum(slumped[one][chosen], at)) if one in slumped else times
    return found


def _slumped(lives: Mapping[int, Life], bodies: Mapping[int, Bodies]) -> dict[int, Floats]:
    """Return when scoops that have slumped did so, had each stayed in what was around when it came on set, shape (3,).

    All are worked out at once: one by one each would take as long.
    """
    if not lives:
        return {}
    first = {one: _on_set(life) for one, life in lives.items()}
    cases = [
        Case(life.product.mix, life.product.build.body, state, (), first[one].around)
        for one, life in lives.items()
        for state in bodies[one].placed
    ]
    seconds = slump_times(cases, HORIZON_S).reshape(len(lives), QUANTILES)
    return {one: first[one].began + row * life.slowing for (one, life), row in zip(lives.items(), seconds, strict=True)}
