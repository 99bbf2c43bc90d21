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
    """A scoop's size, a definition: its `width_m` [m], the half-thickness `edge_m` [m] of its ruffle or corner, its
    form.

    No form means a ball.
    """

    width_m: float = WIDTH_M
    edge_m: float = EDGE_M
    form: Form | None = None

    @property
    def body(self) -> Form:
        """Its form: a ball as wide as it is where it has none of its own, by definition."""
        return self.form or ball(self.width_m)


USUAL_BUILD = Build()


class Ruffle(NamedTuple):
    """Edges of any shape: enthalpies `h` [J/kg], and `drained_s` [s of the model's own] for which they drain."""

    h: Floats
    drained_s: Floats


def ruffle_at(mix: Mix, start_c: float, shape: tuple[int, ...] = ()) -> Ruffle:
    """Return edges uniform at `start_c` [°C] that do not drain, of that `shape` [-]: H(t), by definition."""
    return Ruffle(np.full(shape, uniform_enthalpy(mix, start_c)), np.zeros(shape))


def ruffle_after(
    mix: Mix, ruffle: Ruffle, around: Surroundings, seconds: ArrayLike, build: Build = USUAL_BUILD
) -> Ruffle:  # fmt: skip
    """Return the edges after `seconds` [s] of the model's own time in one place; arrays broadcast.

    rho d dH/dt = q, see `edge.edge_clock` for its source; `drain.drained_after` for how long it drains (own rule).
    """
    clock = edge_clock(mix, around, build.body, build.edge_m)
    drained = drained_after(clock, targets(mix), ruffle.h, ruffle.drained_s, seconds)
    return Ruffle(clock.advance(ruffle.h, seconds), drained)


def ruffle_through(
    mix: Mix, ruffle: Ruffle, history: Iterable[tuple[Surroundings, ArrayLike]], build: Build = USUAL_BUILD
) -> Ruffle:  # fmt: skip
    """Return the edges after a history of places, each with its seconds [s] of the model's own time; arrays broadcast.

    `ruffle_after`, one place after another; see there for the equation and its sources.
    """
    for around, seconds in history:
        ruffle = ruffle_after(mix, ruffle, around, seconds, build)
    return ruffle


def ruffle_changes(mix: Mix, ruffle: Ruffle, around: Surroundings, build: Build = USUAL_BUILD) -> Floats:
    """Return the model's seconds [s] until crisp, sheen, edges and drained, shape (..., 4), if the edges stay `around`.

    `edge.EdgeClock.seconds_to` each of `criteria.targets`: own rules. The first drip comes with drained, or with the
    slump if that is sooner.
    """
    goals, clock = targets(mix), edge_clock(mix, around, build.body, build.edge_m)
    edge = np.asarray(ruffle.h)[..., None]
    changes = clock.seconds_to(edge, [goals.crisp, goals.sheen, goals.edges, goals.runs])
    changes[..., -1] = drips_in(clock, goals, ruffle.h, ruffle.drained_s, changes[..., -1])
    return changes
