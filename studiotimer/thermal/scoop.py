"""A scoop: what it looks like after a history of surroundings, and when that changes on set."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from studiotimer.thermal.body import Case, Piece, slump_times, start_body
from studiotimer.thermal.horizon import HORIZON_S
from studiotimer.thermal.material import material
from studiotimer.thermal.mix import Mix
from studiotimer.thermal.ruffle import USUAL_BUILD, Build, Ruffle, ruffle_at, ruffle_changes, ruffle_through
from studiotimer.thermal.surroundings import Surroundings

__all__ = [
    "HORIZON_S",
    "Build",
    "Changes",
    "Piece",
    "Scoop",
    "changes",
    "changes_of",
    "edge_after",
    "edge_temperature_after",
    "ordered",
    "ruffle_of",
]


@dataclass(frozen=True, slots=True)
class Changes:
    """When each visible change comes on set: 0 where it has passed, infinite where never within 3 h.

    `sheen_s` [s], `edges_s` [s], `first_drip_s` [s], `slump_s` [s]; `crisp_s` [s] is when the edge of a colder scoop
    has come up to the advised freezer setting of its mix.
    """

    sheen_s: float
    edges_s: float
    first_drip_s: float
    slump_s: float
    crisp_s: float = 0.0


@dataclass(frozen=True, slots=True)
class Scoop:
    """A scoop that started uniform at `start_c` [°C], went through `history`, and is on set in `on_set`.

    `tau` [-] slows the whole model, history included: dH/dt becomes exp(-tau) dH/dt (own rule, `learn`).
    """

    mix: Mix
    start_c: float
    on_set: Surroundings
    history: tuple[Piece, ...] = ()
    build: Build = USUAL_BUILD
    tau: float = 0.0


def changes(
    mix: Mix,
    start_c: float,
    on_set: Surroundings,
    history: Sequence[Piece] = (),
    build: Build = USUAL_BUILD,
    tau: float = 0.0,
) -> Changes:
    """Return the changes of one scoop from `start_c` [°C], slowed by `tau` [-]; see `changes_of` for its sources."""
    return changes_of([Scoop(mix, start_c, on_set, tuple(history), build, tau)])[0]


def changes_of(scoops: Sequence[Scoop]) -> list[Changes]:
    """Return the changes of many scoops at once.

    Edge: rho d dH/dt = q (`edge.edge_clock`); body: conduction with freezing (`body.slump_times`); when either counts
    as changed: `criteria.targets`, own rules. A time of the model's own is exp(-tau) of the clock's.
    """
    pace = [math.exp(-scoop.tau) for scoop in scoops]
    cases = [
        Case(
            scoop.mix,
            scoop.build.body,
            start_body(scoop.mix, scoop.start_c),
            _slowed(scoop.history, slow),
            scoop.on_set,
        )
        for scoop, slow in zip(scoops, pace, strict=True)
    ]
    longest = HORIZON_S * max(pace, default=1.0)
    slumps = slump_times(cases, longest)
    looks = np.empty((len(scoops), 4))
    alike: dict[tuple[Mix, Surroundings, Build], list[int]] = {}
    for i, scoop in enumerate(scoops):
        alike.setdefault((scoop.mix, scoop.on_set, scoop.build), []).append(i)
    for (mix, on_set, build), members in alike.items():
        h, drained = np.array([ruffle_of(scoops[i]) for i in members]).T
        looks[members] = ruffle_changes(mix, Ruffle(h, drained), on_set, build)
    every = (np.column_stack([looks, slumps]) / np.array(pace)[:, None]).tolist() if scoops else []
    return [ordered(*row) for row in every]


def ruffle_of(scoop: Scoop) -> Ruffle:
    """Return a scoop's edge as it comes on set, in the model's own seconds.

    `ruffle.ruffle_through`, see there for its sources.
    """
    pieces = ((piece.surroundings, piece.seconds) for piece in _slowed(scoop.history, math.exp(-scoop.tau)))
    return ruffle_through(scoop.mix, ruffle_at(scoop.mix, scoop.start_c), pieces, scoop.build)


def edge_after(
    mix: Mix, start_c: float, history: Sequence[Piece], build: Build = USUAL_BUILD, tau: float = 0.0
) -> float:  # fmt: skip
    """Return the edge's enthalpy [J/kg] after a history from uniform at `start_c` [°C], slowed by `tau` [-].

    `ruffle.ruffle_through`, see there for its sources.
    """
    pieces = ((piece.surroundings, piece.seconds) for piece in _slowed(history, math.exp(-tau)))
    return float(ruffle_through(mix, ruffle_at(mix, start_c), pieces, build).h)


def edge_temperature_after(
    mix: Mix, start_c: float, history: Sequence[Piece], build: Build = USUAL_BUILD, tau: float = 0.0
) -> float:  # fmt: skip
    """Return the edge's temperature [°C] after a history from uniform at `start_c` [°C], slowed by `tau` [-].

    T(H) of `edge_after`, see there for its sources.
    """
    return float(material(mix).temperature(edge_after(mix, start_c, history, build, tau)))


def _slowed(history: Sequence[Piece], pace: float) -> tuple[Piece, ...]:
    return tuple(replace(piece, seconds=piece.seconds * pace) for piece in history)


def ordered(crisp_s: float, sheen_s: float, edges_s: float, drained_s: float, slump_s: float) -> Changes:
    """Return the changes in their order, those past 3 h as never.

    From `crisp_s` [s], `sheen_s` [s], `edges_s` [s], `drained_s` [s] and `slump_s` [s]: edges = max(sheen, edges),
    slump = max(edges, slump), first drip = min(max(edges, drained), slump). Own rule: a matte edge does not round, a
    standing scoop with sharp edges does not slump, and a slump brings the drip.
    """
    edges_s = max(sheen_s, edges_s)
    slump_s = max(edges_s, slump_s)
    first_drip_s = min(max(edges_s, drained_s), slump_s)
    sheen_s, edges_s, first_drip_s, slump_s, crisp_s = (
        span if span <= HORIZON_S else math.inf for span in (sheen_s, edges_s, first_drip_s, slump_s, crisp_s)
    )
    return Changes(sheen_s, edges_s, first_drip_s, slump_s, crisp_s)
