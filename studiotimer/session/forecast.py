"""Countdowns: what each scoop will look like when, from the state of the shoot and the physics."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from studiotimer.prep.plan import Plan
from studiotimer.session.climate import Climate
from studiotimer.session.entries import Look
from studiotimer.session.lives import Belief, Life, Lives
from studiotimer.session.scoops import Scoop
from studiotimer.session.state import State
from studiotimer.thermal.body import Case, Piece, slump_times
from studiotimer.thermal.material import material
from studiotimer.thermal.surroundings import Surroundings

SET_SD, MIX_SD = 0.30, 0.20
HORIZON_S = 3 * 3600.0
AHEAD_S = np.array([0.0, 15, 30, 60, 120, 240, 480, 900, 1800, 3600])
_RANKS = {"hero": 0, None: 1, "spare": 2}

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Band:
    """A time: the median and the 10 % and 90 % points; infinite where it does not come within 3 h."""

    early: float
    likely: float
    late: float

    @staticmethod
    def of(times: Iterable[float]) -> Band:
        """Return the band of three times in any order."""
        return Band(*sorted(float(time) for time in times))

    def later_of(self, other: Band) -> Band:
        """Return the band of the later of both, point by point."""
        return Band(max(self.early, other.early), max(self.likely, other.likely), max(self.late, other.late))


@dataclass(frozen=True, slots=True)
class Changes:
    """When a scoop on set shows each change, in session seconds."""

    crisp: Band
    sheen: Band
    edges: Band
    first_drip: Band
    slump: Band


@dataclass(frozen=True, slots=True)
class HeroForecast:
    """A scoop on set since `since`: its changes, and the window of the shot's look (session seconds)."""

    scoop: int
    flavour: str
    spot: str
    hero: bool
    since: float
    changes: Changes
    start: Band
    end: Band
    edge_c: float


@dataclass(frozen=True, slots=True)
class LineForecast:
    """A waiting scoop: the window it would have on set, by how long after `at` it is sent there."""

    scoop: int
    flavour: str
    at: float
    start_s: tuple[float, ...]
    end_s: tuple[float, ...]
    edge_c: float

    def placed(self, at: float) -> tuple[float, float]:
        """Return the window (seconds on set: start, end) if the scoop were sent to the set at `at`."""
        ahead = min(max(at - self.at, 0.0), float(AHEAD_S[-1]))
        return _between(ahead, self.start_s), _between(ahead, self.end_s)


@dataclass(frozen=True, slots=True)
class ShotWindow:
    """The span in which every hero is in its own window; `ended_by` is the scoop that ends it."""

    start: Band
    end: Band
    ended_by: int


@dataclass(frozen=True, slots=True)
class ClimateNow:
    """The climate at the time of the forecast: °C, fraction, kg, W, session seconds, K/W, ppm."""

    room_c: float
    humidity: float
    local_air_c: float
    box_c: float
    ice_set_kg: float
    ice_box_kg: float
    ice_set_w: float
    ice_gone_at: float | None
    gain_k_per_w: float
    co2_ppm: float | None


@dataclass(frozen=True)
class Forecast:
    """Every countdown as of session second `at`; between changes a tick is arithmetic on it."""

    at: float
    climate: ClimateNow
    heroes: tuple[HeroForecast, ...] = ()
    line: tuple[LineForecast, ...] = ()
    window: ShotWindow | None = None

    @property
    def best(self) -> list[int]:
        """The waiting scoops, best first."""
        return [one.scoop for one in self.line]

    def on_set(self, scoop: int) -> HeroForecast | None:
        """Return the forecast of a scoop on set."""
        return next((one for one in self.heroes if one.scoop == scoop), None)

    def waiting(self, scoop: int) -> LineForecast | None:
        """Return the forecast of a waiting scoop."""
        return next((one for one in self.line if one.scoop == scoop), None)


def prior(plan: Plan, flavours: Iterable[str]) -> dict[str, Belief]:
    """Return what is believed of tau for each flavour before anything was seen on set."""
    beliefs = {}
    for flavour in flavours:
        known = next((one for one in plan.flavours if one.name == flavour), plan.flavours[0])
        learned = plan.learned.get(known.mix_name)
        mean, sd = (learned.mean, learned.sd) if learned else (0.0, MIX_SD)
        beliefs[flavour] = Belief(mean, math.hypot(SET_SD, sd))
    return beliefs


class Forecaster:
    """Works out forecasts of one session; it keeps how far each scoop was followed, only to save work."""

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        self._lives = Lives(plan)

    def forecast(self, state: State, at: float, beliefs: Mapping[str, Belief] | None = None) -> Forecast:
        """Return every countdown for `state` at session second `at`."""
        climate = Climate(state, self._plan)
        active = state.active()
        if beliefs is None:
            beliefs = prior(self._plan, {scoop.flavour for scoop in active})
        lives = self._lives.follow(active, climate, at, beliefs)
        looked = Looked.of(state)
        on_set = [scoop for scoop in active if scoop.on_set]
        slumps = _slumps_on_set(on_set, lives, climate, at)
        heroes = [
            _on_set(scoop, lives[scoop.number], climate, at, looked, slump)
            for scoop, slump in zip(on_set, slumps, strict=True)
        ]
        heroes.sort(key=lambda one: (one.since, one.scoop))
        line = self._waiting([scoop for scoop in active if scoop.waiting], lives, climate, at, looked)
        line.sort(key=lambda one: (_RANKS.get(state.scoops[one.scoop].judged, 1), -one.end_s[0], one.scoop))
        return Forecast(at, _now(climate, at), tuple(heroes), tuple(line), _shot_window(heroes))

    def _waiting(
        self, scoops: Sequence[Scoop], lives: Mapping[int, Life], climate: Climate, at: float, looked: Looked
    ) -> list[LineForecast]:
        """Return what each waiting scoop would have if sent to the set after each of AHEAD_S."""
        sent = [self._sent(scoop, lives[scoop.number], climate, at) for scoop in scoops]
        slumps = self._slumps_if_sent(scoops, lives, climate, at) if looked.look == "melt" else None
        line = []
        for index, (scoop, stages) in enumerate(zip(scoops, sent, strict=True)):
            crisp, sheen, edges, drip = stages
            slump = slumps[index] if slumps is not None else np.full_like(edges, np.inf)
            start, end = {"crisp": (crisp, edges), "sheen": (sheen, edges), "melt": (drip, slump)}[looked.look]
            start = np.maximum(start, looked.dressing_s)
            edge_c = float(material(lives[scoop.number].product.mix).temperature(lives[scoop.number].edge[1]))
            line.append(LineForecast(scoop.number, scoop.flavour, at, tuple(start), tuple(end), edge_c))
        return line

    def _sent(self, scoop: Scoop, life: Life, climate: Climate, at: float) -> Floats:
        """Return the seconds on set to crisp, sheen, edges and first drip if sent after AHEAD_S, shape (4, n)."""
        product = life.product
        slowing = life.slowing[1]
        here, carried, there = _route(scoop, life, climate, at)
        edge = product.edge_after(here, np.full(AHEAD_S.size, life.edge[1]), AHEAD_S / slowing)
        edge = product.edge_after(carried, edge, np.full(AHEAD_S.size, self._plan.pull_to_set_s / slowing))
        return _within_horizon(product.stage_times(there, edge, np.full(AHEAD_S.size, slowing)))

    def _slumps_if_sent(
        self, scoops: Sequence[Scoop], lives: Mapping[int, Life], climate: Climate, at: float
    ) -> Floats:
        """Return the seconds on set to slump if sent after AHEAD_S, shape (scoops, n)."""
        cases, slowings = [], []
        for scoop in scoops:
            life = lives[scoop.number]
            here, carried, there = _route(scoop, life, climate, at)
            for ahead in AHEAD_S:
                cases.append(_case(life, 1, [(here, float(ahead)), (carried, self._plan.pull_to_set_s)], there))
                slowings.append(life.slowing[1])
        times = slump_times(cases, HORIZON_S) * np.array(slowings) if cases else np.empty(0)
        return _within_horizon(times).reshape(len(scoops), AHEAD_S.size)


@dataclass(frozen=True, slots=True)
class Looked:
    """What the shot looks for: its look, and the dressing seconds that pass before frames count."""

    look: Look
    dressing_s: float

    @staticmethod
    def of(state: State) -> Looked:
        """Return what the current shot looks for (crisp, when none has begun)."""
        return Looked(state.shot.look, state.shot.dressing_s) if state.shot else Looked("crisp", 0.0)


def _route(scoop: Scoop, life: Life, climate: Climate, at: float) -> tuple[Surroundings, Surroundings, Surroundings]:
    """Return what is around a waiting scoop where it is, on the walk, and on set."""
    mix, tone = life.product.mix, life.product.tone
    return (
        climate.around(scoop.place, at, mix, tone),
        climate.around("carry", at, mix, tone),
        climate.around("set", at, mix, tone),
    )


def _case(life: Life, quantile: int, pieces: Sequence[tuple[Surroundings, float]], last: Surroundings) -> Case:
    slowing = life.slowing[quantile]
    before = tuple(Piece(around, seconds / slowing) for around, seconds in pieces if seconds > 0)
    return Case(life.product.mix, life.product.width_m, life.bodies[quantile], before, last)


def _slumps_on_set(scoops: Sequence[Scoop], lives: Mapping[int, Life], climate: Climate, at: float) -> list[Band]:
    """Return when each scoop on set slumps, in session seconds."""
    if not scoops:
        return []
    arounds = [climate.around("set", at, lives[s.number].product.mix, lives[s.number].product.tone) for s in scoops]
    cases = [
        _case(lives[scoop.number], quantile, [], around)
        for scoop, around in zip(scoops, arounds, strict=True)
        for quantile in range(3)
    ]
    seconds = slump_times(cases, HORIZON_S).reshape(len(scoops), 3)
    bands = []
    for scoop, row in zip(scoops, seconds, strict=True):
        life = lives[scoop.number]
        times = at + _within_horizon(row * np.array(life.slowing))
        bands.append(Band.of(times) if np.all(row > 0) else _slumped(scoop, life, times, row))
    return bands


def _slumped(scoop: Scoop, life: Life, times: Floats, row: Floats) -> Band:
    """Return when a scoop that has slumped did so, had its surroundings been from the start what they were then."""
    first = next(one for one in reversed(life.stretches) if one.on_set and one.began <= scoop.since + 1e-6)
    placed = life.placed or life.bodies
    cases = [Case(life.product.mix, life.product.width_m, body, (), first.around) for body in placed]
    since = scoop.since + slump_times(cases, HORIZON_S) * np.array(life.slowing)
    return Band.of(np.where(row > 0, times, np.minimum(since, times)))


def _on_set(scoop: Scoop, life: Life, climate: Climate, at: float, looked: Looked, slump: Band) -> HeroForecast:
    product = life.product
    around = climate.around("set", at, product.mix, product.tone)
    ahead = at + _within_horizon(product.stage_times(around, life.edge, np.array(life.slowing)))
    crisp, sheen, edges, drip = (Band.of(row) for row in np.minimum(life.shown, ahead))
    changes = Changes(crisp, sheen, edges, drip, slump.later_of(drip))
    start, end = {
        "crisp": (crisp, edges),
        "sheen": (sheen, edges),
        "melt": (drip, changes.slump),
    }[looked.look]
    ready = scoop.since + looked.dressing_s
    edge_c = float(material(product.mix).temperature(life.edge[1]))
    return HeroForecast(
        scoop.number, scoop.flavour, scoop.spot or scoop.flavour, scoop.hero, scoop.since, changes,
        start.later_of(Band(ready, ready, ready)), end, edge_c,
    )  # fmt: skip


def _shot_window(on_set: Sequence[HeroForecast]) -> ShotWindow | None:
    heroes = [one for one in on_set if one.hero]
    if not heroes:
        return None
    last = min(heroes, key=lambda one: (one.end.likely, one.since, one.scoop))
    start = heroes[0].start
    for hero in heroes[1:]:
        start = start.later_of(hero.start)
    end = Band(min(one.end.early for one in heroes), last.end.likely, min(one.end.late for one in heroes))
    return ShotWindow(start, end, last.scoop)


def _now(climate: Climate, at: float) -> ClimateNow:
    return ClimateNow(
        room_c=climate.room_c(at),
        humidity=climate.humidity(at),
        local_air_c=climate.local_air_c(at),
        box_c=climate.box_c(at),
        ice_set_kg=climate.ice_kg("set", at),
        ice_box_kg=climate.ice_kg("box", at),
        ice_set_w=climate.ice_w(at),
        ice_gone_at=climate.ice_gone_at(at),
        gain_k_per_w=climate.gain_k_per_w(at),
        co2_ppm=climate.co2_ppm(at),
    )


def _within_horizon(seconds: Floats) -> Floats:
    return np.where(seconds <= HORIZON_S, seconds, np.inf)


def _between(ahead: float, values: Sequence[float]) -> float:
    """Return the value at `ahead`, linear between the points of AHEAD_S; never comes if it does not on either side."""
    index = int(np.searchsorted(AHEAD_S, ahead, side="right")) - 1
    if index >= AHEAD_S.size - 1:
        return values[-1]
    low, high = values[index], values[index + 1]
    share = (ahead - AHEAD_S[index]) / (AHEAD_S[index + 1] - AHEAD_S[index])
    if share == 0.0 or not math.isfinite(low):
        return low
    return float(low + share * (high - low)) if math.isfinite(high) else math.inf
