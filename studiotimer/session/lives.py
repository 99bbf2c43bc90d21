"""Scoops followed through their history: where their edge and body have come to, and what they showed on set."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from studiotimer.prep.plan import Plan
from studiotimer.session.climate import Climate, Stretch
from studiotimer.session.product import Product
from studiotimer.session.scoops import Scoop
from studiotimer.thermal.body import Case, Piece, advance_bodies, start_body
from studiotimer.thermal.learn import BAND
from studiotimer.thermal.ruffle import STAGES, Ruffle
from studiotimer.thermal.surroundings import Surroundings

QUANTILES = len(BAND)

Floats = NDArray[np.float64]


def slowing(tau: NormalDist) -> tuple[float, ...]:
    """Return how many times longer everything takes at the 10 %, 50 % and 90 % points of tau."""
    return tuple(math.exp(tau.inv_cdf(share)) for share in BAND)


@dataclass(frozen=True, slots=True)
class Origin:
    """What a scoop's life follows from, apart from its history."""

    product: Product
    start_c: float
    slowing: tuple[float, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Life:
    """A scoop's edge at the quick, the median and the slow quantile of tau, shape (3,), when `now` began.

    `done` are the stretches behind it, `now` the one it is in; `shown`, shape (4, 3), is when on set the edge came to
    crisp, sheen, edges and drained (infinite: not in the stretches done).
    """

    origin: Origin
    done: tuple[Stretch, ...]
    now: Stretch
    edge: Ruffle
    shown: Floats

    @property
    def product(self) -> Product:
        """What the scoop is made of."""
        return self.origin.product

    @property
    def slowing(self) -> Floats:
        """How many times longer everything takes at each quantile, shape (3,)."""
        return np.array(self.origin.slowing)


@dataclass(frozen=True, slots=True, eq=False)
class EdgeNow:
    """A scoop's edge at the end of its life so far: its enthalpy [J/kg], shape (3,), when on set it came to each stage,
    shape (4, 3), and the seconds from now to each if it stays where it is to stand, shape (4, 3).
    """

    h: Floats
    shown: Floats
    ahead: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Bodies:
    """A scoop's body at the three quantiles, after the stretches `done`; `placed` is when it came on set."""

    origin: Origin
    done: tuple[Stretch, ...]
    states: tuple[Floats, ...]
    placed: tuple[Floats, ...]


class Lives:
    """The lives of the scoops in play, each carried on from where it was known while its history agrees."""

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        self._known: dict[int, Life] = {}
        self._bodies: dict[int, Bodies] = {}

    def follow(
        self, scoops: Sequence[Scoop], climate: Climate, at: float, taus: Mapping[str, NormalDist]
    ) -> dict[int, Life]:
        """Return every scoop's life up to session second `at`; `taus` by flavour."""
        origins = {flavour: (Product.of(self._plan, flavour), slowing(tau)) for flavour, tau in taus.items()}
        lives: dict[int, Life] = {}
        rest: dict[int, tuple[Stretch, ...]] = {}
        for scoop in scoops:
            product, slow = origins[scoop.flavour]
            origin = Origin(product, climate.start_c(product, scoop, at), slow)
            history = climate.history(scoop, at, product)
            if not history or (scoop.place != "out" and history[-1].spot != scoop.place):
                history.append(_instant(scoop, climate, at, origin))
            *done, now = history
            begun = self._begun(scoop.number, origin, tuple(done), now)
            lives[scoop.number], rest[scoop.number] = begun, tuple(done[len(begun.done) :])
        _follow_all(lives, rest)
        self._known = lives
        self._bodies = {number: bodies for number, bodies in self._bodies.items() if number in lives}
        return lives

    def bodies(self, lives: Mapping[int, Life]) -> dict[int, Bodies]:
        """Return the bodies of those scoops at the end of their lives so far."""
        begun = [self._begun_bodies(number, life) for number, life in lives.items()]
        ahead = [_rest(bodies.done, (*life.done, life.now)) for bodies, life in zip(begun, lives.values(), strict=True)]
        before = _advanced(begun, [[one for one in rest if not one.on_set] for rest in ahead])
        placed = [
            states if any(not one.on_set for one in rest) or not bodies.done else bodies.placed
            for bodies, rest, states in zip(begun, ahead, before, strict=True)
        ]
        moved = [
            Bodies(bodies.origin, bodies.done, states, there)
            for bodies, states, there in zip(begun, before, placed, strict=True)
        ]
        after = _advanced(moved, [[one for one in rest if one.on_set] for rest in ahead])
        for number, life, states, there in zip(lives, lives.values(), after, placed, strict=True):
            self._bodies[number] = Bodies(life.origin, (*life.done, life.now), states, there)
        return {number: self._bodies[number] for number in lives}

    def ahead(self, lives: Mapping[int, Life]) -> dict[int, tuple[Bodies, list[Stretch]]]:
        """Return the bodies of those scoops as far as they were followed, each with what lies ahead of them since."""
        begun = {number: self._begun_bodies(number, life) for number, life in lives.items()}
        return {one: (bodies, _rest(bodies.done, (*lives[one].done, lives[one].now))) for one, bodies in begun.items()}

    def _begun(self, number: int, origin: Origin, done: tuple[Stretch, ...], now: Stretch) -> Life:
        """Return a scoop's life as far as it is known, in `now`; from its tub where it went another way."""
        known = self._known.get(number)
        if known is None or known.origin != origin or done[: len(known.done)] != known.done:
            edge = origin.product.pulled_at(origin.start_c, (QUANTILES,))
            return Life(origin, (), now, edge, np.full((STAGES, QUANTILES), np.inf))
        return replace(known, origin=origin, now=now)

    def _begun_bodies(self, number: int, life: Life) -> Bodies:
        known = self._bodies.get(number)
        if known is not None and known.origin == life.origin and _goes_on(known.done, (*life.done, life.now)):
            return known
        start = (start_body(life.product.mix, life.origin.start_c),) * QUANTILES
        return Bodies(life.origin, (), start, start)


def _instant(scoop: Scoop, climate: Climate, at: float, origin: Origin) -> Stretch:
    """Return the stretch of no length of a scoop that was pulled just now."""
    spot = scoop.place
    return Stretch(spot, at, climate.around(spot, at, origin.product), 0.0)


def edges_now(lives: Mapping[int, Life], there: Mapping[int, Surroundings]) -> dict[int, EdgeNow]:
    """Return the edges of scoops at the end of their lives so far; `there` is where each is to stand. Alike at once."""
    alike: dict[tuple[Origin, Surroundings, bool, Surroundings], list[int]] = {}
    for number, life in lives.items():
        alike.setdefault((life.origin, life.now.around, life.now.on_set, there[number]), []).append(number)
    found = {}
    for (origin, _, _, stands), numbers in alike.items():
        some = [lives[number] for number in numbers]
        edge, shown = _after(origin, *_edges(some), [life.now for life in some])
        ahead = origin.product.stage_times(edge, stands, np.array(origin.slowing))
        for place, number in enumerate(numbers):
            found[number] = EdgeNow(edge.h[place], shown[:, place], ahead[:, place])
    return found


def _follow_all(lives: dict[int, Life], rest: Mapping[int, tuple[Stretch, ...]]) -> None:
    """Take each life through the stretches it has not been followed through, those alike at once.

    They are counted from the last: scoops that came one after another stand alike from then on.
    """
    going = [number for number, stretches in rest.items() if stretches]
    if not going:
        return
    (h, drained), shown = _edges([lives[number] for number in going])
    for left in range(max(len(rest[number]) for number in going), 0, -1):
        alike: dict[tuple[Origin, Surroundings, bool], list[int]] = {}
        for place, number in enumerate(going):
            if left <= len(rest[number]):
                one = rest[number][-left]
                alike.setdefault((lives[number].origin, one.around, one.on_set), []).append(place)
        for (origin, _, _), some in alike.items():
            edge = Ruffle(h[some], drained[some])
            stretches = [rest[going[place]][-left] for place in some]
            (h[some], drained[some]), shown[:, some] = _after(origin, edge, shown[:, some], stretches)
    for place, number in enumerate(going):
        done = (*lives[number].done, *rest[number])
        edge = Ruffle(h[place], drained[place])
        lives[number] = replace(lives[number], done=done, edge=edge, shown=shown[:, place])


def _edges(lives: Sequence[Life]) -> tuple[Ruffle, Floats]:
    """Return the edges of k lives, shape (k, 3), and when on set each came to each stage, shape (4, k, 3)."""
    edge = Ruffle(np.array([life.edge.h for life in lives]), np.array([life.edge.drained_s for life in lives]))
    return edge, np.stack([life.shown for life in lives], axis=1)


def _after(origin: Origin, edge: Ruffle, shown: Floats, stretches: Sequence[Stretch]) -> tuple[Ruffle, Floats]:
    """Return the edges of k scoops of one origin after a stretch each, alike but for its times: shape (k, 3).

    Also when each stage was `shown` on set, shape (4, k, 3); off set the edge recovers and begins anew.
    """
    one, slowing = stretches[0], np.array(origin.slowing)
    began = np.array([stretch.began for stretch in stretches])[:, None]
    seconds = np.array([stretch.seconds for stretch in stretches])[:, None]
    if one.on_set:
        due = began + origin.product.stage_times(edge, one.around, slowing)
        shown = np.minimum(shown, np.where(due <= began + seconds, due, np.inf))
    else:
        shown = np.full(shown.shape, np.inf)
    return origin.product.after(edge, one.around, seconds / slowing), shown


def _goes_on(known: Sequence[Stretch], stretches: Sequence[Stretch]) -> bool:
    """Whether `stretches` begin with the known ones, the last of which may have grown longer."""
    if not known:
        return True
    if len(known) > len(stretches) or any(a != b for a, b in zip(known[:-1], stretches, strict=False)):
        return False
    last, now = known[-1], stretches[len(known) - 1]
    return (last.spot, last.began, last.around) == (now.spot, now.began, now.around) and last.seconds <= now.seconds


def _rest(known: Sequence[Stretch], stretches: Sequence[Stretch]) -> list[Stretch]:
    """Return what of `stretches` lies beyond the known ones."""
    if not known:
        return [one for one in stretches if one.seconds > 0]
    grown = stretches[len(known) - 1]
    more = grown.seconds - known[-1].seconds
    begun = [Stretch(grown.spot, grown.began + known[-1].seconds, grown.around, more)] if more > 0 else []
    return begun + list(stretches[len(known) :])


def _advanced(bodies: Sequence[Bodies], ahead: Sequence[Sequence[Stretch]]) -> list[tuple[Floats, ...]]:
    """Return each scoop's body states after the stretches ahead of it."""
    moving = [index for index, rest in enumerate(ahead) if rest]
    cases = [
        Case(
            bodies[index].origin.product.mix,
            bodies[index].origin.product.build.body,
            state,
            tuple(Piece(one.around, one.seconds / slow) for one in ahead[index]),
        )
        for index in moving
        for state, slow in zip(bodies[index].states, bodies[index].origin.slowing, strict=True)
    ]
    states = advance_bodies(cases) if cases else []
    moved = {index: tuple(states[i * QUANTILES : (i + 1) * QUANTILES]) for i, index in enumerate(moving)}
    return [moved.get(index, one.states) for index, one in enumerate(bodies)]
