"""What the crew sees, as enthalpies and layers: frost gone, edges rounding, drainage, slump (own rules).

That a foam lets go when its network does, and not when its ice has gone: see `structure`. No published yield stress of
melted ice cream was found; the numbers are this program's own.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from studiotimer.thermal.firmness import advised_freezer_c
from studiotimer.thermal.material import material
from studiotimer.thermal.mix import Mix
from studiotimer.thermal.properties import density, enthalpy, ice_volume_share

SHEEN_ICE = 0.65  # own rule: with more of its water frozen a surface looks frosted and dull
GRAVITY_M_S2 = 9.81  # as fine as a yield stress that is an own rule asks
DRAINS_S = 90.0  # through a yield layer of 1 mm: own rule, see `drains_s`


def lets_go(mix: Mix) -> float:
    """Return the ice volume share [-] at which the ruffle lets go: stabiliser and network keep its shape with less ice.

    lets_go = clip(0.40 - 0.30 stab - 0.30 network, 0.03, 0.35), stab in mass percent. Own rule: the order is that of
    [1], [2] and [3], with these numbers mixes lose their looks in the order of side-by-side tests (common practice).

    References
    ----------
    .. [1] D. Freire, B. Wu and R. W. Hartel, J. Food Science, 2020 (abstract).
    .. [2] M. R. Muse and R. W. Hartel, "Ice cream structural elements that affect melting rate and hardness", J. Dairy
         Science 87, 2004, 1-10.
    .. [3] S. R. VanWees, S. A. Rankin and R. W. Hartel, "The microstructural, melting, rheological, and sensorial
         properties of high-overrun frozen desserts", J. Texture Studies, 2019 (abstract).
    """
    return float(np.clip(0.40 - 0.30 * mix.stab - 0.30 * mix.network, 0.03, 0.35))


def runs(mix: Mix) -> float:
    """Return the ice volume share [-] from which the edge's liquid is free to drain.

    runs = clip(lets_go - 0.12, 0.01, 0.30). Own rule: with less ice than where the shape lets go, so that no edge drips
    before it rounds off.
    """
    return float(np.clip(lets_go(mix) - 0.12, 0.01, 0.30))


def yield_stress_pa(mix: Mix) -> float:
    """Return the stress [Pa] below which melted product stays where it is, a Bingham material's [1].

    tau_y = 1.5 exp(3 network + 1.5 (stab - 0.3)), stab in mass percent. Own rule: no published figure for melted
    product was found; its order (fat's clusters, then viscosity, then overrun) is that of [2].

    References
    ----------
    .. [1] E. C. Bingham, Fluidity and Plasticity, 1922 (memory): a yield stress.
    .. [2] D. Freire, B. Wu and R. W. Hartel, J. Food Science, 2020 (abstract).
    """
    return 1.5 * math.exp(3.0 * mix.network + 1.5 * (mix.stab - 0.3))


def yield_layer_m(mix: Mix) -> float:
    """Return how thick a layer [m] of melted product stays on a steep face.

    delta = tau_y / (rho g), rho the product's with its air: a Bingham material [1] on an upright wall.

    References
    ----------
    .. [1] E. C. Bingham, Fluidity and Plasticity, 1922 (memory): a yield stress.
    """
    return yield_stress_pa(mix) / (density(mix) * GRAVITY_M_S2)


def drains_s(mix: Mix) -> float:
    """Return the seconds [s] that the edge's foam takes to drain once it runs.

    t = 90 s (delta / 1 mm)², delta the yield layer: own rule; the band of a regular mix holds the middle of the 3 to 38
    min that 18 lots took [1].

    References
    ----------
    .. [1] Akademik Gıda 23 (2), 2025 (abstract).
    """
    return DRAINS_S * (yield_layer_m(mix) / 1e-3) ** 2


@dataclass(frozen=True, slots=True)
class Targets:
    """When a mix shows what; own rules, see `targets`.

    Enthalpies [J/kg] of the edge: `crisp` [J/kg] at the advised freezer setting, `sheen` [J/kg], `edges` [J/kg], and
    `runs` [J/kg], from which it drains for `drains_s` [s] to its first drip; of the body `softened` [J/kg], where it
    counts as soft: it slumps when that layer, volume over surface area, is `layer_m` [m] thick.
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
    """Return a mix's visible changes; an enthalpy is minus infinity where the mix never holds that much ice.

    Sheen is X = 0.65, edges and softening phi = lets_go, draining phi = runs (`properties.ice_volume_share`), the
    slump's layer delta = tau_y / (rho g): own rules, in the order that publications give [1].

    References
    ----------
    .. [1] D. Freire, B. Wu and R. W. Hartel, J. Food Science, 2020 (abstract).
    """
    table = material(mix)
    full = float(ice_volume_share(mix, 1.0))
    softened = table.enthalpy_of_ice(lets_go(mix) / full)
    return Targets(
        crisp=float(enthalpy(mix, advised_freezer_c(mix))),
        sheen=table.enthalpy_of_ice(SHEEN_ICE),
        edges=softened,
        runs=table.enthalpy_of_ice(runs(mix) / full),
        drains_s=drains_s(mix),
        softened=softened,
        layer_m=yield_layer_m(mix),
    )
