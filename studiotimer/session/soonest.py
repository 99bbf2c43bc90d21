"""When the first of several ends comes: sooner than the soonest median, since each scoop differs from its mates."""

from __future__ import annotations

import math
from collections.abc import Sequence

from studiotimer.session.countdowns import Band
from studiotimer.thermal.learn import RESIDUAL_SD, SCOOP_SD

OWN_SD = math.hypot(SCOOP_SD, RESIDUAL_SD["edges"])
"""What one scoop's end of window differs from its mates', on the logarithm of its time on set."""

_STEPS = 40  # halvings: to a millionth of a second
_SQRT2 = math.sqrt(2.0)


def first_of(ends: Sequence[Band], since: Sequence[float]) -> Band:
    """Return the band of the earliest of `ends`, of scoops on set since `since` (session seconds).

    What they share moves them together and is in each band already; what each has of its own is taken as independent
    (the distribution of a minimum), so the median of several is earlier than each one's. One that is known is no later.
    """
    soonest = Band(min(one.early for one in ends), min(one.likely for one in ends), min(one.late for one in ends))
    own = [(end.likely, _own_s(end, began)) for end, began in zip(ends, since, strict=True)]
    own = [(likely, spread) for likely, spread in own if math.isfinite(likely)]
    if len(own) < 2:
        return soonest
    sooner = soonest.likely - _median_of_first(own)
    return Band(soonest.early - sooner, soonest.likely - sooner, soonest.late - sooner)


def _own_s(end: Band, began: float) -> float:
    """Return the standard deviation [s] of a scoop's own part; none where its end was seen."""
    return OWN_SD * max(end.likely - began, 0.0) if end.late > end.early else 0.0


def _median_of_first(own: Sequence[tuple[float, float]]) -> float:
    """Return the time at which it is as likely as not that the first has ended, by bisection."""
    low, high = min(likely - 4 * spread for likely, spread in own), min(likely for likely, _ in own)
    for _ in range(_STEPS):
        middle = (low + high) / 2
        low, high = (middle, high) if _lasts(own, middle) else (low, middle)
    return (low + high) / 2


def _lasts(own: Sequence[tuple[float, float]], at: float) -> bool:
    """Whether it is likelier than not that none has ended; whoever follows can only make it less likely."""
    lasting = 1.0
    for likely, spread in own:
        if spread > 0:
            lasting *= 0.5 * math.erfc((at - likely) / (spread * _SQRT2))
        elif at >= likely:
            return False
        if lasting <= 0.5:
            return False
    return True
