"""How much dry ice a top-up at the set takes: what holds the plan's target until the next one."""

from __future__ import annotations

import math

from studiotimer.prep.ice_needed import LEAST_TOP_UP_KG
from studiotimer.prep.plan import Plan
from studiotimer.session.climate import Climate
from studiotimer.thermal.dryice import least_kg

WEIGHED_KG = 0.05
"""To so much dry ice is weighed on a set (own rule)."""
MOST_KG = 10.0
"""More than this at once is no top-up (own rule): the target is out of reach, or a reading was wrong."""


def top_up_kg(climate: Climate, plan: Plan, at: float) -> float | None:
    """Return the dry ice [kg] that a top-up at session second `at` takes, rounded up; None where nothing tells.

    The least that, with what is left of the charges before, still holds the plan's target when the plan has the next
    one. None without a target, where dry ice was read to cool nothing, and where it would take more than `MOST_KG`.
    """
    ice, gain = plan.dry_ice, climate.gain_k_per_w(at)
    if ice.target_air_c is None or gain <= 0.0:
        return None
    lasts = float(ice.top_up_every_s)
    over_k = climate.local_air_c(at + lasts) - float(ice.target_air_c)
    mass = max(least_kg(ice.form, climate.room_c(at), over_k / gain, lasts), LEAST_TOP_UP_KG)
    return round(math.ceil(mass / WEIGHED_KG - 1e-9) * WEIGHED_KG, 3) if mass <= MOST_KG else None
