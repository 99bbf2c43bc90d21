"""The state of a shoot: a pure fold over its entries. Same entries, same state, always."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any, Literal

from studiotimer.session import entries as e
from studiotimer.session.fields import HIGHEST_NUMBER
from studiotimer.session.scoops import Scoop, Stay
from studiotimer.session.trail import Trail
from studiotimer.thermal.charge import Charge
from studiotimer.units import duration

DEFAULT_PULL_TO_SET_S = 75.0

Where = Literal["set", "box"]


class ContradictionError(ValueError):
    """A call that cannot be true given what is logged; the message is the reason."""


@dataclass(frozen=True, slots=True)
class Change:
    """A value that held from a time (session seconds) on."""

    at: float
    value: float


@dataclass(frozen=True, slots=True)
class LightChange:
    """The light on set from a time (session seconds) on."""

    at: float
    lamp: e.LampKind
    lux: float
    on: bool


@dataclass(frozen=True, slots=True)
class Contradiction:
    """An entry of the file that cannot be true and was passed over, and why."""

    n: int
    why: str


@dataclass(frozen=True)
class State:
    """Everything the entries so far say; mappings are never changed in place."""

    scoops: Mapping[int, Scoop] = field(default_factory=dict)
    shot: e.Shot | None = None
    shot_since: float = 0.0
    locks: Mapping[e.Lock, bool] = field(default_factory=lambda: dict.fromkeys(e.LOCKS, False))
    lamp_on: bool = True
    hold: float | None = None
    got: frozenset[str] = frozenset()
    props: tuple[str, ...] = ()
    charges: Mapping[Where, Trail[Charge]] = field(default_factory=lambda: {"set": Trail(), "box": Trail()})
    cleared: Mapping[Where, Trail[float]] = field(default_factory=lambda: {"set": Trail(), "box": Trail()})
    readings: Mapping[e.Measured, Trail[Change]] = field(default_factory=dict)
    lights: Trail[LightChange] = field(default_factory=Trail)
    tubs_out: Mapping[str, float] = field(default_factory=dict)
    takes: Mapping[str, int] = field(default_factory=dict)
    heroes_used: Mapping[str, int] = field(default_factory=dict)
    frames: int = 0
    last_top_up: e.TopUp | None = None
    last_time: float = 0.0
    contradictions: Trail[Contradiction] = field(default_factory=Trail)

    def but(self, **changes: Any) -> State:
        """Return this state with some fields changed; quicker than `dataclasses.replace`."""
        changed = object.__new__(State)
        changed.__dict__.update(self.__dict__, **changes)
        if "scoops" in changes:
            changed.__dict__.pop("in_play", None)
            changed.__dict__.pop("known_of_scoops", None)
        return changed

    @cached_property
    def in_play(self) -> tuple[Scoop, ...]:
        """The scoops that are not out, few of all those there were."""
        return tuple(scoop for scoop in self.scoops.values() if scoop.place != "out")

    @cached_property
    def known_of_scoops(self) -> dict[Hashable, Any]:
        """Room to keep what follows from the scoops alone; shared by states as long as the scoops stay the same."""
        return {}

    def heroes(self) -> list[Scoop]:
        """Return the heroes on set, oldest on set first."""
        on_set = [scoop for scoop in self.in_play if scoop.hero_on_set]
        return sorted(on_set, key=lambda scoop: (scoop.since, scoop.number))

    def stand_ins(self) -> list[Scoop]:
        """Return the scoops standing in on set."""
        return [scoop for scoop in self.in_play if scoop.on_set and not scoop.hero]

    def line(self) -> list[Scoop]:
        """Return the scoops that wait, in order of number."""
        return sorted((scoop for scoop in self.in_play if scoop.waiting), key=lambda scoop: scoop.number)

    def active(self) -> list[Scoop]:
        """Return the scoops a forecast is wanted for: on set, or waiting."""
        return [scoop for scoop in self.in_play if scoop.on_set or scoop.waiting]

    def last_pulled(self) -> Scoop | None:
        """Return the scoop pulled last that is not out."""
        return max(self.in_play, key=lambda scoop: (scoop.pulled, scoop.number), default=None)

    def next_number(self) -> int:
        """Return the number the next pull gets."""
        highest = max(self.scoops, default=0)
        if highest < HIGHEST_NUMBER:
            return highest + 1
        return next(number for number in range(1, HIGHEST_NUMBER + 1) if number not in self.scoops)

    def reading(self, what: e.Measured) -> float | None:
        """Return the last value read of `what`."""
        history = self.readings.get(what)
        return history[-1].value if history else None


def fold(state: State, entry: e.AnyEntry, at: float) -> State:
    """Return the state after `entry`, which happened at session second `at`; never raises.

    An entry that cannot be true changes nothing but the list of contradictions.
    """
    try:
        return apply(state, entry, at)
    except ContradictionError as error:
        return state.but(contradictions=state.contradictions.then(Contradiction(entry.n, str(error))))


def apply(state: State, entry: e.AnyEntry, at: float) -> State:
    """Return the state after `entry`.

    Raises ContradictionError with the reason when it cannot be true.
    """
    rule = _RULES.get(entry.kind)
    state = rule(state, entry, at) if rule else state
    return state.but(last_time=at) if at > state.last_time else state


def _shot(state: State, call: e.Shot, at: float) -> State:
    light = LightChange(at, call.lamp, call.lux, state.lamp_on)
    return state.but(shot=call, shot_since=at, lights=state.lights.then(light), got=state.got - {call.name})


def _lock(state: State, call: e.LockCall, at: float) -> State:
    return state.but(locks={**state.locks, call.which: call.on})


def _pull(state: State, call: e.Pull, at: float) -> State:
    known = state.scoops.get(call.scoop)
    if known is None:
        return _with(state, Scoop(call.scoop, call.flavour, (Stay(call.to, at),)))
    if not known.assumed:
        raise ContradictionError(f"scoop {call.scoop} was pulled already; the next number is {state.next_number()}")
    told = [stay.since for stay in known.stays[1:]] + [seen_at for seen_at, _ in known.seen]
    if told and min(told) < at:
        raise ContradictionError(
            f"scoop {call.scoop} was in use {duration(at - min(told))} before that; "
            f"tell when it was pulled, or pull {state.next_number()}"
        )
    return _with(state, replace(known, flavour=call.flavour, stays=(Stay(call.to, at), *known.stays[1:])))


def _judge(state: State, call: e.Judge, at: float) -> State:
    scoop = state.scoops.get(call.scoop) or _assumed(state, call.scoop, at, None, None)
    return _with(state, replace(scoop, judged=call.judged))


def _move(state: State, call: e.Move, at: float) -> State:
    scoop = _present(state, call.scoop, at, call.assumed_pull_s)
    moved = scoop if scoop.place == call.to else scoop.moved(call.to, at)
    return _with(state, replace(moved, hero=False, spot=None))


def _stand_in(state: State, call: e.StandIn, at: float) -> State:
    if call.scoop is not None:
        scoop = _present(state, call.scoop, at, call.assumed_pull_s)
        if call.on and scoop.hero_on_set:
            raise ContradictionError(f"scoop {call.scoop} stands on set as hero; take it out first")
        if not call.on:
            return _with(state, _taken_out(scoop, at, "gone", hero=False))
        return _with(state, scoop if scoop.on_set else scoop.moved("set", at))
    assert call.prop is not None
    others = tuple(prop for prop in state.props if prop != call.prop)
    return state.but(props=(*others, call.prop) if call.on else others)


def _hero_in(state: State, call: e.HeroIn, at: float) -> State:
    shot = call.shot or (state.shot.name if state.shot else None)
    spots: Sequence[str | None] = call.spots or (None,) * len(call.scoops)
    flavours: Sequence[str | None] = call.flavours or (None,) * len(call.scoops)
    first = not state.heroes()
    for number, flavour, spot in zip(call.scoops, flavours, spots, strict=True):
        state = _place(state, number, at, call.assumed_pull_s, flavour, spot, shot)
    if shot is not None and first:
        state = state.but(takes={**state.takes, shot: state.takes.get(shot, 0) + 1})
    return state


def _swap(state: State, call: e.Swap, at: float) -> State:
    leaving = _present(state, call.out, at, call.assumed_pull_s, call.flavour)
    spot = call.spot or leaving.spot
    state = _with(state, _taken_out(leaving, at, "gone"))
    shot = leaving.shot or (state.shot.name if state.shot else None)
    flavour = call.flavour or (None if call.into in state.scoops else leaving.flavour)
    return _place(state, call.into, at, call.assumed_pull_s, flavour, spot, shot)


def _out(state: State, call: e.Out, at: float) -> State:
    for number in call.scoops:
        state = _with(state, _taken_out(_present(state, number, at, call.assumed_pull_s), at, call.why))
    return state


def _look(state: State, call: e.LookSeen, at: float) -> State:
    scoop = state.scoops.get(call.scoop) or _assumed(state, call.scoop, at, call.assumed_pull_s, None)
    return _with(state, replace(scoop, seen=(*scoop.seen, (at, call.seen))))


def _got_it(state: State, call: e.GotIt, at: float) -> State:
    return state.but(got=state.got | {call.shot})


def _hold(state: State, call: e.Hold, at: float) -> State:
    return state if state.hold is not None else state.but(hold=at)


def _resume(state: State, call: e.Resume, at: float) -> State:
    return state.but(hold=None)


def _top_up(state: State, call: e.TopUp, at: float) -> State:
    there = state.charges[call.where].then(Charge(call.mass_kg, call.form, at))
    return state.but(charges={**state.charges, call.where: there}, last_top_up=call)


def _ice_cleared(state: State, call: e.IceCleared, at: float) -> State:
    return state.but(cleared={**state.cleared, call.where: state.cleared[call.where].then(at)})


def _lamp(state: State, call: e.Lamp, at: float) -> State:
    lights = state.lights
    if lights:
        lights = lights.then(replace(lights[-1], at=at, on=call.on))
    return state.but(lamp_on=call.on, lights=lights)


def _tub_out(state: State, call: e.TubOut, at: float) -> State:
    return state.but(tubs_out={call.flavour: at, **state.tubs_out})


def _tub_back(state: State, call: e.TubBack, at: float) -> State:
    return state.but(tubs_out={name: t for name, t in state.tubs_out.items() if name != call.flavour})


def _reading(state: State, call: e.Reading, at: float) -> State:
    history = state.readings.get(call.what, Trail[Change]()).then(Change(at, call.value))
    state = state.but(readings={**state.readings, call.what: history})
    if call.what == "lux" and state.lights:
        state = state.but(lights=state.lights.then(replace(state.lights[-1], at=at, lux=call.value)))
    return state


def _frame(state: State, call: e.Frame, at: float) -> State:
    return state.but(frames=state.frames + 1)


_RULES: dict[str, Callable[[State, Any, float], State]] = {
    "shot": _shot, "lock": _lock, "pull": _pull, "judge": _judge, "move": _move, "stand_in": _stand_in,
    "hero_in": _hero_in, "swap": _swap, "out": _out, "look": _look, "got_it": _got_it, "hold": _hold,
    "resume": _resume, "top_up": _top_up, "ice_cleared": _ice_cleared, "lamp": _lamp, "tub_out": _tub_out,
    "tub_back": _tub_back, "reading": _reading, "frame": _frame,
}  # fmt: skip


def _with(state: State, scoop: Scoop) -> State:
    return state.but(scoops={**state.scoops, scoop.number: scoop})


def _place(
    state: State, number: int, at: float, ago: float | None, flavour: str | None, spot: str | None, shot: str | None
) -> State:
    scoop = _present(state, number, at, ago, flavour or _flavour_at(state, spot))
    if scoop.hero_on_set:
        raise ContradictionError(f"scoop {number} is on set already, since {duration(at - scoop.since)}")
    if scoop.judged == "reject":
        raise ContradictionError(f"scoop {number} was judged reject; judge it again to use it")
    placed = scoop if scoop.on_set else scoop.moved("set", at)
    state = _with(state, replace(placed, hero=True, spot=spot, shot=shot, flavour=flavour or scoop.flavour))
    if shot is not None:
        state = state.but(heroes_used={**state.heroes_used, shot: state.heroes_used.get(shot, 0) + 1})
    return state


def _taken_out(scoop: Scoop, at: float, why: e.Why, hero: bool = True) -> Scoop:
    """Return the scoop off the set; one that was never logged is assumed to have been there, as `hero` or not."""
    if scoop.assumed and len(scoop.stays) == 1:
        scoop = replace(scoop.moved("set", at, assumed=True), hero=hero)
    if why == "restyle":
        return replace(scoop.moved("tray", at), spot=None, hero=False)
    return replace(scoop.moved("out", at), why_out=why)


def _present(state: State, number: int, at: float, ago: float | None, flavour: str | None = None) -> Scoop:
    """Return the scoop, assumed if it was never logged; raises ContradictionError when it is out."""
    scoop = state.scoops.get(number)
    if scoop is None:
        return _assumed(state, number, at, ago, flavour)
    if scoop.place == "out":
        raise ContradictionError(f"scoop {number} is out already ({scoop.why_out or 'gone'})")
    return scoop


def _flavour_at(state: State, spot: str | None) -> str | None:
    if state.shot is None or spot not in state.shot.spots:
        return None
    return state.shot.flavours[state.shot.spots.index(spot)]


def _assumed(state: State, number: int, at: float, ago: float | None, flavour: str | None) -> Scoop:
    if flavour is None:
        flavour = state.shot.flavours[0] if state.shot and state.shot.flavours else "unknown"
    pulled = at - (DEFAULT_PULL_TO_SET_S if ago is None else ago)
    return Scoop(number, flavour, (Stay("tray", pulled, assumed=True),))
