"""The ruffle through a history: how warm its edge has become and for how long that has been draining, in one step."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from studiotimer.thermal.criteria import targets
from studiotimer.thermal.drain import drained_after, drips_in
from studiotimer.thermal.edge import EDGE_M, WIDTH_M, edge_clock
from studiotimer.thermal.form import Form, ball
from studiotimer.thermal.material import uniform_enthalpy
from studiotimer.thermal.mix import Mix
from studiotimer.thermal.surroundings import Surroundings

STAGES = 4  # crisp, sheen, edges, drained

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Build:
    """A scoop's size: its width, the half-thickness of its ruffle or corner [m], and its form if it is no ball."""

    width_m: float = WIDTH_M
    edge_m: float = EDGE_M
    form: Form | None = None

    @property
    def body(self) -> Form:
        """Its form: a ball as wide as it is where it has none of its own."""
        return self.form or ball(self.width_m)


USUAL_BUILD = Build()


class Ruffle(NamedTuple):
    """Edges of any shape: their enthalpies [J/kg], and for how long they have been draining [s of the model's own]."""

    h: Floats
    drained_s: Floats


def ruffle_at(mix: Mix, start_c: float, shape: tuple[int, ...] = ()) -> Ruffle:
    """Return edges uniform at `start_c` [°C] that do not drain."""
    return Ruffle(np.full(shape, uniform_enthalpy(mix, start_c)), np.zeros(shape))


def ruffle_after(
    mix: Mix, ruffle: Ruffle, around: Surroundings, seconds: ArrayLike, build: Build = USUAL_BUILD
) -> Ruffle:  # fmt: skip
    """Return the edges after `seconds` of the model's own time in one place; arrays broadcast."""
    clock = edge_clock(mix, around, build.body, build.edge_m)
    drained = drained_after(clock, targets(mix), ruffle.h, ruffle.drained_s, seconds)
    return Ruffle(clock.advance(ruffle.h, seconds), drained)


def ruffle_through(
    mix: Mix, ruffle: Ruffle, history: Iterable[tuple[Surroundings, ArrayLike]], build: Build = USUAL_BUILD
) -> Ruffle:  # fmt: skip
    """Return the edges after a history of places, each with its seconds of the model's own time; arrays broadcast."""
    for around, seconds in history:
        ruffle = ruffle_after(mix, ruffle, around, seconds, build)
    return ruffle


def ruffle_changes(mix: Mix, ruffle: Ruffle, around: Surroundings, build: Build = USUAL_BUILD) -> Floats:
    """Return the model's seconds until crisp, sheen, edges and drained, shape (..., 4), if the edges stay `around`.

    The first drip comes with drained, or with the slump if that is sooner.
    """
    goals, clock = targets(mix), edge_clock(mix, around, build.body, build.edge_m)
    looks = clock.seconds_to(np.asarray(ruffle.h)[..., None], [goals.crisp, goals.sheen, goals.edges])
    return np.concatenate([looks, drips_in(clock, goals, ruffle.h, ruffle.drained_s)[..., None]], axis=-1)
