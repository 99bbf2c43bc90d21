"""What the crew sees, as enthalpies and layers: frost gone, edges rounding, drainage, slump (own rules).

That a foam lets go when its network does, and not when its ice has gone: see `structure`. No published yield stress of
melted ice cream was found; the numbers are this program's own.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from studiotimer.thermal.mix import Mix
from studiotimer.thermal.properties import density, enthalpy, ice_volume_share

SHEEN_ICE = 0.65
GRAVITY_M_S2 = 9.81
DRAINS_S = 90.0  # through a yield layer of 1 mm


def hold(mix: Mix) -> float:
    """Return the ice volume share at which the ruffle lets go: stabiliser and network keep its shape with less ice."""
    return float(np.clip(0.40 - 0.30 * mix.stab - 0.30 * mix.network, 0.03, 0.35))


def runs(mix: Mix) -> float:
    """Return the ice volume share from which the edge's liquid is free to drain."""
    return float(np.clip(hold(mix) - 0.12, 0.01, 0.30))


def yield_stress_pa(mix: Mix) -> float:
    """Return the stress [Pa] below which melted product stays where it is."""
    return 1.5 * math.exp(3.0 * mix.network + 1.5 * (mix.stab - 0.3))


def yield_layer_m(mix: Mix) -> float:
    """Return how thick a layer of melted product stays on a steep face [m]: that of a Bingham material."""
    return yield_stress_pa(mix) / (density(mix) * GRAVITY_M_S2)


def drains_s(mix: Mix) -> float:
    """Return the seconds that the edge's foam takes to drain once it runs."""
    return DRAINS_S * (yield_layer_m(mix) / 1e-3) ** 2


@dataclass(frozen=True, slots=True)
class Targets:
    """When a mix shows what: enthalpies [J/kg] of the edge, of the body where it counts as softened, and the rest.

    From `runs` on the edge drains for `drains_s` seconds to its first drip; the body slumps when its softened layer, as
    volume over surface area, is `layer_m` thick.
    """

    crisp: float
    sheen: float
    edges: float
    runs: float
    drains_s: float
    softened: float
    layer_m: float


@lru_cache(maxsize=256)
def targets(mix: Mix) -> Targets:
    """Return a mix's visible changes; an enthalpy is minus infinity where the mix never holds that much ice."""
    from studiotimer.thermal.firmness import advised_freezer_c
    from studiotimer.thermal.material import material

    table = material(mix)
    full = float(ice_volume_share(mix, 1.0))
    softened = table.enthalpy_of_ice(hold(mix) / full)
    return Targets(
        crisp=float(enthalpy(mix, advised_freezer_c(mix))),
        sheen=table.enthalpy_of_ice(SHEEN_ICE),
        edges=softened,
        runs=table.enthalpy_of_ice(runs(mix) / full),
        drains_s=drains_s(mix),
        softened=softened,
        layer_m=yield_layer_m(mix),
    )
