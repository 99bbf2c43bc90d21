"""How many pulls give enough good ones: the negative binomial distribution, summed exactly."""

from __future__ import annotations

import math

ROUNDING = 1e-12  # far below a chance that anybody acts on
NOTHING = 12.0  # no pull in e^12, some 160,000, is good by chance


def chance_of(good: int, pulls: int, share: float) -> float:
    """Return the chance that `pulls` independent pulls hold at least `good` good ones, each good with `share`.

    The negative binomial distribution function: the sum over k from `good` to `pulls` of
    C(k-1, good-1) share^good (1-share)^(k-good).
    """
    if good == 0:
        return 1.0
    first = _first_that_counts(good, share)
    return min(1.0, math.fsum(_first_reached(good, k, share) for k in range(first, pulls + 1)))


def pulls_for(good: int, share: float, confidence: float) -> int:
    """Return the fewest pulls that hold at least `good` good ones with at least `confidence`.

    `share` in (0, 1] of all pulls are good. Raises ValueError for a share or confidence outside what can be.
    """
    if not (0.0 < share <= 1.0 and 0.0 < confidence < 1.0 and good >= 0):
        raise ValueError("a share is in (0, 1], a confidence in (0, 1), a count at least 0")
    if good == 0:
        return 0
    pulls = _first_that_counts(good, share)
    reached = _first_reached(good, pulls, share)
    while reached < confidence - ROUNDING:
        pulls += 1
        reached += _first_reached(good, pulls, share)
    return pulls


def _first_that_counts(good: int, share: float) -> int:
    """Return the number of pulls below which the chance is nothing: twelve standard deviations under the mean."""
    spread = math.sqrt(good * (1.0 - share))
    return max(good, math.floor((good - NOTHING * spread) / share))


def _first_reached(good: int, pulls: int, share: float) -> float:
    """Return the chance that the `good`-th good one is pull number `pulls`."""
    if share == 1.0:
        return 1.0 if pulls == good else 0.0
    ways = math.lgamma(pulls) - math.lgamma(good) - math.lgamma(pulls - good + 1)
    return math.exp(ways + good * math.log(share) + (pulls - good) * math.log1p(-share))
