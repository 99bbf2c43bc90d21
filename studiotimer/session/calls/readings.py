"""The call of a measured value: reading. What can be read is in `session.measures`."""

from dataclasses import replace
from typing import Literal, Self

from pydantic import model_validator as check_model

from studiotimer import units
from studiotimer.session.calls.candidates import of_flavours, of_scoops, of_words
from studiotimer.session.calls.record import Call, Field, Options, Stepper
from studiotimer.session.calls.scooping import with_scoop
from studiotimer.session.desk import Desk, Fields, last_reading, next_flavour, read_last, usual_freezer
from studiotimer.session.entries import Entry
from studiotimer.session.fields import Name, Number
from studiotimer.session.growing import Growing
from studiotimer.session.measures import MEASURED, MEASURES, Measured, reading_words
from studiotimer.session.state import Change, ContradictionError, State
from studiotimer.units import duration

WHOSE = "core: say whose it is, the flavour of a tub or the number of a scoop, one of the two"
BELONGS: dict[str, Measured] = {"freezer": "freezer_c", "flavour": "core_c", "scoop": "core_c"}
"""What is told of one kind of reading only, and of which."""


class Reading(Entry):
    """A measured value: temperatures in °C, humidity as a fraction, light in lux, CO₂ in ppm.

    A freezer's says which freezer; a core is that of a tub, by its flavour, or of a scoop, by its number.
    """

    kind: Literal["reading"] = "reading"
    what: Measured
    value: float
    freezer: Name | None = None
    flavour: Name | None = None
    scoop: Number | None = None

    @check_model(mode="after")
    def _possible(self) -> Self:
        measure = MEASURES[self.what]
        if not measure.low <= self.value <= measure.high:
            raise ValueError(
                f"{measure.name}: {measure.words(self.value)} is not possible; give {units.limits(measure.quantity)}"
            )
        if self.what == "core_c" and (self.flavour is None) == (self.scoop is None):
            raise ValueError(WHOSE)
        strange = next((name for name, what in BELONGS.items() if getattr(self, name) and what != self.what), None)
        if strange is not None:
            of = MEASURES[BELONGS[strange]].name
            raise ValueError(f"{strange} is told of a {of} reading only; leave it out here")
        return self


def _rule(state: State, call: Reading, at: float) -> State:
    read = Change(at, call.value)
    if call.what == "core_c":
        state = _core(state, call, read)
    history = state.readings.get(call.what, Growing[Change]()).then(read)
    state = state.but(readings={**state.readings, call.what: history})
    if call.what == "freezer_c":
        return state.but(freezers=_freezers(state, call.freezer or "", read))
    if call.what == "lux" and state.lights:
        state = state.but(lights=state.lights.then(replace(state.lights[-1], at=at, lux=call.value)))
    return state


def _freezers(state: State, name: str, read: Change) -> dict[str, Growing[Change]]:
    """Return what each freezer read; where none is named it counts for all of them, also those named later."""
    before = {"": Growing[Change](), **state.freezers}
    named = {name: before.get(name, before[""])} if name else before
    return {**before, **{one: those.then(read) for one, those in named.items()}}


def _core(state: State, call: Reading, read: Change) -> State:
    if call.scoop is None:
        flavour = str(call.flavour)
        return state.but(cores={**state.cores, flavour: state.cores.get(flavour, Growing[Change]()).then(read)})
    scoop = state.scoops.get(call.scoop)
    if scoop is None:
        raise ContradictionError(f"scoop {call.scoop} was never pulled; read the core of one that was, or of a tub")
    if scoop.pulled > read.at:
        raise ContradictionError(f"scoop {call.scoop} was pulled {duration(scoop.pulled - read.at)} after that")
    return with_scoop(state, replace(scoop, cores=(*scoop.cores, (read.at, read.value))))


def _default(desk: Desk) -> Fields:
    given = desk.given.get("what")
    what = read_last(desk.state) if given is None else next((one for one in MEASURED if one == given), None)
    if what is None:
        return {}
    whose: Fields = {}
    if what == "freezer_c" and (name := usual_freezer(desk)):
        whose = {"freezer": name}
    elif what == "core_c" and desk.given.get("scoop") is None and desk.given.get("flavour") is None:
        selected = next((one.number for one in desk.state.in_play if one.number == desk.selected), None)
        whose = {"flavour": next_flavour(desk)} if selected is None else {"scoop": selected}
    return {"what": what, "value": last_reading(desk, what, {**whose, **desk.given}), **whose}


def _asks(desk: Desk) -> str | None:
    core = desk.given.get("what") == "core_c"
    return WHOSE if core and desk.given.get("scoop") is None and desk.given.get("flavour") is None else None


def _choices(desk: Desk, asked: Reading) -> list[Field]:
    measure = MEASURES[asked.what]
    return [
        Options[str]("what", "reading", tuple((one, MEASURES[one].name) for one in MEASURED), asked.what),
        Stepper("value", "value", asked.value, measure.stepped(), measure.low, measure.high, measure.words),
        *_whose(desk, asked),
    ]


def _whose(desk: Desk, asked: Reading) -> list[Field]:
    """Return the choice of a freezer, where there are several; of a tub; or of a scoop."""
    if asked.what == "freezer_c" and len(desk.plan.freezer_names) > 1:
        return [of_words("freezer", "which", list(desk.plan.freezer_names.values()), asked.freezer)]
    if asked.what == "core_c" and asked.scoop is not None:
        there = [scoop.number for scoop in desk.state.in_play]
        return [of_scoops("scoop", "scoop", desk, there, asked.scoop)]
    if asked.what == "core_c":
        return [of_flavours(desk, str(asked.flavour))]
    return []


def _words(call: Reading) -> str:
    if call.what == "freezer_c" and call.freezer:
        return f"{call.freezer} {reading_words(call.what, call.value)}"
    if call.what == "core_c":
        whose = call.flavour if call.scoop is None else f"scoop {call.scoop}"
        return f"core of {whose} {reading_words(call.what, call.value)}"
    return reading_words(call.what, call.value, named=True)


READING = Call(
    model=Reading,
    name="Reading",
    rule=_rule,
    default=_default,
    choices=_choices,
    words=_words,
    short=_words,
    by="anyone",
    asks=_asks,
    needs=("what", "value"),
)
