"""What a scoop is made of, as the physics wants it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from studiotimer.mixes import find_mix
from studiotimer.prep import scene
from studiotimer.prep.plan import Plan, PlanError
from studiotimer.thermal.criteria import targets
from studiotimer.thermal.edge import edge_clock
from studiotimer.thermal.light import Tone
from studiotimer.thermal.material import material
from studiotimer.thermal.mix import Mix
from studiotimer.thermal.surroundings import Surroundings

STAGES = 4
USUAL_MIX = "premium"

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Product:
    """A flavour's mix, tone and planned freezer setting [°C], and the scoop's width and edge [m]."""

    mix: Mix
    tone: Tone
    freezer_c: float
    width_m: float
    edge_m: float

    @staticmethod
    def of(plan: Plan, flavour: str) -> Product:
        """Return a flavour of a plan; one the plan does not know is taken for its first.

        A mix that this program does not know (a session of another machine) is taken for premium.
        """
        known = next((one for one in plan.flavours if one.name == flavour), plan.flavours[0])
        try:
            mix, freezer_c = scene.mix_of(known), scene.freezer_c(plan, known)
        except PlanError:
            mix, freezer_c = find_mix(USUAL_MIX), -18.0 if plan.freezer_c is None else float(plan.freezer_c)
        return Product(mix, known.tone, freezer_c, float(plan.width_m), float(plan.edge_m))

    def stage_times(self, around: Surroundings, edge: Floats, slowing: Floats) -> Floats:
        """Return the seconds until crisp, sheen, edges and first drip, shape (4, ...) for an edge of any shape."""
        goals = targets(self.mix)
        wanted = np.array([goals.crisp, goals.sheen, goals.edges, goals.first_drip])
        wanted = wanted.reshape((STAGES,) + (1,) * edge.ndim)
        clock = edge_clock(self.mix, around, self.width_m, self.edge_m)
        return np.maximum.accumulate(clock.seconds_to(edge[None], wanted) * slowing, axis=0)

    def edge_after(self, around: Surroundings, edge: Floats, seconds: Floats) -> Floats:
        """Return the edge after `seconds` of the model's own time; arrays broadcast."""
        return edge_clock(self.mix, around, self.width_m, self.edge_m).advance(edge, seconds)

    def edge_c(self, edge: float) -> float:
        """Return the edge's temperature [°C]."""
        return float(material(self.mix).temperature(edge))
