"""The feet of the scoops on set: worked out aside, kept, and never waited for."""

from __future__ import annotations

import math
from dataclasses import dataclass

from studiotimer import plates
from studiotimer.session.climate import Climate
from studiotimer.session.countdowns import Band
from studiotimer.session.lives import Life
from studiotimer.session.scoops import Scoop
from studiotimer.session.state import State
from studiotimer.thermal.body import Piece
from studiotimer.thermal.foot import BASE_SHARE, Base, Foot, foot, standing_c
from studiotimer.thermal.plate import Plate

NEVER = Band(math.inf, math.inf, math.inf)
_STEP_K = 0.5
"""Temperatures are taken to this, so that scoops alike are worked out once."""


@dataclass(frozen=True, slots=True)
class Footing:
    """What is known of a foot: when it comes [s on set, as the model has it], None while it is worked out."""

    base: Base | None
    foot: Foot | None


class Feet:
    """The feet worked out so far; what is asked for and not known waits for `work_out`."""

    def __init__(self) -> None:
        self._known: dict[Base, Foot] = {}
        self._wanted: dict[Base, None] = {}
        self._colds: dict[tuple[int, float, float], float] = {}

    @property
    def wanted(self) -> bool:
        """Whether a foot was asked for that is not known."""
        return bool(self._wanted)

    def work_out(self) -> None:
        """Work out every foot that was asked for; it takes a good fraction of a second each."""
        for base in list(self._wanted):
            self._known[base] = foot(base)
            self._wanted.pop(base, None)

    def of(self, scoop: Scoop, life: Life, state: State, climate: Climate) -> Footing | None:
        """Return what is known of a scoop's foot; None where it is not told what the shot stands on."""
        shot = state.shot
        if shot is None or shot.stands_on is None:
            return None
        base = self._base(scoop, life, state, climate)
        if base is None:
            return Footing(None, None)
        if base not in self._known:
            self._wanted[base] = None
        return Footing(base, self._known.get(base))

    def _base(self, scoop: Scoop, life: Life, state: State, climate: Climate) -> Base | None:
        shot, origin = state.shot, life.origin
        assert shot is not None
        assert shot.stands_on is not None
        air_c = _even(climate.around("set", scoop.since, origin.product).air_c)
        plate_c = climate.plate_c(state.shot_since)
        if plate_c is None:
            chilled = air_c if shot.plate_c is None else shot.plate_c
            cold = climate.freezer_c(origin.product, scoop.pulled)
            plate_c = {"as the set": air_c, "chilled": chilled, "with its hero": cold}[shot.plate_is]
        plate = plates.plate(shot.stands_on, shot.plate_m, _even(plate_c))
        if plate is None:
            return None
        across = 2 * BASE_SHARE * origin.product.width_m if shot.base_m is None else shot.base_m
        return Base(origin.product.mix, self._cold(scoop, life, climate), _in_place(plate), across / 2, air_c)

    def _cold(self, scoop: Scoop, life: Life, climate: Climate) -> float:
        """Return how cold a scoop stood down [°C]."""
        origin = life.origin
        start_c = climate.start_c(origin.product, scoop, scoop.since)
        key = (scoop.number, scoop.since, start_c)
        if key not in self._colds:
            before = climate.history(scoop, scoop.since, origin.product)
            pieces = [Piece(one.around, one.seconds) for one in before]
            self._colds[key] = standing_c(origin.product.mix, start_c, pieces, origin.product.width_m)
        return self._colds[key]


def band_of(found: Foot, life: Life, since: float) -> Band:
    """Return when a foot shows, in session seconds: the spread of its layer and that of tau together."""
    if not math.isfinite(found.seconds):
        return Band(since + found.sooner * life.origin.slowing[1], math.inf, math.inf)
    quick, slow, slowest = life.origin.slowing
    own = math.log(max(found.seconds, 1e-3) / max(found.sooner, 1e-3))
    early = math.hypot(own, math.log(slow / quick))
    late = math.hypot(math.log(found.later / max(found.seconds, 1e-3)), math.log(slowest / slow))
    likely = found.seconds * slow
    return Band(since + likely * math.exp(-early), since + likely, since + likely * math.exp(late))


def _even(celsius: float) -> float:
    return round(celsius / _STEP_K) * _STEP_K


def _in_place(plate: Plate) -> Plate:
    return Plate(plate.stuff, round(plate.thickness_m, 5), plate.at_c)
