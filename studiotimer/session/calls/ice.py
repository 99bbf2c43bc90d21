"""Calls about dry ice: top-up, ice cleared."""

from typing import Literal

from studiotimer import units
from studiotimer.session.calls.candidates import of_words
from studiotimer.session.calls.record import Call, Field, Stepper
from studiotimer.session.desk import Desk, Fields
from studiotimer.session.entries import FORMS, Entry
from studiotimer.session.fields import Mass
from studiotimer.session.state import State, Where
from studiotimer.thermal.charge import Charge, Form

MASS_STEPS_KG: dict[units.Style, float] = {"metric": 0.25, "US": 0.5 * units.KG_PER_LB}
WHERE: tuple[Where, ...] = ("set", "box")


class TopUp(Entry):
    """Dry ice added."""

    kind: Literal["top_up"] = "top_up"
    mass_kg: Mass
    form: Form
    where: Literal["set", "box"] = "set"


def _top_up_rule(state: State, call: TopUp, at: float) -> State:
    charge = Charge(call.mass_kg, call.form, at)
    charges = {**state.charges, call.where: state.charges[call.where].then(charge)}
    return state.but(charges=charges, last_top_up=(call.where, charge))


def _top_up_default(desk: Desk) -> Fields:
    """Return as much as there last: what box and set take has nothing to do with one another."""
    where = desk.given.get("where") or (desk.state.last_top_up[0] if desk.state.last_top_up else "set")
    last = next((charge for place in WHERE if place == where for charge in desk.state.charges[place][-1:]), None)
    if last is not None:
        return {"mass_kg": last.mass_kg, "form": last.form, "where": where}
    return {"mass_kg": 0.5, "form": desk.plan.dry_ice.form, "where": where}


def _top_up_choices(desk: Desk, asked: TopUp) -> list[Field]:
    step = MASS_STEPS_KG[units.shown_in()]
    return [
        Stepper("mass_kg", "dry ice", asked.mass_kg, step, step, 50.0, lambda kg: units.mass(kg, digits=2)),
        of_words("form", "form", FORMS, asked.form),
        of_words("where", "where", WHERE, asked.where),
    ]


def mass_words(kilograms: float) -> str:
    """Return a mass of dry ice with as many figures as it was called with."""
    return f"{kilograms:g} kg" if units.shown_in() == "metric" else units.mass(kilograms)


TOP_UP = Call(
    model=TopUp,
    name="Top-up",
    rule=_top_up_rule,
    default=_top_up_default,
    choices=_top_up_choices,
    words=lambda call: f"top-up {mass_words(call.mass_kg)} {call.form}, {call.where}",
    short=lambda call: f"{mass_words(call.mass_kg)} {call.where}",
    by="anyone",
    needs=("mass_kg",),
)


class IceCleared(Entry):
    """All dry ice taken away from the set or the box."""

    kind: Literal["ice_cleared"] = "ice_cleared"
    where: Literal["set", "box"] = "set"


def _cleared_rule(state: State, call: IceCleared, at: float) -> State:
    return state.but(cleared={**state.cleared, call.where: state.cleared[call.where].then(at)})


def _cleared_default(desk: Desk) -> Fields:
    last = desk.state.last_top_up
    return {"where": last[0] if last is not None else "set"}


def _cleared_choices(desk: Desk, asked: IceCleared) -> list[Field]:
    return [of_words("where", "where", WHERE, asked.where)]


ICE_CLEARED = Call(
    model=IceCleared,
    name="Ice cleared",
    rule=_cleared_rule,
    default=_cleared_default,
    choices=_cleared_choices,
    words=lambda call: f"dry ice cleared, {call.where}",
    short=lambda call: call.where,
    by="anyone",
)
