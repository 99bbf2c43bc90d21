"""What the crew sees, as enthalpies: frost gone, edges rounding, first drip, softened body (own rules)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from studiotimer.thermal.mix import Mix
from studiotimer.thermal.properties import enthalpy, ice_volume_share

SHEEN_ICE = 0.65
SLUMP_M = 0.3e-3


def hold(mix: Mix) -> float:
    """Return the ice volume share at which the ruffle lets go: a stabilised mix keeps its shape with less ice."""
    return float(np.clip(0.35 - 0.5 * mix.stab, 0.12, 0.35))


def runs(mix: Mix) -> float:
    """Return the ice volume share at which the edge drips."""
    return float(np.clip(hold(mix) - 0.12, 0.01, 0.30))


@dataclass(frozen=True, slots=True)
class Targets:
    """Enthalpies [J/kg] at which the edge shows each change, and from which the body counts as softened."""

    crisp: float
    sheen: float
    edges: float
    first_drip: float
    softened: float


@lru_cache(maxsize=256)
def targets(mix: Mix) -> Targets:
    """Return the enthalpies of a mix's visible changes; minus infinity where it never holds that much ice."""
    from studiotimer.thermal.firmness import advised_freezer_c
    from studiotimer.thermal.material import material

    table = material(mix)
    full = float(ice_volume_share(mix, 1.0))
    softened = table.enthalpy_of_ice(hold(mix) / full)
    return Targets(
        crisp=float(enthalpy(mix, advised_freezer_c(mix))),
        sheen=table.enthalpy_of_ice(SHEEN_ICE),
        edges=softened,
        first_drip=table.enthalpy_of_ice(runs(mix) / full),
        softened=softened,
    )
