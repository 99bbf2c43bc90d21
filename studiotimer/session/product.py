"""What a scoop is made of, as the physics wants it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from studiotimer.mixes import find_mix
from studiotimer.prep import scene
from studiotimer.prep.plan import Plan, PlanError
from studiotimer.thermal.edge import edge_clock
from studiotimer.thermal.light import Tone
from studiotimer.thermal.material import material
from studiotimer.thermal.mix import Mix
from studiotimer.thermal.ruffle import Build, Ruffle, ruffle_after, ruffle_at, ruffle_changes, ruffle_through
from studiotimer.thermal.surroundings import Surroundings

EDGES, DRAINED = 2, 3
USUAL_MIX = "premium"

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Product:
    """A flavour's mix, tone and planned freezer [°C] with its name, and how the scoop is built."""

    mix: Mix
    tone: Tone
    freezer_c: float
    build: Build
    flavour: str = ""
    freezer: str = ""

    def __hash__(self) -> int:
        """What tells products apart, as good as always: all of a mix takes longer than what is looked up with it."""
        return hash((self.flavour, self.freezer, self.freezer_c))

    @staticmethod
    def of(plan: Plan, flavour: str) -> Product:
        """Return a flavour of a plan; one the plan does not know is taken for its first.

        A mix that this program does not know (a session of another machine) is taken for premium.
        """
        known = next((one for one in plan.flavours if one.name == flavour), plan.flavours[0])
        try:
            mix, freezer_c, build = scene.mix_of(known), scene.freezer_c(plan, known), scene.build_of(plan, known)
        except PlanError:
            mix, freezer_c = find_mix(USUAL_MIX), -18.0 if plan.freezer_c is None else float(plan.freezer_c)
            build = Build(float(plan.width_m), float(plan.edge_m))
        return Product(
            mix, known.tone, freezer_c, build, known.name, plan.freezer_name(known.freezer)
        )  # fmt: skip

    @staticmethod
    def planned_c(plan: Plan, freezer: str) -> float | None:
        """Return the planned setting [°C] of the freezer of that name; None where it is empty and set to nothing."""
        inside = next((one.name for one in plan.flavours if plan.freezer_name(one.freezer) == freezer), None)
        if inside is not None:
            return Product.of(plan, inside).freezer_c
        return None if plan.freezer_c is None else float(plan.freezer_c)

    def pulled_at(self, start_c: float, shape: tuple[int, ...] = ()) -> Ruffle:
        """Return edges as they are pulled from a tub at `start_c` [°C]."""
        return ruffle_at(self.mix, start_c, shape)

    def after(self, ruffle: Ruffle, around: Surroundings, seconds: ArrayLike) -> Ruffle:
        """Return the edges after `seconds` of the model's own time in one place; arrays broadcast."""
        return ruffle_after(self.mix, ruffle, around, seconds, self.build)

    def through(self, ruffle: Ruffle, history: Iterable[tuple[Surroundings, ArrayLike]]) -> Ruffle:
        """Return the edges after a history of places, each with its seconds of the model's own time."""
        return ruffle_through(self.mix, ruffle, history, self.build)

    def stage_times(self, ruffle: Ruffle, around: Surroundings, slowing: Floats) -> Floats:
        """Return the seconds until crisp, sheen, edges and drained, shape (4, ...), where all takes `slowing` as long.

        The first drip comes with drained, or with the slump if that is sooner.
        """
        looks = np.moveaxis(ruffle_changes(self.mix, ruffle, around, self.build), -1, 0)
        return np.maximum.accumulate(looks * slowing, axis=0)

    def tempers_in(
        self, tray: Surroundings, then: Iterable[tuple[Surroundings, float]], edge: Floats, goal: float, slowing: float
    ) -> Floats:
        """Return the seconds on the tray until an edge would come to `goal` [J/kg] through what is `then` around it."""
        wanted = goal
        for around, seconds in reversed(tuple(then)):
            clock = edge_clock(self.mix, around, self.build.body, self.build.edge_m)
            wanted = clock.before(wanted, seconds / slowing)
        return edge_clock(self.mix, tray, self.build.body, self.build.edge_m).seconds_to(edge, wanted) * slowing

    def edge_c(self, edge: float) -> float:
        """Return the edge's temperature [°C]."""
        return material(self.mix).temperature_at(float(edge))
