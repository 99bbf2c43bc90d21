"""The feet of the scoops on set and in the line: worked out aside, kept, and never waited for; and what they taught."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from statistics import NormalDist

from studiotimer import plates
from studiotimer.prep.looks import AIMS
from studiotimer.prep.plan import Plan
from studiotimer.session.climate import Climate
from studiotimer.session.countdowns import Band
from studiotimer.session.lives import Life
from studiotimer.session.product import Product
from studiotimer.session.scoops import FootLook, Scoop, Stood
from studiotimer.session.state import State
from studiotimer.thermal import layer
from studiotimer.thermal.body import Piece
from studiotimer.thermal.foot import BASE_SHARE, Base, Foot, Melt, followed, standing_c, standings_c
from studiotimer.thermal.form import Form
from studiotimer.thermal.layer import Layer
from studiotimer.thermal.mix import Mix
from studiotimer.thermal.stuff import Plate

NEVER = Band(math.inf, math.inf, math.inf)
LINE_STEP_S = 300.0
"""How often a waiting scoop's body is looked at anew for the foot it would have: it warms slowly (own rule)."""
_STEP_K = 0.5
"""Temperatures are taken to this, so that scoops alike are worked out once."""

Layers = Mapping[str, Layer]
"""What feet taught of the layer at which they show, by the name of what their scoops stood on."""

_Waiting = tuple[int, float, float, int]
_Body = tuple[Mix, float, tuple[Piece, ...], Form]


@dataclass(frozen=True, slots=True)
class Footing:
    """What is known of a foot: when it comes [s on set, as the model has it], None while it is worked out."""

    base: Base | None
    foot: Foot | None


class Feet:
    """The feet worked out so far; what is asked for and not known waits for `work_out`."""

    def __init__(self) -> None:
        self._known: dict[Base, Melt] = {}
        self._wanted: dict[Base, None] = {}
        self._colds: dict[tuple[int, float, float], float] = {}
        self._line: dict[int, tuple[_Waiting, float]] = {}
        self._bodies: dict[_Waiting, _Body] = {}
        self._stood: tuple[State | None, dict[int, Base | None]] = (None, {})
        """How the scoops on set of the state last asked about stood down, which no second that passes changes."""

    @property
    def wanted(self) -> bool:
        """Whether a foot, or what it follows from, was asked for that is not known."""
        return bool(self._wanted or self._bodies)

    def work_out(self) -> None:
        """Work out everything that was asked for; a foot takes a good fraction of a second."""
        bodies = list(self._bodies.items())
        for (key, _), cold_c in zip(bodies, standings_c([body for _, body in bodies]) if bodies else [], strict=True):
            self._line[key[0]] = (key, cold_c)
            self._bodies.pop(key, None)
        for base in list(self._wanted):
            self._known[base] = followed(base)
            self._wanted.pop(base, None)

    def learned(self, state: State, plan: Plan, climate: Climate, taus: Mapping[str, NormalDist]) -> dict[str, Layer]:
        """Return what the feet seen, and looked for in vain, teach of each plate; `taus` by flavour."""
        layers: dict[str, Layer] = {}
        for scoop, look in sorted(_looks(state), key=lambda each: (each[1].at, each[0].number)):
            product = Product.of(plan, scoop.flavour)
            cold_c = self._cold(scoop, look.since, product, climate)
            base = _base(product, climate.freezer_c(product, scoop.pulled), cold_c, look.stood, look.since, climate)
            melt = self._melt(base) if base else None
            if melt is None:
                continue
            name, seconds = _named(look.stood), look.at - look.since
            told = layer.not_yet if look.not_yet else layer.seen
            reached = melt.log_layer(seconds * math.exp(-taus[scoop.flavour].mean))
            layers[name] = told(layers.get(name, Layer()), reached, seconds)
        return layers

    def of(self, scoop: Scoop, life: Life, state: State, climate: Climate, layers: Layers) -> Footing | None:
        """Return what is known of a scoop's foot; None where it is not told what it stands on."""
        stood = state.stood(scoop)
        if stood is None or stood.shot.stands_on is None:
            return None
        if stood.shot.stacked and scoop.spot != stood.shot.spots[0]:
            return Footing(None, None)
        if state is not self._stood[0]:
            self._stood = (state, {})
        bases = self._stood[1]
        if scoop.number not in bases:
            product = life.origin.product
            freezer_c = climate.freezer_c(product, scoop.pulled)
            cold_c = self._cold(scoop, scoop.since, product, climate)
            bases[scoop.number] = _base(product, freezer_c, cold_c, stood, scoop.since, climate)
        base = bases[scoop.number]
        return Footing(base, self._foot(base, stood, layers) if base else None)

    def ends_s(self, scoop: Scoop, life: Life, state: State, climate: Climate, at: float, layers: Layers) -> float:
        """Return when the foot of a waiting scoop would end its look, in seconds on set; infinite where it does not.

        While it is worked out that is infinite too. The body is taken as it is about now, however long it waits yet.
        """
        shot = state.shot
        if shot is None or shot.stands_on is None or not shot.foot_in_frame or shot.look in AIMS:
            return math.inf
        cold_c = self._cold_in_line(scoop, life, at)
        stood, origin = Stood(shot, state.shot_since), life.origin
        freezer_c = climate.freezer_c(origin.product, scoop.pulled)
        base = None if cold_c is None else _base(origin.product, freezer_c, cold_c, stood, at, climate)
        found = self._foot(base, stood, layers) if base else None
        return found.seconds * origin.slowing[1] if found else math.inf

    def _foot(self, base: Base, stood: Stood, layers: Layers) -> Foot | None:
        melt, held = self._melt(base), layers.get(_named(stood))
        if melt is None:
            return None
        return melt.foot(held.mean, held.spread) if held else melt.foot()

    def _melt(self, base: Base) -> Melt | None:
        if base not in self._known:
            self._wanted[base] = None
        return self._known.get(base)

    def _cold(self, scoop: Scoop, since: float, product: Product, climate: Climate) -> float:
        """Return how cold a scoop stood down [°C]."""
        start_c = climate.start_c(product, scoop, since)
        key = (scoop.number, since, start_c)
        if key not in self._colds:
            pieces = [Piece(one.around, one.seconds) for one in climate.history(scoop, since, product)]
            self._colds[key] = standing_c(product.mix, start_c, pieces, product.build.body)
        return self._colds[key]

    def _cold_in_line(self, scoop: Scoop, life: Life, at: float) -> float | None:
        """Return how cold a waiting scoop would stand down [°C], as it was last looked at; None until it was."""
        product, start_c = life.origin.product, life.origin.start_c
        key = (scoop.number, scoop.since, start_c, int(at // LINE_STEP_S))
        known = self._line.get(scoop.number)
        if known is None or known[0] != key:
            pieces = tuple(Piece(one.around, one.seconds) for one in (*life.done, life.now) if one.seconds > 0.0)
            self._bodies = {one: body for one, body in self._bodies.items() if one[0] != scoop.number}
            self._bodies[key] = (product.mix, start_c, pieces, product.build.body)
        return known[1] if known and known[0][:3] == key[:3] else None


def with_feet(state: State) -> list[Scoop]:
    """Return the scoops whose foot was seen or looked for."""
    return [scoop for scoop in state.scoops.values() if scoop.feet]


def _looks(state: State) -> Iterator[tuple[Scoop, FootLook]]:
    """Yield of each stay on set the first time its foot was seen; where it was not, the last time in vain."""
    for scoop in with_feet(state):
        by_stay: dict[float, FootLook] = {}
        for look in sorted(scoop.feet, key=lambda one: one.at):
            before = by_stay.get(look.since)
            if before is None or before.not_yet:
                by_stay[look.since] = look
        yield from ((scoop, look) for look in by_stay.values() if look.stood.shot.stands_on is not None)


def _named(stood: Stood) -> str:
    assert stood.shot.stands_on is not None
    return plates.named(stood.shot.stands_on)


def _base(
    product: Product, freezer_c: float, cold_c: float, stood: Stood, since: float, climate: Climate
) -> Base | None:  # fmt: skip
    """Return how a scoop stands down at `cold_c` from a freezer at `freezer_c`; None where it has no foot."""
    shot = stood.shot
    assert shot.stands_on is not None
    air_c = _even(climate.around("set", since, product).air_c)
    plate_c = climate.plate_c(stood.since, stood.until)
    if plate_c is None:
        chilled = air_c if shot.plate_c is None else shot.plate_c
        plate_c = {"as the set": air_c, "chilled": chilled, "with its hero": freezer_c}[shot.plate_is]
    plate = plates.plate(shot.stands_on, shot.plate_m, _even(plate_c))
    if plate is None or product.build.body.closed:
        return None
    across = 2 * BASE_SHARE * product.build.width_m if shot.base_m is None else shot.base_m
    return Base(product.mix, cold_c, _in_place(plate), across / 2, air_c)


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
