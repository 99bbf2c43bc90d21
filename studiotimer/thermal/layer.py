"""What feet that were seen teach: how deep the liquid round a base must be on this plate before it shows (own rule).

The log of that layer over the rule's is normal with 0.40. Half of its variance is held to be the plate's, alike for
all that stand on it (how even it is, how wide the bases are cut), and half each scoop's own; a foot that was seen, or
looked for and not yet there, tells the plate's half by Gaussian conditioning, as looks tell tau.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from statistics import NormalDist

from studiotimer.thermal.foot import SPREAD
from studiotimer.thermal.learn import CALL_S, cut_off

SHARED_SD = OWN_SD = SPREAD / math.sqrt(2.0)


@dataclass(frozen=True, slots=True)
class Layer:
    """What is held of a plate's part of ln(layer / rule), a normal with `mean` [-] and `sd` [-].

    Own rule, see above.
    """

    mean: float = 0.0
    sd: float = SHARED_SD

    @property
    def spread(self) -> float:
        """Return the standard deviation [-] of the layer for one scoop: sqrt(plate's² + own²), own rule."""
        return math.hypot(self.sd, OWN_SD)


def seen(held: Layer, log_layer: float, on_set_s: float) -> Layer:
    """Return what is held after a foot was seen at ln layer `log_layer` [-], `on_set_s` [s] after hero in.

    A normal's posterior, gain = sd² / (sd² + own² + (1.5 s / on_set)²): own rule in its spreads.
    """
    return _told(held, on_set_s, lambda _: NormalDist(log_layer, 0.0))


def not_yet(held: Layer, log_layer: float, on_set_s: float) -> Layer:
    """Return what is held after a foot was looked for at ln layer `log_layer` [-] and not yet seen.

    It shows at a deeper one: the normal cut off there (`learn.cut_off`), `on_set_s` [s] after hero in. Own rule.
    """
    return _told(held, on_set_s, lambda before: cut_off(before, log_layer))


def _told(held: Layer, on_set_s: float, told: Callable[[NormalDist], NormalDist]) -> Layer:
    """Return what is held after the normal of what a look gives became that which `told` makes of it.

    A melt's depth goes with the root of its time, so a call that is late tells a layer by half as much too deep.
    """
    shared = held.sd**2
    before = NormalDist(held.mean, math.hypot(held.sd, OWN_SD, 0.5 * CALL_S / max(on_set_s, 1.0)))
    after = told(before)
    gain = shared / before.variance
    kept = shared - gain * shared * (1.0 - after.variance / before.variance)
    return Layer(held.mean + gain * (after.mean - before.mean), math.sqrt(kept))
