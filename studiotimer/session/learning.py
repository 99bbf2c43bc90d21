"""What the looks seen in a session teach: the belief of how quick this set and its mixes are."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from studiotimer.prep.plan import Plan
from studiotimer.session.climate import Climate, Stretch
from studiotimer.session.entries import SEEN, STAGES_SEEN, Seen
from studiotimer.session.product import DRAINED, EDGES, Product
from studiotimer.session.state import State
from studiotimer.thermal import learn
from studiotimer.thermal.body import Case, Piece, slump_times, start_body
from studiotimer.thermal.horizon import HORIZON_S
from studiotimer.thermal.ruffle import STAGES

Floats = NDArray[np.float64]
_Key = tuple[int, Seen, float, tuple[Stretch, ...]]
"""What a tau follows from: the scoop, what was seen, how cold it was pulled, and what it went through."""


@dataclass(frozen=True, slots=True)
class Observation:
    """A change seen on a scoop of a mix, and the tau that explains it with its error.

    `seen` is what was looked for; where it was `not_yet` there, `tau` is the least that explains it.
    """

    scoop: int
    mix: str
    seen: Seen
    at: float
    tau: float
    sd: float = learn.SEEN_SD
    not_yet: bool = False

    def told_to(self, belief: learn.Belief) -> learn.Belief:
        """Return the belief after this."""
        told = learn.observe_later if self.not_yet else learn.observe
        return told(belief, self.mix, self.tau, self.sd)


@dataclass(frozen=True, slots=True)
class Learned:
    """The belief after everything seen, and what was seen or looked for in vain, in order of time."""

    belief: learn.Belief
    observations: tuple[Observation, ...] = ()

    @property
    def seen(self) -> tuple[Observation, ...]:
        """The changes that were seen."""
        return tuple(one for one in self.observations if not one.not_yet)

    def tau(self, mix: str) -> NormalDist:
        """Return what is believed of tau for a mix."""
        return self.belief.tau(mix)

    def mix_part(self, mix: str) -> tuple[float, float]:
        """Return the mean and standard deviation of a mix's own part of tau."""
        known = self.belief.knowing(mix)
        place = 1 + known.mixes.index(mix)
        return known.mean[place], known.covariance[place][place] ** 0.5


def prior(plan: Plan) -> learn.Belief:
    """Return the belief a session starts from: the book's, with what the plan has learned of its mixes."""
    names = tuple(plan.learned)
    covariance = np.diag([learn.SET_SD**2, *(plan.learned[name].sd ** 2 for name in names)])
    mean = (0.0, *(plan.learned[name].mean for name in names))
    return learn.Belief(names, mean, tuple(tuple(row) for row in covariance.tolist()))


def mix_names(plan: Plan, flavours: Iterable[str]) -> dict[str, str]:
    """Return the name each flavour's mix is learned under; a flavour the plan does not know has its first's."""
    known = {one.name: one.mix_name for one in plan.flavours}
    return {flavour: known.get(flavour, plan.flavours[0].mix_name) for flavour in flavours}


def taus_of(belief: learn.Belief, plan: Plan, flavours: Iterable[str]) -> dict[str, NormalDist]:
    """Return what is believed of tau for each flavour."""
    return {flavour: belief.tau(mix) for flavour, mix in mix_names(plan, flavours).items()}


class Learner:
    """Learns from a state; keeps the tau of each observation, only to save work."""

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        self._known: dict[_Key, float] = {}
        self._last: tuple[State | None, Learned] = (None, Learned(prior(plan)))

    def learned(self, state: State, climate: Climate) -> Learned:
        """Return what everything seen so far teaches; a foot says more of its plate than of the set."""
        if state is not self._last[0]:
            self._last = (state, self._learned(state, climate))
        return self._last[1]

    def _learned(self, state: State, climate: Climate) -> Learned:
        names = mix_names(self._plan, {scoop.flavour for scoop in state.scoops.values()})
        belief = prior(self._plan)
        kept: dict[_Key, float] = {}
        observations = []
        for at, number, what, not_yet in sorted(_told(state)):
            scoop = state.scoops[number]
            product = Product.of(self._plan, scoop.flavour)
            if product.build.body.closed:
                continue
            history = tuple(climate.history(scoop, at, product))
            if not history:
                continue
            start_c = climate.start_c(product, scoop, at)
            key = (number, what, start_c, history)
            kept[key] = self._known.get(key, np.nan)
            if np.isnan(kept[key]):
                kept[key] = tau_seen(product, start_c, history, what)
            there_s = sum(one.seconds for one in _last_place(history)[1])
            told = Observation(number, names[scoop.flavour], what, at, kept[key], learn.seen_sd(what, there_s), not_yet)
            belief = told.told_to(belief)
            observations.append(told)
        self._known = kept
        return Learned(belief, tuple(observations))


def _told(state: State) -> Iterator[tuple[float, int, Seen, bool]]:
    """Yield what was seen, and what was looked for and not yet there: the last time, if it was not seen since."""
    for scoop in state.scoops.values():
        looks = [(at, what) for at, what in scoop.seen if scoop.there(at) and what in STAGES_SEEN]
        yield from ((at, scoop.number, what, False) for at, what in looks)
        seen = {what: at for at, what in scoop.seen}
        last = {what: at for at, what in sorted(scoop.unseen) if scoop.there(at) and what in STAGES_SEEN}
        yield from ((at, scoop.number, what, True) for what, at in last.items() if seen.get(what, -1.0) < at)


def _last_place(history: Sequence[Stretch]) -> tuple[Sequence[Stretch], Sequence[Stretch]]:
    """Return the stretches before the last place, and those in it."""
    place = next(i for i in range(len(history), 0, -1) if i == 1 or history[i - 2].spot != history[-1].spot) - 1
    return history[:place], history[place:]


def tau_seen(product: Product, start_c: float, history: Sequence[Stretch], seen: Seen) -> float:
    """Return the tau at which the model reaches the change `seen` at the end of `history`."""
    before, here = _last_place(history)
    seconds = sum(one.seconds for one in here)

    def predicted(taus: Floats) -> Floats:
        stages = _stages_after(product, start_c, before, here, taus)
        if seen in ("sheen", "edges"):
            return np.asarray(stages[SEEN.index(seen) + 1])
        slump = np.maximum(_slump_after(product, start_c, before, here, taus), stages[EDGES])
        return np.asarray(slump if seen == "slump" else np.minimum(stages[DRAINED], slump))

    return learn.tau_that_reaches(predicted, seconds)


def _stages_after(
    product: Product, start_c: float, before: Sequence[Stretch], here: Sequence[Stretch], taus: Floats
) -> Floats:
    """Return the seconds in the last place until crisp, sheen, edges and drained, shape (4, n) for n taus."""
    slowing = np.exp(taus)
    edge = product.through(
        product.pulled_at(start_c, taus.shape), ((one.around, one.seconds / slowing) for one in before)
    )
    reached = np.full((STAGES, *taus.shape), np.inf)
    passed = 0.0
    for one in here[:-1]:
        due = passed + product.stage_times(edge, one.around, slowing)
        reached = np.minimum(reached, np.where(due <= passed + one.seconds, due, np.inf))
        edge = product.after(edge, one.around, one.seconds / slowing)
        passed += one.seconds
    return np.minimum(reached, passed + product.stage_times(edge, here[-1].around, slowing))


def _slump_after(
    product: Product, start_c: float, before: Sequence[Stretch], here: Sequence[Stretch], taus: Floats
) -> Floats:
    """Return the seconds in the last place until the body slumps, for taus of shape (n,)."""
    *earlier, last = [*before, *here]
    body = start_body(product.mix, start_c)
    cases = [
        Case(
            product.mix,
            product.build.body,
            body,
            tuple(Piece(one.around, one.seconds / float(slow)) for one in earlier if one.seconds > 0),
            last.around,
        )
        for slow in np.exp(taus)
    ]
    passed = sum(one.seconds for one in here[:-1])
    return passed + slump_times(cases, HORIZON_S) * np.exp(taus)
