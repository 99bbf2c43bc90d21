"""Calls about tubs: tub out, tub back."""

from __future__ import annotations

from typing import Literal

from studiotimer.session.calls.offers import of_flavours
from studiotimer.session.calls.record import Call, Field
from studiotimer.session.desk import Desk, Fields, next_flavour
from studiotimer.session.entries import Entry
from studiotimer.session.fields import Name
from studiotimer.session.state import State


class TubOut(Entry):
    """A tub taken out of the freezer."""

    kind: Literal["tub_out"] = "tub_out"
    flavour: Name


class TubBack(Entry):
    """A tub put back into the freezer."""

    kind: Literal["tub_back"] = "tub_back"
    flavour: Name


def _out_rule(state: State, call: TubOut, at: float) -> State:
    return state.but(tubs_out={call.flavour: at, **state.tubs_out})


def _out_default(desk: Desk) -> Fields:
    shot = desk.state.shot
    wanted = [next_flavour(desk), *(shot.flavours if shot else [flavour.name for flavour in desk.plan.flavours])]
    return {"flavour": next((name for name in wanted if name not in desk.state.tubs_out), wanted[0])}


def _back_rule(state: State, call: TubBack, at: float) -> State:
    return state.but(tubs_out={name: t for name, t in state.tubs_out.items() if name != call.flavour})


def _back_default(desk: Desk) -> Fields:
    longest_out = min(desk.state.tubs_out.items(), key=lambda item: item[1], default=None)
    return {"flavour": longest_out[0] if longest_out else next_flavour(desk)}


def _choices(desk: Desk, asked: TubOut | TubBack) -> list[Field]:
    return [of_flavours(desk, asked.flavour)]


TUB_OUT = Call(
    model=TubOut,
    name="Tub out",
    rule=_out_rule,
    default=_out_default,
    choices=_choices,
    words=lambda call: f"tub out, {call.flavour}",
    short=lambda call: call.flavour,
    by="anyone",
)
TUB_BACK = Call(
    model=TubBack,
    name="Tub back",
    rule=_back_rule,
    default=_back_default,
    choices=_choices,
    words=lambda call: f"tub back, {call.flavour}",
    short=lambda call: call.flavour,
    by="anyone",
)
