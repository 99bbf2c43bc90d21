"""How long it takes from pull to set, as measured in this session, and how long the carry takes."""

from __future__ import annotations

import math
from collections.abc import Iterator
from statistics import NormalDist

from studiotimer.prep.plan import Plan
from studiotimer.session.state import State

PRIOR_WEIGHT = 3.0
CARRY_S = 15.0
SPREAD = 0.35
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
    for scoop in state.scoops.values():
        placed = next((stay for stay in scoop.stays if stay.place == "set"), None)
        if placed is not None and not scoop.assumed and not placed.assumed:
            took = placed.since - scoop.pulled
            if 0.0 < took <= STRAIGHT * planned_s:
                yield took


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


def carry_s(plan: Plan) -> float:
    """Return how long the way from where a scoop waits to the set takes [s]."""
    return min(CARRY_S, float(plan.pull_to_set_s))
