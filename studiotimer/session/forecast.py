"""The forecast: what each scoop will look like when, from the state of the shoot and the physics."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from studiotimer.prep.looks import AIMS, Look, look_window
from studiotimer.prep.plan import Plan
from studiotimer.session import packs as walls
from studiotimer.session.climate import Climate
from studiotimer.session.countdowns import (
    AHEAD_S,
    CHANGES,
    Band,
    Changes,
    ClimateNow,
    Forecast,
    HeroForecast,
    LineForecast,
    Pace,
    ShotWindow,
    WallChanges,
)
from studiotimer.session.feet import NEVER, Feet, Layers, band_of, with_feet
from studiotimer.session.learning import Learned, Learner, mix_names, taus_of
from studiotimer.session.lives import EdgeNow, Life, Lives, Origin, edges_now
from studiotimer.session.scoops import Scoop
from studiotimer.session.slumps import Slumps, standing_in, within_horizon
from studiotimer.session.soonest import first_of
from studiotimer.session.state import State
from studiotimer.session.topping import top_up_kg
from studiotimer.thermal.bands import spread_changes
from studiotimer.thermal.body import Case, Piece, slump_times
from studiotimer.thermal.criteria import targets
from studiotimer.thermal.horizon import HORIZON_S
from studiotimer.thermal.ruffle import Ruffle
from studiotimer.thermal.surroundings import Surroundings

_AHEAD = np.array(AHEAD_S)
_NOW = np.zeros(_AHEAD.size)
SLUMP_AHEAD_S = np.array([0.0, 120, 600, 3600])
_RANKS: Mapping[str | None, int] = {"hero": 0, None: 1, "spare": 2}

Floats = NDArray[np.float64]


class Forecaster:
    """Works out forecasts of one session; it keeps how far each scoop was followed, only to save work."""

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        self._lives = Lives(plan)
        self.feet = Feet()
        self._slumps = Slumps()
        self._packs = walls.Packs()
        self.learner = Learner(plan)
        self._climate: tuple[State | None, Climate | None] = (None, None)

    def forecast(self, state: State, at: float) -> Forecast:
        """Return every countdown for `state` at session second `at`."""
        climate = self._climate_of(state)
        active = state.active()
        learned = self.learner.learned(state, climate)
        taus = taus_of(learned.belief, self._plan, {scoop.flavour for scoop in (*active, *with_feet(state))})
        layers = self.feet.learned(state, self._plan, climate, taus)
        lives = self._lives.follow(active, climate, at, taus)
        looked = Looked.of(state)
        standing = {scoop.number: lives[scoop.number] for scoop in active if scoop.on_set}
        on_set, packs = _told_apart(standing)
        edges = edges_now(on_set, standing_in(on_set, climate, at))
        slumps = self._slumps.of(on_set, self._lives, climate, at)
        changes = changes_of([state.scoops[one] for one in on_set], edges, slumps, at)
        heroes = [
            self._standing(
                _on_set(state.scoops[one], life, looked, changes[one], edges[one]), life, state, climate, layers
            )
            for one, life in on_set.items()
        ]
        seen = self._packs.on_set({one: state.scoops[one] for one in packs}, packs, climate, at)
        heroes += [_pack_on_set(state.scoops[one], life, looked, seen[one]) for one, life in packs.items()]
        heroes.sort(key=lambda one: (one.since, one.scoop))
        waiting, packs = _told_apart({scoop.number: lives[scoop.number] for scoop in active if scoop.waiting})
        feet = {
            number: self.feet.ends_s(state.scoops[number], life, state, climate, at, layers)
            for number, life in waiting.items()
        }
        flavours = {scoop.number: scoop.flavour for scoop in active}
        line = self._waiting(waiting, flavours, feet, climate, at, looked)
        line += self._packs.waiting(packs, flavours, climate, at, looked.look, looked.dressing_s)
        line.sort(key=lambda one: (_RANKS[state.scoops[one.scoop].judged], -_lasts_s(one), one.scoop))
        now, pace = _now(climate, self._plan, at), _pace(learned, state, self._plan)
        return Forecast(at, now, tuple(heroes), tuple(line), _shot_window(heroes), pace)

    def _climate_of(self, state: State) -> Climate:
        """Return what is around everything in `state`, made once for it: seconds that pass do not change it."""
        known, climate = self._climate
        if climate is None or known is not state:
            climate = Climate(state, self._plan)
            self._climate = (state, climate)
        return climate

    def _standing(
        self, hero: HeroForecast, life: Life, state: State, climate: Climate, layers: Layers
    ) -> HeroForecast:  # fmt: skip
        """Return a scoop on set with its foot; where that is in the frame, it ends the crisp and the sheen look."""
        scoop, shot = state.scoops[hero.scoop], state.shot
        footing = self.feet.of(scoop, life, state, climate, layers)
        if footing is None or shot is None:
            return hero
        seen = next((at for at, what in scoop.seen if what == "foot" and at >= scoop.since), None)
        if seen is not None:
            band: Band | None = _at_once(seen)
        elif footing.base is None:
            band = NEVER
        else:
            band = band_of(footing.foot, life, scoop.since) if footing.foot else None
        ends = band is not None and shot.foot_in_frame and shot.look not in AIMS
        end = hero.end.earlier_of(band) if ends and band is not None else hero.end
        return replace(hero, foot=band, on_something=True, end=end)

    def _waiting(
        self, lives: Mapping[int, Life], flavours: Mapping[int, str], feet: Mapping[int, float], climate: Climate,
        at: float, looked: Looked,
    ) -> list[LineForecast]:  # fmt: skip
        """Return what each waiting scoop would have if placed on set after each of _AHEAD; `feet` [s on set] end it."""
        alike: dict[tuple[Origin, Surroundings], list[int]] = {}
        for number, life in lives.items():
            alike.setdefault((life.origin, life.now.around), []).append(number)
        slumps = self._slumps_if_placed(lives, climate, at) if looked.look in AIMS else {}
        never = np.full(_AHEAD.size, np.inf)
        line = []
        for (origin, here), numbers in alike.items():
            edges, stages = self._placed(origin, here, [lives[number] for number in numbers], climate, at)
            tempers = _tempers(origin, edges, climate, at, looked)
            for index, number in enumerate(numbers):
                crisp, sheen, gone, drip = stages[:, index]
                slump = np.maximum(slumps.get(number, never), gone)
                drip = np.minimum(drip, slump)
                start, end = look_window(looked.look, (_NOW, crisp, sheen, gone, drip, slump))
                start, end = np.maximum(start, looked.dressing_s), np.minimum(end, feet[number])
                edge_c = origin.product.edge_c(edges[index])
                spans = tuple(start.tolist()), tuple(end.tolist())
                line.append(LineForecast(number, flavours[number], at, *spans, edge_c, float(tempers[index])))
        return line

    def _placed(
        self, origin: Origin, here: Surroundings, lives: Sequence[Life], climate: Climate, at: float
    ) -> tuple[Floats, Floats]:
        """Return the edges [J/kg] now, shape (k,), and the seconds on set to each stage if placed after _AHEAD.

        The stages are crisp, sheen, edges and drained: shape (4, k, n). All scoops are of one origin and place. The
        walk to the set is the end of the wait, as it is in a scoop's history once it is placed.
        """
        product, slowing = origin.product, origin.slowing[1]
        carried, there = _route(origin, climate, at)
        edges = np.array([life.edge for life in lives])[:, :, 1, None]
        began = Ruffle(edges[:, 0], edges[:, 1])
        been = np.array([life.now.seconds for life in lives])[:, None]
        walk = np.asarray(climate.carry_s(at))
        waits = np.maximum(been + _AHEAD - walk, 0.0) / slowing
        brought = product.through(began, ((here, waits), (carried, walk / slowing)))
        stages = product.stage_times(brought, there, np.full_like(brought.h, slowing))
        return product.after(began, here, been / slowing).h[:, 0], within_horizon(stages)

    def _slumps_if_placed(self, lives: Mapping[int, Life], climate: Climate, at: float) -> dict[int, Floats]:
        """Return the seconds on set to slump if placed after _AHEAD, shape (n,), by scoop.

        A walk that would have begun by now begins now: the body hardly warms in that time.
        """
        bodies = self._lives.bodies(lives)
        cases = []
        for number, life in lives.items():
            product, slowing = life.product, life.origin.slowing[1]
            carried, there = _route(life.origin, climate, at)
            for ahead in SLUMP_AHEAD_S:
                walk = climate.carry_s(at)
                waited = max(ahead - walk, 0.0)
                pieces = (Piece(life.now.around, waited / slowing), Piece(carried, walk / slowing))
                before = tuple(piece for piece in pieces if piece.seconds > 0)
                cases.append(Case(product.mix, product.build.body, bodies[number].states[1], before, there))
        times = slump_times(cases, HORIZON_S).reshape(len(lives), SLUMP_AHEAD_S.size) if cases else np.empty((0, 0))
        return {
            number: within_horizon(np.interp(_AHEAD, SLUMP_AHEAD_S, row * life.origin.slowing[1]))
            for (number, life), row in zip(lives.items(), times, strict=True)
        }


def _lasts_s(one: LineForecast) -> float:
    """Return for how long its look would be right if placed now, to the second: of two alike the older is first."""
    start, end = one.start_s[0], one.end_s[0]
    lasts = end - start if math.isfinite(start) else 0.0
    return float(round(lasts)) if math.isfinite(lasts) else lasts


@dataclass(frozen=True, slots=True)
class Looked:
    """What the shot looks for: its look, and the dressing seconds that pass before frames count."""

    look: Look
    dressing_s: float

    @staticmethod
    def of(state: State) -> Looked:
        """Return what the current shot looks for (crisp, when none has begun)."""
        return Looked(state.shot.look, state.shot.dressing_s) if state.shot else Looked("crisp", 0.0)


def _tempers(origin: Origin, edges: Floats, climate: Climate, at: float, looked: Looked) -> Floats:
    """Return how long scoops should stand on the tray so that the look opens as dressing ends, shape (k,)."""
    goals = targets(origin.product.mix)
    goal = {"crisp": goals.crisp, "sheen": goals.sheen}.get(looked.look)
    if goal is None:
        return np.zeros(edges.shape)
    tray = climate.around("tray", at, origin.product)
    carried, there = _route(origin, climate, at)
    then = (carried, climate.carry_s(at)), (there, looked.dressing_s)
    return within_horizon(origin.product.tempers_in(tray, then, edges, goal, origin.slowing[1]))


def _route(origin: Origin, climate: Climate, at: float) -> tuple[Surroundings, Surroundings]:
    """Return what will be around a scoop that waits on the walk to the set, and on set, where it will be lit."""
    return climate.around("carry", at, origin.product), climate.around("set", at, origin.product, lit=True)


def _on_set(scoop: Scoop, life: Life, looked: Looked, changes: Changes, edge: EdgeNow) -> HeroForecast:
    start, end = look_window(looked.look, (_at_once(scoop.since), *(changes.of(name) for name in CHANGES)))
    ready = scoop.since + looked.dressing_s
    return HeroForecast(
        scoop.number, scoop.flavour, scoop.spot or scoop.flavour, scoop.hero, scoop.since, changes,
        start.later_of(Band(ready, ready, ready)), end, life.product.edge_c(edge.h[1]),
        pours=tuple(pour for pour in scoop.pours if pour.at >= scoop.since),
    )  # fmt: skip


def _pack_on_set(scoop: Scoop, life: Life, looked: Looked, changes: WallChanges) -> HeroForecast:
    start, end = walls.window(looked.look, changes)
    ready = scoop.since + looked.dressing_s
    return HeroForecast(
        scoop.number, scoop.flavour, scoop.spot or scoop.flavour, scoop.hero, scoop.since, changes,
        start.later_of(Band(ready, ready, ready)), end, life.product.edge_c(life.edge.h[1]), on_something=True,
    )  # fmt: skip


def _told_apart(lives: Mapping[int, Life]) -> tuple[dict[int, Life], dict[int, Life]]:
    """Return those that are seen themselves, and closed packs."""
    bare: dict[int, Life] = {}
    packs: dict[int, Life] = {}
    for number, life in lives.items():
        (packs if life.product.build.body.closed else bare)[number] = life
    return bare, packs


def changes_of(
    scoops: Sequence[Scoop], edges: Mapping[int, EdgeNow], slumps: Mapping[int, Floats], at: float
) -> dict[int, Changes]:  # fmt: skip
    """Return the changes of the scoops on set, with what each scoop and each look differs by.

    `slumps` are the bodies' [session s], shape (3,) each.
    """
    if not scoops:
        return {}
    some = [edges[scoop.number] for scoop in scoops]
    shown, ahead = np.array([edge.shown for edge in some]), np.array([edge.ahead for edge in some])
    crisp, sheen, gone, drained = np.moveaxis(np.minimum(shown, at + within_horizon(ahead)), 1, 0)
    slump = np.maximum([slumps[scoop.number] for scoop in scoops], gone)
    times = np.sort(np.stack([crisp, sheen, gone, np.minimum(drained, slump), slump], axis=1), axis=-1)
    times -= np.array([scoop.since for scoop in scoops])[:, None, None]
    spread = np.concatenate([times[:, :1], spread_changes(times[:, 1:])], axis=1)
    found = {}
    for scoop, bands in zip(scoops, spread, strict=True):
        bands = scoop.since + bands
        named = dict(zip(CHANGES, (Band(*row) for row in bands.tolist()), strict=True))
        found[scoop.number] = as_seen(Changes(**named), scoop)
    return found


def changes_on_set(
    plan: Plan, scoop: Scoop, climate: Climate, at: float, taus: Mapping[str, NormalDist]
) -> Changes | WallChanges:  # fmt: skip
    """Return the changes of one scoop on set by itself, as they are foreseen at session second `at`."""
    lives = Lives(plan)
    life = lives.follow([scoop], climate, at, taus)
    if life[scoop.number].product.build.body.closed:
        return walls.Packs().on_set({scoop.number: scoop}, life, climate, at)[scoop.number]
    slumps = Slumps().of(life, lives, climate, at)
    return changes_of([scoop], edges_now(life, standing_in(life, climate, at)), slumps, at)[scoop.number]


def foot_on_set(
    state: State, plan: Plan, scoop: Scoop, climate: Climate, at: float, taus: Mapping[str, NormalDist]
) -> Band | None:  # fmt: skip
    """Return when the foot of one scoop on set shows, worked out here; None where it is not told what it stands on.

    `taus` are of its flavour and of those of `with_feet`.
    """
    life, feet = Lives(plan).follow([scoop], climate, at, taus)[scoop.number], Feet()
    feet.of(scoop, life, state, climate, feet.learned(state, plan, climate, taus))
    feet.work_out()
    footing = feet.of(scoop, life, state, climate, feet.learned(state, plan, climate, taus))
    if footing is None:
        return None
    return band_of(footing.foot, life, scoop.since) if footing.foot else NEVER


def as_seen(changes: Changes, scoop: Scoop) -> Changes:
    """Return the changes with those a person saw on set at the time they were seen, the others before or after."""
    seen = {what.replace(" ", "_"): at for at, what in scoop.seen if at >= scoop.since}
    if not seen:
        return changes
    bands = {name: changes.of(name) for name in CHANGES}
    for place, name in enumerate(CHANGES):
        if name in seen:
            at = seen[name]
            bands[name] = Band(at, at, at)
            bands |= {one: bands[one].earlier_of(bands[name]) for one in CHANGES[:place]}
            bands |= {one: bands[one].later_of(bands[name]) for one in CHANGES[place + 1 :]}
    return Changes(**bands)


def _shot_window(on_set: Sequence[HeroForecast]) -> ShotWindow | None:
    heroes = [one for one in on_set if one.hero]
    if not heroes:
        return None
    last = min(heroes, key=lambda one: (one.end.likely, one.since, one.scoop))
    start = heroes[0].start
    for hero in heroes[1:]:
        start = start.later_of(hero.start)
    return ShotWindow(start, first_of([one.end for one in heroes], [one.since for one in heroes]), last.scoop)


def _now(climate: Climate, plan: Plan, at: float) -> ClimateNow:
    return ClimateNow(
        room_c=climate.room_c(at),
        humidity=climate.humidity(at),
        local_air_c=climate.local_air_c(at),
        box_c=climate.box_c(at),
        ice_set_kg=climate.ice_kg("set", at),
        ice_box_kg=climate.ice_kg("box", at),
        ice_gone_at=climate.ice_gone_at(at),
        gain_k_per_w=climate.gain_k_per_w(at),
        co2_ppm=climate.co2_ppm(at),
        top_up_at=climate.top_up_at(at),
        top_up_kg=top_up_kg(climate, plan, at),
    )


def _pace(learned: Learned, state: State, plan: Plan) -> Pace:
    """Return how this set compares with the model, for the mix of the shot's first flavour."""
    flavours = state.shot.flavours if state.shot and state.shot.flavours else (plan.flavours[0].name,)
    mix = mix_names(plan, flavours[:1])[flavours[0]]
    return Pace(math.exp(learned.tau(mix).mean), len(learned.seen))


def _at_once(at: float) -> Band:
    return Band(at, at, at)
