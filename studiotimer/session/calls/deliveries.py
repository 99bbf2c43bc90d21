"""The call about the truck: delivery."""

from typing import Annotated, Literal

from pydantic import Field as InFile

from studiotimer.session.calls.record import Call, Field, Stepper, Words
from studiotimer.session.desk import Desk, Fields
from studiotimer.session.entries import Entry
from studiotimer.session.fields import Text
from studiotimer.session.state import Delivered, State
from studiotimer.units import CORE, temperature

PHRASES = ("a carton crushed", "a lid open", "soft at the edge", "frost inside a lid")


class Delivery(Entry):
    """The product's truck came: what a probe read in a tub [°C], the cartons counted, and what was damaged."""

    kind: Literal["delivery"] = "delivery"
    core_c: Annotated[float, InFile(ge=CORE.low, le=CORE.high)]
    cartons: Annotated[int, InFile(ge=0, le=1000)] | None = None
    damage: Text | None = None


def _rule(state: State, call: Delivery, at: float) -> State:
    return state.but(deliveries=state.deliveries.then(Delivered(at, call.core_c, call.cartons, call.damage or "")))


def _default(desk: Desk) -> Fields:
    """Fill in what is planned: it is chosen from there, and never made unseen."""
    cartons = desk.plan.delivery.cartons
    return {"core_c": float(desk.plan.delivered_c), **({"cartons": cartons} if cartons else {})}


def _choices(desk: Desk, asked: Delivery) -> list[Field]:
    cartons = asked.cartons if asked.cartons is not None else desk.plan.delivery.cartons or 0
    return [
        Stepper("core_c", "read in a tub", asked.core_c, 0.5, -40.0, 5.0, lambda value: temperature(value, digits=1)),
        Stepper("cartons", "cartons", cartons, 1.0, 0.0, 200.0, lambda value: f"{value:.0f}"),
        Words("damage", "damage", PHRASES, asked.damage or ""),
    ]


def _words(call: Delivery) -> str:
    cartons = "" if call.cartons is None else f", {call.cartons} carton{'' if call.cartons == 1 else 's'}"
    return f"truck came, product at {temperature(call.core_c, digits=1)}{cartons}" + (
        f", damage: {call.damage}" if call.damage else ""
    )


DELIVERY = Call(
    model=Delivery,
    name="Truck came",
    rule=_rule,
    default=_default,
    choices=_choices,
    words=_words,
    short=lambda call: temperature(call.core_c, digits=1),
    by="anyone",
    needs=("core_c",),
)
