"""Learning on set: how much slower than the model this set and this mix are (own rule).

tau slows the whole model, history included: dH/dt becomes exp(-tau) dH/dt. It is the sum of a part of the set and a
part of the mix, both normal; an observed change of looks gives the tau that explains it, and both parts are updated
together (Gaussian conditioning).

What one scoop differs from its mates, and each look's own residual, are on the logarithm of the time on set. They are
in the band of a look, and in the error of one that was seen. Published lots of one kind of ice cream differ by 0.29 to
0.35 in the logarithm of the time to melt and by 0.44 to 0.70 in that to the first drip (Akademik Gıda 23, 2025, and
others; abstracts).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

SET_SD = 0.30  # own rule, see `Belief`
MIX_SD = 0.20  # own rule, see `Belief`
SEEN_SD = 0.15  # own rule: the model's error and the eye's together
CALL_S = 3.0  # by how many seconds a call is early or late: own rule
SCOOP_SD = 0.10  # what one scoop differs from its mates: own rule
RESIDUAL_SD: Mapping[str, float] = {"sheen": 0.0, "edges": 0.10, "first drip": 0.40, "slump": 0.30}
BAND = (0.10, 0.50, 0.90)  # the tenths that `bands` shows: one end in five lies outside
WIDEST_TAU = 2.0  # seven times slower or faster: beyond it a call was a slip

Floats = NDArray[np.float64]

_FAR = 6.0  # standard deviations: a bound beyond them says no more than one there
_GRID = 33  # with _ROUNDS of it, tau to 0.0001
_ROUNDS = 3  # see _GRID


@dataclass(frozen=True, slots=True)
class Belief:
    """What is held of tau: `mean` [-] and `covariance` [-] of the set's part, then of each mix's part in `mixes`.

    dH/dt becomes exp(-tau) dH/dt; tau = set + mix, prior N(0, 0.30²) + N(0, 0.20²). Own rule: together 0.36, as lots of
    one kind differ in the logarithm of their time to melt, by 0.29 to 0.35 ([1] and others).

    References
    ----------
    .. [1] Akademik Gıda 23 (2), 2025 (abstract).
    """

    mixes: tuple[str, ...] = ()
    mean: tuple[float, ...] = (0.0,)
    covariance: tuple[tuple[float, ...], ...] = ((SET_SD**2,),)

    def knowing(self, mix: str) -> Belief:
        """Return this belief with a part for `mix`, at its prior where it had none: own rule MIX_SD."""
        if mix in self.mixes:
            return self
        grown = np.zeros((len(self.mean) + 1,) * 2)
        grown[:-1, :-1] = self.covariance
        grown[-1, -1] = MIX_SD**2
        return Belief((*self.mixes, mix), (*self.mean, 0.0), _rows(grown))

    def tau(self, mix: str) -> NormalDist:
        """Return the normal of tau [-] for a mix: the sum of the set's part and the mix's part, by definition."""
        known = self.knowing(mix)
        parts = known._parts(mix)
        spread = float(parts @ np.array(known.covariance) @ parts)
        return NormalDist(float(parts @ np.array(known.mean)), max(spread, 1e-12) ** 0.5)

    def band(self, mix: str) -> tuple[float, float, float]:
        """Return tau [-] at 10, 50 and 90 %, by definition of the normal."""
        held = self.tau(mix)
        low, middle, high = (held.inv_cdf(share) for share in BAND)
        return low, middle, high

    def _parts(self, mix: str) -> Floats:
        parts = np.zeros(len(self.mean))
        parts[0] = parts[1 + self.mixes.index(mix)] = 1.0
        return parts


def seen_sd(look: str, on_set_s: float) -> float:
    """Return the error [-] of the tau that a look gives which was seen `on_set_s` [s] after it came on set.

    sd² = 0.15² + (3 s / on_set)² + r² + 0.10²: model, call, the look's residual, the scoop's own. Own rule.
    """
    return math.hypot(SEEN_SD, CALL_S / max(on_set_s, 1.0), RESIDUAL_SD[look], SCOOP_SD)


def observe(belief: Belief, mix: str, tau_seen: float, sd: float = SEEN_SD) -> Belief:
    """Return the belief after a seen change of a scoop of `mix` that tau = `tau_seen` [-] explains, error `sd` [-].

    mean += gain (tau_seen - mean), gain = C a / (a C a + sd²), C -= gain (C a): a normal's conditioning, by definition.
    """
    return _told(belief, mix, sd, lambda _: NormalDist(tau_seen, 0.0))


def observe_later(belief: Belief, mix: str, tau_least: float, sd: float = SEEN_SD) -> Belief:
    """Return the belief after a change was looked for and not yet seen: what it will give is above `tau_least` [-].

    What a look gives is tau with its error, `sd` [-]; that normal is cut off at `tau_least`, and its mean and spread
    kept (own rule: the next look is quicker to reckon from a normal).
    """
    return _told(belief, mix, sd, lambda held: cut_off(held, tau_least))


def _told(belief: Belief, mix: str, sd: float, told: Callable[[NormalDist], NormalDist]) -> Belief:
    """Return the belief after the normal of what a look gives became that which `told` makes of it."""
    known = belief.knowing(mix)
    parts = known._parts(mix)
    covariance, mean = np.array(known.covariance), np.array(known.mean)
    shared = covariance @ parts
    held = NormalDist(float(parts @ mean), math.sqrt(float(parts @ shared) + sd**2))
    after = told(held)
    gain = shared / held.variance
    mean = mean + gain * (after.mean - held.mean)
    covariance = covariance - np.outer(gain, shared) * (1 - after.variance / held.variance)
    return Belief(known.mixes, tuple(mean.tolist()), _rows(covariance))


def cut_off(held: NormalDist, least: float) -> NormalDist:
    """Return the normal with the mean and the spread of `held` above `least` [-].

    m + s lambda, s² (1 - lambda (lambda - a)), a = (least - m) / s, lambda = pdf(a) / cdf(-a): the definition of a
    normal cut off below.
    """
    standard = NormalDist()
    at = min((least - held.mean) / held.stdev, _FAR)
    slope = standard.pdf(at) / standard.cdf(-at)
    return NormalDist(held.mean + held.stdev * slope, held.stdev * math.sqrt(max(1 - slope * (slope - at), 1e-6)))


def tau_that_reaches(predicted: Callable[[Floats], Floats], seen_s: float) -> float:
    """Return the tau [-] at which `predicted` gives `seen_s` [s], held within -2 to 2 (own rule: else a slip).

    `predicted` takes taus, shape (n,), and returns the seconds on set at which the model reaches the change, same
    shape; they rise with tau, and may be 0 or infinite. Numerics: a grid, narrowed three times.
    """
    low, high = -WIDEST_TAU, WIDEST_TAU
    for _ in range(_ROUNDS):
        taus = np.linspace(low, high, _GRID)
        late = np.nonzero(np.asarray(predicted(taus)) >= seen_s)[0]
        if late.size == 0:
            return high
        if late[0] == 0:
            return low
        low, high = float(taus[late[0] - 1]), float(taus[late[0]])
    return (low + high) / 2


def _rows(matrix: Floats) -> tuple[tuple[float, ...], ...]:
    return tuple(tuple(row) for row in matrix.tolist())
