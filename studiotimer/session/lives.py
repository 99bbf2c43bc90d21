"""Scoops followed through their history: where their edge and body have come to, and what they showed on set."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from studiotimer.prep.plan import Plan
from studiotimer.session.climate import Climate, Stretch, mix_of, tone_of
from studiotimer.session.scoops import Scoop
from studiotimer.thermal.body import Case, Piece, advance_bodies, start_body
from studiotimer.thermal.criteria import targets
from studiotimer.thermal.edge import edge_clock
from studiotimer.thermal.light import Tone
from studiotimer.thermal.material import material
from studiotimer.thermal.mix import Mix
from studiotimer.thermal.surroundings import Surroundings

TENTH = 1.2815515655446004  # the standard normal's 90 % point
QUANTILES = 3
STAGES = 4

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Belief:
    """What is known of tau, which slows the whole model: its mean and standard deviation."""

    mean: float
    sd: float

    def slowing(self) -> Floats:
        """Return how many times longer everything takes at the 10 %, 50 % and 90 % points, shape (3,)."""
        return np.exp(self.mean + self.sd * np.array([-TENTH, 0.0, TENTH]))


@dataclass(frozen=True, slots=True)
class Product:
    """What a scoop is made of, as the physics wants it."""

    mix: Mix
    tone: Tone
    width_m: float
    edge_m: float

    @staticmethod
    def of(plan: Plan, flavour: str) -> Product:
        """Return a flavour of a plan."""
        return Product(mix_of(plan, flavour), tone_of(plan, flavour), plan.width_m, plan.edge_m)

    def stage_times(self, around: Surroundings, edge: Floats, slowing: Floats) -> Floats:
        """Return the seconds until crisp, sheen, edges and first drip for edges of shape (3,), as (4, 3)."""
        goals = targets(self.mix)
        wanted = np.array([goals.crisp, goals.sheen, goals.edges, goals.first_drip])[:, None]
        return np.maximum.accumulate(self._clock_times(around, edge, wanted) * slowing, axis=0)

    def edge_after(self, around: Surroundings, edge: Floats, seconds: Floats) -> Floats:
        """Return the edge after `seconds` of the model's own time; arrays broadcast."""
        return edge_clock(self.mix, around, self.width_m, self.edge_m).advance(edge, seconds)

    def _clock_times(self, around: Surroundings, edge: Floats, wanted: Floats) -> Floats:
        return edge_clock(self.mix, around, self.width_m, self.edge_m).seconds_to(edge[None, :], wanted)


@dataclass(frozen=True, slots=True, eq=False)
class Life:
    """How far a scoop has been followed, at the quick, the median and the slow quantile of tau.

    `edge` [J/kg] has shape (3,); `bodies` holds three body states; `shown`, shape (4, 3), when on set the edge
    came to crisp, sheen, edges and first drip (infinite: not yet); `placed` the bodies when it came on set.
    """

    product: Product
    start_c: float
    slowing: tuple[float, ...]
    stretches: tuple[Stretch, ...]
    edge: Floats
    bodies: tuple[Floats, ...]
    shown: Floats
    placed: tuple[Floats, ...] | None = None


class Lives:
    """The lives of the scoops in play, each carried on from where it was known if its history still agrees."""

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        self._known: dict[int, Life] = {}

    def follow(
        self, scoops: Sequence[Scoop], climate: Climate, at: float, beliefs: Mapping[str, Belief]
    ) -> dict[int, Life]:
        """Return every scoop's life up to session second `at`; `beliefs` by flavour."""
        lives: dict[int, Life] = {}
        ahead: list[tuple[int, list[Stretch]]] = []
        for scoop in scoops:
            product = Product.of(self._plan, scoop.flavour)
            slowing = tuple(beliefs[scoop.flavour].slowing().tolist())
            start_c = climate.freezer_c(product.mix, scoop.pulled)
            stretches = climate.history(scoop, at, product.mix, product.tone)
            known = self._known.get(scoop.number)
            if (
                known is None
                or (known.product, known.start_c, known.slowing) != (product, start_c, slowing)
                or not _goes_on(known.stretches, stretches)
            ):
                known = _born(product, start_c, slowing)
            lives[scoop.number] = known
            ahead.append((scoop.number, _rest(known.stretches, stretches)))
        while any(rest for _, rest in ahead):
            self._step(lives, ahead)
        self._known = lives
        return lives

    def _step(self, lives: dict[int, Life], ahead: list[tuple[int, list[Stretch]]]) -> None:
        """Carry every scoop through its next stretches of one kind: all off set, or all on set."""
        batch = [(number, _take_like(rest)) for number, rest in ahead if rest]
        bodies = _advanced([(lives[number], taken) for number, taken in batch])
        for (number, taken), after in zip(batch, bodies, strict=True):
            lives[number] = _lived(lives[number], taken, after)


def _born(product: Product, start_c: float, slowing: tuple[float, ...]) -> Life:
    edge = np.full(QUANTILES, float(material(product.mix).enthalpy(start_c)))
    body = start_body(product.mix, start_c)
    shown = np.full((STAGES, QUANTILES), np.inf)
    return Life(product, start_c, slowing, (), edge, (body,) * QUANTILES, shown)


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
        return list(stretches)
    grown = stretches[len(known) - 1]
    more = grown.seconds - known[-1].seconds
    begun = [Stretch(grown.spot, grown.began + known[-1].seconds, grown.around, more)] if more > 0 else []
    return begun + list(stretches[len(known) :])


def _take_like(rest: list[Stretch]) -> list[Stretch]:
    """Take from `rest` the first stretches that are all on set, or all off it."""
    count = next((i for i, one in enumerate(rest) if one.on_set != rest[0].on_set), len(rest))
    taken, rest[:] = rest[:count], rest[count:]
    return taken


def _advanced(batch: Sequence[tuple[Life, Sequence[Stretch]]]) -> list[tuple[Floats, ...]]:
    cases = [
        Case(
            life.product.mix,
            life.product.width_m,
            body,
            tuple(Piece(one.around, one.seconds / slowing) for one in taken),
        )
        for life, taken in batch
        for body, slowing in zip(life.bodies, life.slowing, strict=True)
    ]
    states = advance_bodies(cases)
    return [tuple(states[i : i + QUANTILES]) for i in range(0, len(states), QUANTILES)]


def _lived(life: Life, taken: Sequence[Stretch], bodies: tuple[Floats, ...]) -> Life:
    """Return the life after the stretches taken, all of which are on set or none."""
    slowing = np.array(life.slowing)
    edge, shown = life.edge, life.shown
    placed = life.placed
    if taken[0].on_set:
        placed = placed or life.bodies
    else:
        placed, shown = None, np.full_like(shown, np.inf)
    for one in taken:
        if one.on_set:
            due = one.began + life.product.stage_times(one.around, edge, slowing)
            shown = np.minimum(shown, np.where(due <= one.began + one.seconds, due, np.inf))
        edge = life.product.edge_after(one.around, edge, one.seconds / slowing)
    stretches = _joined(life.stretches, taken)
    return Life(life.product, life.start_c, life.slowing, stretches, edge, bodies, shown, placed)


def _joined(known: tuple[Stretch, ...], taken: Sequence[Stretch]) -> tuple[Stretch, ...]:
    """Return the known stretches and those taken, the first of which may carry on the last known one."""
    if known and (known[-1].spot, known[-1].around) == (taken[0].spot, taken[0].around):
        last = known[-1]
        if abs(last.began + last.seconds - taken[0].began) < 1e-9:
            grown = Stretch(last.spot, last.began, last.around, taken[0].began + taken[0].seconds - last.began)
            return (*known[:-1], grown, *taken[1:])
    return (*known, *taken)
