"""A closed pack: frost and dew on the outside of its wall, and when they show, bead and run.

The mix inside is a body like any other; between its surface and the air is the wall's resistance. What settles on the
wall goes by the heat and mass transfer analogy that a scoop's moisture has (`air`), from the pull on or since the wall
was wiped.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from studiotimer.thermal.air import dew_point, settling
from studiotimer.thermal.body import Case, Piece, start_body, surfaces
from studiotimer.thermal.form import Form
from studiotimer.thermal.horizon import HORIZON_S
from studiotimer.thermal.lookup import outer_c
from studiotimer.thermal.material import material
from studiotimer.thermal.mix import Mix
from studiotimer.thermal.scoop import Scoop
from studiotimer.thermal.surroundings import Surroundings

SHOWS_KG_M2 = 0.002
"""Own rule: some 20 micrometres of loose frost, or as much water in fine drops, dull a printed wall."""
RUNS_KG_M2 = 0.1
"""Own rule: drops on an upright wall hold about a tenth of a millimetre of water before they run."""

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class PackChanges:
    """When frost shows, `frost_s` [s], dew beads, `dew_s` [s], and dew runs, `runs_s` [s], on set.

    0 where that is so, infinite where never within 3 h. None is later than the next: where there is never frost, it is
    dry until dew beads.
    """

    frost_s: float
    dew_s: float
    runs_s: float


@dataclass(frozen=True, slots=True)
class Packed:
    """A closed pack uniform at `start_c` [°C] that goes through `pieces`, the last of which is as long as it is asked.

    It is looked at from `since_s` [s] on, after it was wiped at each of `wiped_s` [s] (since the first piece began).
    """

    mix: Mix
    form: Form
    start_c: float
    pieces: tuple[Piece, ...]
    since_s: float = 0.0
    wiped_s: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Sweat:
    """What settles on a pack's wall, and when it shows; a definition.

    `frost_s` [s], `dew_s` [s] and `runs_s` [s] are when frost shows, dew beads and dew runs, infinite where they do
    not. `times` [s], `wall_c` [°C] and `settled` [kg/m2] have shape (n,); `bare_above_c` [°C] is the frost or dew
    point.
    """

    frost_s: float
    dew_s: float
    runs_s: float
    bare_above_c: float
    times: Floats
    wall_c: Floats
    settled: Floats

    @property
    def in_order(self) -> tuple[float, float, float]:
        """Return when frost shows, dew beads and dew runs, none later than the next [s]: own rule, as `PackChanges`
        says.
        """
        dew_s = min(self.dew_s, self.runs_s)
        return min(self.frost_s, dew_s), dew_s, self.runs_s


def sweat(
    mix: Mix,
    form: Form,
    start_c: float,
    around: Surroundings,
    history: Sequence[Piece] = (),
    horizon_s: float = HORIZON_S,
) -> Sweat:
    """Return what settles on a closed pack on set `around`, after a `history` that it began uniform at `start_c` [°C].

    As `sweats`, see there for the equation and its source. Seconds [s] are on set, to `horizon_s` [s]; what it brings
    from its history counts.
    """
    since = sum(piece.seconds for piece in history)
    return sweats([Packed(mix, form, start_c, (*history, Piece(around, horizon_s)), since)])[0]


def sweats(packs: Sequence[Packed]) -> list[Sweat]:
    """Return what settles on many packs at once; times [s] are after `since_s`, from the last wiping on.

    dm/dt = h / (c_p Le^(2/3)) (w_air - w_sat(T_wall)), m >= 0 [1], T_wall where the flow through the wall's resistance
    is what reaches it (`lookup.outer_c`), the mix inside as `body.surfaces`. Frost shows at 0.002 kg/m2, dew runs at
    0.1: own rules.

    References
    ----------
    .. [1] F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer (memory).
    """
    pieces = [tuple(piece for piece in pack.pieces if piece.seconds > 0.0) for pack in packs]
    cases = [
        Case(pack.mix, pack.form, start_body(pack.mix, pack.start_c), each)
        for pack, each in zip(packs, pieces, strict=True)
    ]
    return [
        _through(replace(pack, pieces=each), *surface)
        for pack, each, surface in zip(packs, pieces, surfaces(cases), strict=True)
    ]


def changes_of_packs(scoops: Sequence[Scoop]) -> list[PackChanges]:
    """Return the changes of many packs that were pulled as scoops are: `sweats`, slowed by exp(tau) (own rule)."""
    found = []
    for scoop, each in zip(scoops, sweats([_packed(scoop) for scoop in scoops]), strict=True):
        slow = math.exp(scoop.tau)
        times = [slow * seconds for seconds in each.in_order]
        found.append(PackChanges(*(seconds if seconds <= HORIZON_S else math.inf for seconds in times)))
    return found


def _packed(scoop: Scoop) -> Packed:
    quick = math.exp(-scoop.tau)
    history = tuple(Piece(piece.surroundings, piece.seconds * quick) for piece in scoop.history)
    ahead = Piece(scoop.on_set, HORIZON_S * quick)
    since = sum(piece.seconds for piece in history)
    return Packed(scoop.mix, scoop.build.body, scoop.start_c, (*history, ahead), since)


def _through(pack: Packed, times: Floats, enthalpies: Floats) -> Sweat:
    """Return what settles on a pack whose mix has these surface enthalpies [J/kg] at `times` [s]."""
    form, inner = pack.form, material(pack.mix).temperature(enthalpies)
    begins = np.concatenate([[0.0], np.cumsum([piece.seconds for piece in pack.pieces])])
    marks = sorted({*pack.wiped_s, pack.since_s})
    walls, masses, at = [], [], []
    mass = 0.0
    for piece, begin, end in zip(pack.pieces, begins[:-1], begins[1:], strict=True):
        inside = times[(times > begin + 1e-9) & (times < end - 1e-9)]
        turns = [mark for mark in marks if begin < mark < end]
        here = np.array(sorted({float(begin), *inside.tolist(), *turns, float(end)}))
        wall = outer_c(_one_way(np.interp(here, times, inner)), form, piece.surroundings)
        rate = settling(wall, piece.surroundings, form.along_m, form.flow)
        cuts = [0, *(int(np.searchsorted(here, mark)) for mark in pack.wiped_s if begin <= mark < end), here.size - 1]
        for number, (first, last) in enumerate(pairwise(cuts)):
            part = slice(first, last + 1)
            gathered = _gathered(here[part], rate[part], mass if number == 0 else 0.0)
            mass = float(gathered[-1])
            at.append(here[part])
            walls.append(wall[part])
            masses.append(gathered)
    t, wall, settled = np.concatenate(at), np.concatenate(walls), np.concatenate(masses)
    since = max((pack.since_s, *pack.wiped_s))
    first = int(np.searchsorted(t, since - 1e-9))
    wiped = [index for index in range(first, t.size - 1) if t[index] <= since + 1e-9]
    first = wiped[-1] if wiped else first
    return _seen(t[first:] - pack.since_s, wall[first:], settled[first:], pack.pieces[-1].surroundings)


def _one_way(values: Floats) -> Floats:
    """Return values that only rise, or only fall: in one place a wall does, but for the grid behind its mix's front."""
    turned = values if values[-1] >= values[0] else -values
    even = (np.maximum.accumulate(turned) + np.minimum.accumulate(turned[::-1])[::-1]) / 2
    return np.asarray(even if turned is values else -even)


def _gathered(times: Floats, rate: Floats, before: float) -> Floats:
    """Return what has settled [kg/m2] at `times` at rates [kg/(m2 s)], after what there was `before`."""
    mass = np.empty_like(times)
    mass[0] = before
    for i, settles in enumerate((rate[:-1] + rate[1:]) / 2 * np.diff(times), 1):
        mass[i] = max(mass[i - 1] + settles, 0.0)
    return mass


def _seen(times: Floats, wall_c: Floats, mass: Floats, around: Surroundings) -> Sweat:
    return Sweat(
        _first(times, np.where(wall_c < 0.0, mass, 0.0), SHOWS_KG_M2),
        _wet(times, wall_c, mass, SHOWS_KG_M2),
        _wet(times, wall_c, mass, RUNS_KG_M2),
        dew_point(around.humidity_ratio, around.pressure_pa),
        times,
        wall_c,
        mass,
    )


def _first(times: Floats, values: Floats, wanted: float) -> float:
    """Return when `values` first come to `wanted`, between two times in proportion."""
    past = np.nonzero(values >= wanted)[0]
    if not past.size:
        return math.inf
    i = int(past[0])
    if i == 0 or values[i] == values[i - 1]:
        return float(times[i])
    return float(times[i - 1] + (times[i] - times[i - 1]) * (wanted - values[i - 1]) / (values[i] - values[i - 1]))


def _wet(times: Floats, wall: Floats, mass: Floats, wanted: float) -> float:
    """Return when there is first so much water [kg/m2] on a wall at or above 0 °C."""
    wet = np.nonzero((wall >= 0.0) & (mass >= wanted))[0]
    if not wet.size:
        return math.inf
    i = int(wet[0])
    if i == 0:
        return float(times[0])
    span = times[i] - times[i - 1]
    thaws = span * -wall[i - 1] / (wall[i] - wall[i - 1]) if wall[i - 1] < 0.0 else 0.0
    lacks = wanted - mass[i - 1]
    gathers = span * lacks / (mass[i] - mass[i - 1]) if lacks > 0.0 else 0.0
    return float(times[i - 1] + max(thaws, gathers))
