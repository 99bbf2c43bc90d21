"""What a scoop is made of, as the physics wants it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from studiotimer.mixes import find_mix
from studiotimer.prep import scene
from studiotimer.prep.plan import Plan, PlanError
from studiotimer.thermal.criteria import targets
from studiotimer.thermal.drain import drained_after, drips_in
from studiotimer.thermal.edge import edge_clock
from studiotimer.thermal.light import Tone
from studiotimer.thermal.material import material
from studiotimer.thermal.mix import Mix
from studiotimer.thermal.surroundings import Surroundings

STAGES = 4  # crisp, sheen, edges, drained
EDGES, DRAINED = 2, 3
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

    def stage_times(self, around: Surroundings, edge: Floats, drained: Floats, slowing: Floats) -> Floats:
        """Return the seconds until crisp, sheen, edges and drained, shape (4, ...) for an edge of any shape.

        `drained` is for how long it has been draining, in the model's own seconds. The first drip comes with drained,
        or with the slump if that is sooner.
        """
        goals, clock = targets(self.mix), edge_clock(self.mix, around, self.width_m, self.edge_m)
        wanted = np.array([goals.crisp, goals.sheen, goals.edges]).reshape((STAGES - 1,) + (1,) * edge.ndim)
        looks = [*clock.seconds_to(edge[None], wanted), drips_in(clock, goals, edge, drained)]
        return np.maximum.accumulate(np.stack(looks) * slowing, axis=0)

    def drained_after(self, around: Surroundings, edge: Floats, drained: Floats, seconds: Floats) -> Floats:
        """Return for how long an edge will have drained `seconds` on, all in the model's own time."""
        clock = edge_clock(self.mix, around, self.width_m, self.edge_m)
        return drained_after(clock, targets(self.mix), edge, drained, seconds)

    def edge_after(self, around: Surroundings, edge: Floats, seconds: Floats) -> Floats:
        """Return the edge after `seconds` of the model's own time; arrays broadcast."""
        return edge_clock(self.mix, around, self.width_m, self.edge_m).advance(edge, seconds)

    def edge_c(self, edge: float) -> float:
        """Return the edge's temperature [°C]."""
        return float(material(self.mix).temperature(edge))
