"""The call of a measured value: reading. What can be read is in `session.measures`."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from pydantic import model_validator as check_model

from studiotimer import units
from studiotimer.session.calls.record import Call, Field, Options, Stepper
from studiotimer.session.desk import Desk, Fields, last_reading
from studiotimer.session.entries import Entry
from studiotimer.session.measures import MEASURED, MEASURES, Measured, reading_words
from studiotimer.session.state import Change, State
from studiotimer.session.trail import Trail


class Reading(Entry):
    """A measured value: temperatures in °C, humidity as a fraction, light in lux, CO₂ in ppm."""

    kind: Literal["reading"] = "reading"
    what: Measured
    value: float

    @check_model(mode="after")
    def _possible(self) -> Reading:
        measure = MEASURES[self.what]
        if not measure.low <= self.value <= measure.high:
            raise ValueError(
                f"{measure.name}: {measure.words(self.value)} is not possible; give {units.limits(measure.quantity)}"
            )
        return self


def _rule(state: State, call: Reading, at: float) -> State:
    history = state.readings.get(call.what, Trail[Change]()).then(Change(at, call.value))
    state = state.but(readings={**state.readings, call.what: history})
    if call.what == "lux" and state.lights:
        state = state.but(lights=state.lights.then(replace(state.lights[-1], at=at, lux=call.value)))
    return state


def _default(desk: Desk) -> Fields:
    given = desk.given.get("what")
    what = _last_measured(desk) if given is None else next((one for one in MEASURED if one == given), None)
    return {} if what is None else {"what": what, "value": last_reading(desk, what)}


def _last_measured(desk: Desk) -> Measured:
    readings = desk.state.readings
    return max(readings, key=lambda what: readings[what][-1].at, default="air_c")


def _choices(desk: Desk, asked: Reading) -> list[Field]:
    measure = MEASURES[asked.what]
    return [
        Options[str]("what", "reading", tuple((one, MEASURES[one].name) for one in MEASURED), asked.what),
        Stepper("value", "value", asked.value, measure.stepped(), measure.low, measure.high, measure.words),
    ]


READING = Call(
    model=Reading,
    name="Reading",
    rule=_rule,
    default=_default,
    choices=_choices,
    words=lambda call: reading_words(call.what, call.value, named=True),
    short=lambda call: reading_words(call.what, call.value, named=True),
    by="anyone",
    needs=("what", "value"),
)
