"""Sauces of a shot's steps: how warm each may be poured, and what the planned one would do."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from studiotimer import units
from studiotimer.prep.found import OWN_RULE, Found
from studiotimer.prep.plan import Shot, Step
from studiotimer.thermal.sauce import DEEP_M, HARMLESS_M, advised_c, bite_m
from studiotimer.thermal.scoop import Piece, Scoop, edge_temperature_after

_EVEN_K = 0.1
"""Edges are taken to this, so that scoops alike are worked out once."""
_SOURCE = f"model of the sauce and the melt under it; harmless below 0.3 mm: {OWN_RULE}"


def sauces(shot: Shot) -> Iterator[tuple[Step, float]]:
    """Yield the steps that pour a sauce, each with the second on set at which it begins."""
    begins = 0.0
    for step in shot.steps:
        if step.temperature_c is not None:
            yield step, begins
        begins += float(step.seconds_s)


def poured_on_c(scoop: Scoop, begins_s: float) -> float:
    """Return how warm a hero's edge is [°C] `begins_s` seconds after it came on set."""
    waited = (Piece(scoop.on_set, begins_s),) if begins_s > 0.0 else ()
    return edge_temperature_after(scoop.mix, scoop.start_c, (*scoop.history, *waited), scoop.build, scoop.tau)


def told(shot: Shot, scoops: Sequence[Scoop], style: units.Style) -> tuple[Found, ...]:
    """Return for each sauce of a shot's steps how warm it may be poured, and what the planned one would do.

    `scoops` are the shot's heroes as they come, in the plan's order; the one that bears least is told. What is poured
    over a closed pack melts nothing.
    """
    bare = [
        (hero.flavour, scoop) for hero, scoop in zip(shot.heroes, scoops, strict=True) if not scoop.build.body.closed
    ]
    flavours, bodies = [flavour for flavour, _ in bare], [scoop for _, scoop in bare]
    return tuple(_told(flavours, step, begins, bodies, style) for step, begins in sauces(shot) if bare)


def _told(
    flavours: Sequence[str], step: Step, begins_s: float, scoops: Sequence[Scoop], style: units.Style
) -> Found:  # fmt: skip
    assert step.temperature_c is not None
    planned = float(step.temperature_c)
    edges = [round(poured_on_c(scoop, begins_s) / _EVEN_K) * _EVEN_K for scoop in scoops]
    advised = [advised_c(one.mix, edge, 2 * one.build.edge_m) for one, edge in zip(scoops, edges, strict=True)]
    least = min(range(len(scoops)), key=lambda index: -1.0 if (warm := advised[index]) is None else warm)
    scoop, edge, warmest = scoops[least], edges[least], advised[least]
    ruffle = bite_m(scoop.mix, edge, planned, 2 * scoop.build.edge_m)
    body = bite_m(scoop.mix, edge, planned, DEEP_M)
    who = f" ({step.who})" if step.who else ""
    bears = "no sauce is harmless" if warmest is None else f"pour it at {units.temperature(warmest, style)} at most"
    bites = f"{units.length(ruffle, style, 2)} of the ruffle and {units.length(body, style, 2)} of the body"
    does = f"at {units.temperature(planned, style)}, as planned, it melts {bites}: "
    does += "harmless" if ruffle <= HARMLESS_M else "it shows"
    how = (
        f"on {flavours[least]}, its edge at {units.temperature(edge, style)} when it is poured, "
        f"{units.duration(begins_s)} on set; 2 mm of syrup"
    )
    return Found(warmest, f"{step.what}{who}: {bears}; {does}", how, _SOURCE)
