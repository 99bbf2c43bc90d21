"""When scoops of one shot have its look, over what tau could be: reckoned at a few, read between them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from studiotimer.prep.looks import AIMS, Look, look_window, pack_starts
from studiotimer.prep.plan import Hero, Plan, Shot
from studiotimer.prep.standing import foot_of
from studiotimer.prep.windows import scoop_of
from studiotimer.thermal.learn import BAND, RESIDUAL_SD, SCOOP_SD
from studiotimer.thermal.pack import changes_of_packs
from studiotimer.thermal.ruffle import ruffle_at, ruffle_changes, ruffle_through
from studiotimer.thermal.scoop import HORIZON_S, Scoop, changes_of

Floats = NDArray[np.float64]

WARM_K = 3.0
"""By how much a freezer is too warm whose door stood open (own rule)."""
CRISP, SHEEN, EDGES, DRIP, SLUMP, FOOT_SOONER, FOOT, FOOT_LATER = range(8)
ROWS = 8
NORMALS = 5
_FAR = NormalDist().inv_cdf(BAND[-1])
_OFF = np.linspace(-1.2, 1.2, 49)
_BODY_OFF = np.array([-0.6, 0.0, 0.6])


@dataclass(frozen=True)
class Looks:
    """When a scoop changes [s on set]: `times` (2, ROWS, T) from its freezer as set and WARM_K warmer, at T `taus`.

    Its foot, where that ends the look, at 10, 50 and 90 %.
    """

    taus: Floats
    times: Floats

    def at(self, tau: Floats, warm: NDArray[np.bool_]) -> Floats:
        """Return the times, shape (ROWS, n), at n taus, `warm` where the freezer was."""
        read = partial(np.interp, tau, self.taus)
        return np.where(warm, *([read(row) for row in self.times[case]] for case in (1, 0)))


def drawn_looks(normals: Floats) -> Floats:
    """Return what standard normal draws (..., NORMALS, n) make of a scoop's times: factors, but the foot's as it is.

    The draws are what the scoop differs from its mates, then the residuals of edges, first drip, slump and foot.
    """
    spreads = [SCOOP_SD, *(RESIDUAL_SD[look] for look in ("edges", "first drip", "slump"))]
    return np.concatenate([np.exp(np.array(spreads)[:, None] * normals[..., :4, :]), normals[..., 4:, :]], axis=-2)


def drawn_span(look: Look, times: Floats, drawn: Floats) -> tuple[Floats, Floats]:
    """Return when one scoop a day comes into a look and leaves it [s on set], shape (n,) each.

    `times` (ROWS, n) are the model's, `drawn` (NORMALS, n) from `drawn_looks`.
    """
    own, of_edges, of_drip, of_slump, of_foot = drawn
    crisp, sheen, edges = times[CRISP] * own, times[SHEEN] * own, times[EDGES] * own
    edges = np.maximum(edges * of_edges, sheen)
    none = np.zeros(edges.shape)
    if look in AIMS:
        slump = np.maximum(times[SLUMP] * own * of_slump, edges)
        drip = np.minimum(np.maximum(times[DRIP] * own * of_drip, edges), slump)
        return look_window(look, (none, crisp, sheen, edges, drip, slump))
    start, end = look_window(look, (none, crisp, sheen, edges, edges, edges))
    foot = times[FOOT] * own
    if np.any(times[FOOT_SOONER] < HORIZON_S):
        far = of_foot / _FAR
        sooner, later = times[FOOT_SOONER] * own, times[FOOT_LATER] * own
        foot = foot * np.where(far < 0.0, (foot / sooner) ** far, (later / foot) ** far)
    return start, np.minimum(end, foot)


def looks_of(plan: Plan) -> list[dict[str, Looks]]:
    """Return, for each shot of a plan, the looks of each flavour in it, with the plan's dry ice.

    Raises PlanError for a mix or a light that is not known.
    """
    found: list[dict[str, Looks]] = []
    every = [(shot, scoop) for shot in plan.shots for _, scoop in _scoops(plan, shot)]
    bodies = iter(_slumps([scoop for shot, scoop in every if shot.look in AIMS and not scoop.build.body.closed]))
    for shot in plan.shots:
        looks = {}
        for flavour, scoop in _scoops(plan, shot):
            taus = scoop.tau + _OFF
            if scoop.build.body.closed:
                looks[flavour] = Looks(taus, np.minimum(_wall_times(scoop, shot.look), HORIZON_S))
                continue
            times = np.stack([_edge_times(one, taus) for one in _from_two_freezers(scoop)])
            if shot.look in AIMS:
                times[:, SLUMP] = next(bodies)
                times[:, DRIP] = np.minimum(times[:, DRIP], times[:, SLUMP])
            elif _foot_seen(shot, flavour) and (foot := foot_of(shot, scoop)) is not None:
                by_share = np.array([foot.sooner, foot.seconds, foot.later])
                times[:, FOOT_SOONER:] = by_share[:, None] * np.exp(taus - scoop.tau)
            looks[flavour] = Looks(taus, np.minimum(times, HORIZON_S))
        found.append(looks)
    return found


def _foot_seen(shot: Shot, flavour: str) -> bool:
    """Whether a foot of that flavour is in the frame: of a tower only the lowest has one."""
    return shot.foot_in_frame and (not shot.stacked or flavour == shot.heroes[0].flavour)


def _scoops(plan: Plan, shot: Shot) -> Iterator[tuple[str, Scoop]]:
    for flavour in dict.fromkeys(hero.flavour for hero in shot.heroes):
        yield flavour, scoop_of(plan, shot, Hero(flavour=flavour), iced=True)


def _from_two_freezers(scoop: Scoop) -> tuple[Scoop, Scoop]:
    return scoop, replace(scoop, start_c=min(scoop.start_c + WARM_K, -1.0))


def _edge_times(scoop: Scoop, taus: Floats) -> Floats:
    """Return crisp, sheen, edges and drained [s on set], no slump and no foot at each of `taus`, shape (ROWS, T)."""
    slow = np.exp(taus)
    history = [(piece.surroundings, piece.seconds / slow) for piece in scoop.history]
    edge = ruffle_through(scoop.mix, ruffle_at(scoop.mix, scoop.start_c, taus.shape), history, scoop.build)
    looks = ruffle_changes(scoop.mix, edge, scoop.on_set, scoop.build).T * slow
    return np.vstack([looks, np.full((ROWS - len(looks), *taus.shape), math.inf)])


def _wall_times(scoop: Scoop, look: Look) -> Floats:
    """Return a closed pack's changes as the rows of a scoop that has this look as long, shape (2, ROWS, T)."""
    cases = [replace(one, tau=scoop.tau + off) for one in _from_two_freezers(scoop) for off in _BODY_OFF]
    found = np.array([[each.dew_s, each.runs_s] for each in changes_of_packs(cases)]).reshape(2, len(_BODY_OFF), 2)
    times = np.full((2, ROWS, _OFF.size), math.inf)
    for case, by_tau in enumerate(found):
        dew, runs = (
            np.exp(np.polyval(np.polyfit(_BODY_OFF, _logs(row), 2), _OFF)) if np.isfinite(row).any() else math.inf
            for row in by_tau.T
        )
        none = np.zeros(_OFF.size)
        times[case, : FOOT_SOONER - 1] = pack_starts(look, (none, none, none + dew, none + runs), none)[1:5]
    return times


def _slumps(scoops: Sequence[Scoop]) -> Iterator[Floats]:
    """Yield when each scoop slumps, shape (2, T), all at once: a parabola in its logarithm over tau."""
    cases = [
        replace(one, tau=scoop.tau + off) for scoop in scoops for one in _from_two_freezers(scoop) for off in _BODY_OFF
    ]
    slumps = np.array([each.slump_s for each in changes_of(cases)] if cases else [])
    for of_scoop in slumps.reshape(len(scoops), 2, len(_BODY_OFF)):
        yield np.stack([np.exp(np.polyval(np.polyfit(_BODY_OFF, _logs(row), 2), _OFF)) for row in of_scoop])


def _logs(slumps: Floats) -> Floats:
    """Return the logarithms of slumps at _BODY_OFF; what is past what the model looks ahead goes on as tau does."""
    logs = np.log(np.maximum(slumps, 1.0))
    for place in range(len(logs)):
        if not np.isfinite(logs[place]):
            before = logs[place - 1] if place else np.log(HORIZON_S) + _BODY_OFF[0]
            logs[place] = before + _BODY_OFF[place] - _BODY_OFF[place - 1 if place else 0]
    return logs
