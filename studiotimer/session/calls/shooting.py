"""Calls about the shot and the set: shot, lock, lamp, got it, hold, resume."""

from collections.abc import Callable
from dataclasses import replace
from typing import Literal, get_args

from studiotimer.plates import names
from studiotimer.prep.looks import LOOKS
from studiotimer.prep.parts import PlateIs
from studiotimer.session.calls.candidates import of_words
from studiotimer.session.calls.record import Call, Field, Options, Words, as_given, no_choices
from studiotimer.session.calls.scooping import with_scoop
from studiotimer.session.desk import Desk, Fields, NoDefaultError, next_shot, shot_fields
from studiotimer.session.entries import LOCKS, Entry, Lock, Shot
from studiotimer.session.fields import Name, Text
from studiotimer.session.scoops import Stood
from studiotimer.session.state import LightChange, State

HOLD_REASONS = ("waiting for light", "waiting for set", "waiting for client", "break")


def _shot_rule(state: State, call: Shot, at: float) -> State:
    light = LightChange(at, call.lamp, call.lux, state.lamp_on)
    locks = state.locks if call.keeps_locks else dict.fromkeys(LOCKS, False)
    again = call.name in state.got
    state = _left_standing(state, call, at)
    before = state.shot_before if state.shot is None or state.shot.name == call.name else state.shot.name
    return state.but(
        shot=call, shot_since=at, lights=state.lights.then(light), locks=locks, again=again, shot_before=before,
        frames_before_take=state.frames,
    )  # fmt: skip


def _left_standing(state: State, call: Shot, at: float) -> State:
    """Return the state with the scoops on set kept on the plate of the shot that ends; one called anew goes on."""
    if state.shot is None or state.shot.name == call.name:
        return state
    plate = Stood(state.shot, state.shot_since, at)
    for scoop in state.in_play:
        if scoop.on_set and scoop.stood is None:
            state = with_scoop(state, replace(scoop, stood=plate))
    return state


def _shot_default(desk: Desk) -> Fields:
    named = desk.given.get("name")
    if named is None:
        following = next_shot(desk)
        if following.name in desk.state.got:
            raise NoDefaultError("every shot of the plan is got; choose the one to make again by its name")
        return shot_fields(following)
    planned = next((shot for shot in desk.plan.shots if shot.name == named), None)
    if planned is not None:
        return shot_fields(planned)
    base, current = shot_fields(desk.plan.shots[0]), desk.state.shot
    return base if current is None else {name: getattr(current, name) for name in base}


def _got(desk: Desk) -> Callable[[str], bool]:
    """Return whether a shot is got: finished ones are offered last."""
    return lambda name: name in desk.state.got


def _shot_choices(desk: Desk, asked: Shot) -> list[Field]:
    planned = sorted((shot.name for shot in desk.plan.shots), key=_got(desk))
    made = getattr(asked, "n", None) is not None
    back = desk.state.shot_before if not made and "name" not in desk.given else None
    return [
        of_words("name", "shot", planned, back if back in planned else asked.name),
        of_words("look", "look", LOOKS, None),
        of_words("stands_on", "stands on", names(), asked.stands_on),
        of_words("plate_is", "plate is", get_args(PlateIs), asked.plate_is),
    ]


SHOT = Call(
    model=Shot,
    name="Shot",
    rule=_shot_rule,
    default=_shot_default,
    choices=_shot_choices,
    words=lambda call: f"shot {call.name}, {call.look} look",
    short=lambda call: call.name,
    by="anyone",
)


class LockCall(Entry):
    """Light, set or camera locked or freed."""

    kind: Literal["lock"] = "lock"
    which: Lock
    on: bool


def _lock_rule(state: State, call: LockCall, at: float) -> State:
    locked_last = at if call.on else state.locked_last
    return state.but(locks={**state.locks, call.which: call.on}, locked_last=locked_last)


def _lock_default(desk: Desk) -> Fields:
    locks = desk.state.locks
    given = desk.given.get("which")
    wanted = [lock for lock in LOCKS if (lock == given if given is not None else not locks[lock])]
    which = wanted[0] if wanted else LOCKS[0]
    return {"which": which, "on": not locks[which]}


def _lock_choices(desk: Desk, asked: LockCall) -> list[Field]:
    return [
        of_words("which", "lock", LOCKS, asked.which),
        Options("on", "is", ((True, "locked"), (False, "free")), asked.on),
    ]


def _lock_words(call: LockCall) -> str:
    return f"{call.which} {'locked' if call.on else 'free'}"


LOCK = Call(
    model=LockCall,
    name="Lock",
    rule=_lock_rule,
    default=_lock_default,
    choices=_lock_choices,
    words=_lock_words,
    short=_lock_words,
    by="anyone",
)


class Lamp(Entry):
    """The modelling lamp or hot light switched."""

    kind: Literal["lamp"] = "lamp"
    on: bool


def _lamp_rule(state: State, call: Lamp, at: float) -> State:
    lights = state.lights
    if lights:
        lights = lights.then(replace(lights[-1], at=at, on=call.on))
    return state.but(lamp_on=call.on, lights=lights)


LAMP = Call(
    model=Lamp,
    name="Lamp",
    rule=_lamp_rule,
    default=lambda desk: {"on": not desk.state.lamp_on},
    choices=no_choices,
    words=lambda call: f"lamp {'on' if call.on else 'off'}",
    short=lambda call: "on" if call.on else "off",
    by="anyone",
)


class GotIt(Entry):
    """The art director has the shot."""

    kind: Literal["got_it"] = "got_it"
    shot: Name


def _got_it_rule(state: State, call: GotIt, at: float) -> State:
    again = state.again and (state.shot is None or state.shot.name != call.shot)
    return state.but(got=state.got | {call.shot}, again=again)


def _got_it_default(desk: Desk) -> Fields:
    if desk.state.shot is None:
        raise NoDefaultError("no shot has begun; name the shot")
    return {"shot": desk.state.shot.name}


GOT_IT = Call(
    model=GotIt,
    name="Got it",
    rule=_got_it_rule,
    default=_got_it_default,
    choices=no_choices,
    words=lambda call: f"got it: {call.shot}",
    short=lambda call: call.shot,
    by="anyone",
)


class Hold(Entry):
    """Work on set stops."""

    kind: Literal["hold"] = "hold"
    why: Text | None = None


class Resume(Entry):
    """Work on set goes on."""

    kind: Literal["resume"] = "resume"
    why: Text | None = None


def _hold_rule(state: State, call: Hold, at: float) -> State:
    return state if state.hold is not None else state.but(hold=at, hold_why=call.why)


def _resume_rule(state: State, call: Resume, at: float) -> State:
    return state.but(hold=None, hold_why=None)


def _hold_choices(desk: Desk, asked: Hold) -> list[Field]:
    return [Words("why", "why", HOLD_REASONS)]


def _because(call: Hold | Resume) -> str:
    return f": {call.why}" if call.why else ""


HOLD = Call(
    model=Hold,
    name="Hold",
    rule=_hold_rule,
    default=as_given,
    choices=_hold_choices,
    words=lambda call: f"hold{_because(call)}",
    short=_because,
    by="anyone",
)
RESUME = Call(
    model=Resume,
    name="Resume",
    rule=_resume_rule,
    default=as_given,
    choices=no_choices,
    words=lambda call: f"resume{_because(call)}",
    short=_because,
    by="anyone",
)
