"""How long it takes from pull to set, a pull and the carry, as measured in this session."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from statistics import NormalDist

from studiotimer.prep.plan import Plan
from studiotimer.session.state import State

PRIOR_WEIGHT = 3.0
"""For so many measured spans the planned one counts (own rule)."""
SPREAD = 0.35
"""How far spans differ, on their logarithm, before any is measured (own rule)."""
STRAIGHT = 3.0
"""A scoop was brought straight when it came within this many times the planned time; it did not rest."""


def pull_to_set_times(state: State, planned_s: float) -> list[float]:
    """Return the seconds from pull to set of the scoops that were brought straight, assumed ones left out."""
    key = "pull to set", planned_s
    if key not in state.known_of_scoops:
        state.known_of_scoops[key] = list(_brought_straight(state, planned_s))
    times: list[float] = state.known_of_scoops[key]
    return times


def _brought_straight(state: State, planned_s: float) -> Iterator[float]:
    yield from (took for _, took in _straight(state, planned_s))


def _straight(state: State, planned_s: float) -> Iterator[tuple[float, float]]:
    """Yield when each scoop that was brought straight came to the set, and its seconds from pull to there.

    It came there when somebody said that it was brought; else when it was placed.
    """
    for scoop in state.scoops.values():
        placed = next((stay for stay in scoop.stays if stay.brought or stay.place == "set"), None)
        if placed is not None and not scoop.assumed and not placed.assumed:
            took = placed.since - scoop.pulled
            if 0.0 < took <= STRAIGHT * planned_s:
                yield placed.since, took


def pull_to_set(state: State, plan: Plan) -> NormalDist:
    """Return the logarithm of the seconds from pull to set (own rule).

    The plan's time counts as three measured ones; the spread is a third and narrows as times are measured.
    """
    planned = max(float(plan.pull_to_set_s), 1.0)
    logs = [math.log(max(time, 1.0)) for time in pull_to_set_times(state, planned)]
    weight = PRIOR_WEIGHT + len(logs)
    mean = (PRIOR_WEIGHT * math.log(planned) + sum(logs)) / weight
    squares = PRIOR_WEIGHT * SPREAD**2 + sum((one - mean) ** 2 for one in logs)
    return NormalDist(mean, math.sqrt(squares / weight))


def pull_to_set_by(state: State, plan: Plan, share: float) -> float:
    """Return the seconds within which a pulled scoop is on set, in that share of pulls."""
    return math.exp(pull_to_set(state, plan).inv_cdf(share))


@dataclass(frozen=True, slots=True)
class Lasting:
    """How long something takes: `planned` seconds, and when and how long it was measured, in order of time."""

    planned: float
    measured: tuple[tuple[float, float], ...] = ()
    logs: tuple[float, ...] = field(init=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "logs", tuple(math.log(max(took, 1.0)) for _, took in self.measured))

    def at(self, at: float) -> float:
        """Return the seconds as known before session second `at`, the planned counting as three measured ones.

        What is measured later does not change it, so that the past of a scoop stays what it was.
        """
        logs = self.logs[: bisect_left(self.measured, (at,))]
        if not logs or self.planned <= 0.0:
            return self.planned
        return math.exp((PRIOR_WEIGHT * math.log(self.planned) + sum(logs)) / (PRIOR_WEIGHT + len(logs)))


def carry(state: State, plan: Plan) -> Lasting:
    """Return how long the way to the set takes, learned from scoops that came there at once from their pull."""
    return _lasting(state, "carry", plan.carried_s, _straight)


def pull(state: State, plan: Plan) -> Lasting:
    """Return how long a pull takes, learned from pulls that followed one another at once."""
    return _lasting(state, "pull", float(plan.pull_s), _one_after_another)


def pull_by(state: State, plan: Plan, at: float, share: float) -> float:
    """Return the seconds within which a pull is over, in that share of pulls, as known at `at`."""
    return pull(state, plan).at(at) * math.exp(SPREAD * NormalDist().inv_cdf(share))


def carry_s(state: State, plan: Plan, at: float) -> float:
    """Return how long the way from where a scoop waits to the set takes [s], as known at `at`."""
    return carry(state, plan).at(at)


def _lasting(
    state: State, what: str, planned: float, measured: Callable[[State, float], Iterable[tuple[float, float]]]
) -> Lasting:
    key = what, planned
    if key not in state.known_of_scoops:
        state.known_of_scoops[key] = Lasting(planned, tuple(sorted(measured(state, planned))))
    found: Lasting = state.known_of_scoops[key]
    return found


def _one_after_another(state: State, planned_s: float) -> Iterator[tuple[float, float]]:
    """Yield when each pull that came soon after another was made, and the seconds between the two."""
    pulled = sorted(scoop.pulled for scoop in state.scoops.values() if not scoop.assumed)
    for sooner, later in pairwise(pulled):
        if 0.0 < later - sooner <= STRAIGHT * planned_s:
            yield later, later - sooner
