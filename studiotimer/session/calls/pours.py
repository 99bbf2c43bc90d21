"""Calls about sauce: poured."""

from dataclasses import replace
from typing import Annotated, Literal

from pydantic import AfterValidator
from pydantic import Field as InFile

from studiotimer.session.calls.candidates import assumed_pull, given_numbers, on_set, some_scoops
from studiotimer.session.calls.record import Call, Field, Stepper, Words
from studiotimer.session.calls.scooping import present, with_scoop
from studiotimer.session.desk import Desk, Fields, NoDefaultError
from studiotimer.session.entries import Entry
from studiotimer.session.fields import Name, Scoops, Span, once
from studiotimer.session.scoops import Pour, numbers
from studiotimer.session.state import State
from studiotimer.units import POURED as POURED_AT
from studiotimer.units import duration, temperature

USUAL, USUAL_RUN_S = "sauce", 40.0
"""What is poured and for how long it runs where the plan does not say: as long as a sauce's bite counts (own rule)."""
RUN_STEP_S = 5.0  # as exactly as a hand pours


class Poured(Entry):
    """A sauce poured on heroes: from now on it runs, for `runs_s` seconds."""

    kind: Literal["poured"] = "poured"
    scoops: Annotated[Scoops, AfterValidator(once)]
    what: Name = USUAL
    temperature_c: float | None = InFile(default=None, ge=POURED_AT.low, le=POURED_AT.high)
    runs_s: Span = USUAL_RUN_S
    assumed_pull_s: Span | None = None


def _poured_rule(state: State, call: Poured, at: float) -> State:
    for number in call.scoops:
        scoop = present(state, number, at, call.assumed_pull_s)
        state = with_scoop(state, replace(scoop, pours=(*scoop.pours, Pour(at, at + call.runs_s, call.what))))
    return state


def _poured_default(desk: Desk) -> Fields:
    named = given_numbers(desk, "scoops")
    if not named and desk.selected is not None:
        named = [desk.selected]
    elif not named:
        named = [scoop.number for scoop in desk.state.heroes()]
    if not named:
        raise NoDefaultError("no hero is on set; name the scoop that the sauce was poured on")
    return {"scoops": named, **_planned(desk, named), **assumed_pull(desk, *named)}


def _planned(desk: Desk, scoops: list[int]) -> Fields:
    """Return the shot's sauce whose turn it is on these scoops, as it is planned; nothing where none is."""
    shot = desk.plan.shot_named(desk.state.shot_name)
    poured = {pour.what for number in scoops if (scoop := desk.state.scoops.get(number)) for pour in scoop.pours}
    sauces = [step for step in shot.steps if step.temperature_c is not None] if shot else []
    step = next((one for one in sauces if one.what not in poured), None)
    if step is None or step.temperature_c is None:
        return {}
    return {"what": step.what, "temperature_c": float(step.temperature_c), "runs_s": float(step.seconds_s)}


def _poured_choices(desk: Desk, asked: Poured) -> list[Field]:
    runs = Stepper("runs_s", "runs", asked.runs_s, RUN_STEP_S, RUN_STEP_S, 600.0, duration)
    sauces = [step.what for shot in desk.plan.shots for step in shot.steps if step.temperature_c is not None]
    what = Words("what", "sauce", tuple(dict.fromkeys((*sauces, USUAL))), asked.what)
    return [some_scoops("scoops", "scoops", on_set(desk), asked.scoops), runs, what]


def _poured_words(call: Poured) -> str:
    warm = "" if call.temperature_c is None else f" at {temperature(call.temperature_c)}"
    return f"{call.what} poured{warm} on {numbers(call.scoops)}, runs {duration(call.runs_s)}"


POURED = Call(
    model=Poured,
    name="Poured",
    rule=_poured_rule,
    default=_poured_default,
    choices=_poured_choices,
    words=_poured_words,
    short=lambda call: f"{call.what} {numbers(call.scoops)}",
    by="anyone",
)
