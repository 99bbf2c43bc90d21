"""The first drip: how long the edge's foam has been draining, and when it has drained (own rule).

From `runs` on the edge's liquid is free, and the foam drains. The seconds count while the edge stays there; one that
has frozen back begins anew.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from studiotimer.thermal.criteria import Targets
from studiotimer.thermal.edge import EdgeClock

Floats = NDArray[np.float64]


def drips_in(
    clock: EdgeClock, goals: Targets, h: ArrayLike, drained_s: ArrayLike, runs_in_s: ArrayLike
) -> Floats:  # fmt: skip
    """Return the seconds [s] until an edge at `h` [J/kg] that has drained for `drained_s` [s] drips; arrays broadcast.

    t = `runs_in_s` [s] + drains_s, less what has drained where it runs already (`criteria.drains_s`). Own rule.
    Infinite where it never runs, or freezes back before it has drained.
    """
    edge, drained = np.asarray(h, dtype=float), np.asarray(drained_s, dtype=float)
    left = np.maximum(goals.drains_s - drained, 0.0)
    running = np.where(left <= clock.seconds_above(edge, goals.runs), left, np.inf)
    return np.where(edge >= goals.runs, running, np.asarray(runs_in_s) + goals.drains_s)


def drained_after(
    clock: EdgeClock, goals: Targets, h: ArrayLike, drained_s: ArrayLike, seconds: ArrayLike
) -> Floats:  # fmt: skip
    """Return for how long [s] an edge will have drained `seconds` [s] on; arrays broadcast.

    From `h` [J/kg] and `drained_s` [s]: the seconds count while h >= runs, and begin anew once it has frozen back. Own
    rule: a foam that froze again holds its liquid again.
    """
    edge, drained, span = (np.asarray(one, dtype=float) for one in (h, drained_s, seconds))
    begun = np.maximum(span - clock.seconds_to(edge, goals.runs), 0.0)
    stays = span <= clock.seconds_above(edge, goals.runs)
    return np.where(edge >= goals.runs, np.where(stays, drained + span, 0.0), begun)
