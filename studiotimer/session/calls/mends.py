"""Calls about other calls: amend and take back."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, ClassVar, Literal, TypeGuard

from studiotimer.session.calls.record import (
    Call,
    Field,
    Options,
    Several,
    Stepper,
    Words,
    no_choices,
    unchanged,
)
from studiotimer.session.desk import Desk, Fields, NoDefaultError, last_call
from studiotimer.session.entries import Entry, fields_of
from studiotimer.session.fields import Change, Count, Given
from studiotimer.session.scoops import numbers


class Amend(Entry):
    """A change to an earlier entry: its tick or its own fields."""

    kind: Literal["amend"] = "amend"
    entry: Count
    change: Change
    mendable: ClassVar[bool] = False


class TakeBack(Entry):
    """An earlier entry undone without being deleted."""

    kind: Literal["take_back"] = "take_back"
    entry: Count
    mendable: ClassVar[bool] = False


def amends(entry: Entry) -> TypeGuard[Amend]:
    """Whether an entry is an amend; quicker than asking for its class."""
    return entry.kind == "amend"


def takes_back(entry: Entry) -> TypeGuard[TakeBack]:
    """Whether an entry is a take back; quicker than asking for its class."""
    return entry.kind == "take_back"


def _amend_default(desk: Desk) -> Fields:
    last = last_call(desk)
    if "entry" not in desk.given and last is None:
        raise NoDefaultError("there is no call to amend yet")
    if "change" not in desk.given:
        raise NoDefaultError("amend needs what to change: its time, scoop or place")
    return {"entry": last.n} if last else {}


def _take_back_default(desk: Desk) -> Fields:
    last = last_call(desk, amends=True)
    if last is None and "entry" not in desk.given:
        raise NoDefaultError("there is no call to take back")
    return {"entry": last.n} if last else {}


def target_of(desk: Desk, number: int | None) -> Entry | None:
    """Return entry `number` as it was logged; the last call, when None."""
    return desk.ledger.entry(number) if number is not None else last_call(desk)


def as_told(desk: Desk, target: Entry) -> Entry:
    """Return an entry as it counts now, amends included."""
    told = desk.ledger.told_of(target.n)
    return told.entry if told is not None else target


def amend_fields(records: Mapping[str, Call[Any]], desk: Desk, number: int | None = None) -> list[Field]:
    """Return what can be amended about entry `number` (the last call, when None): time, scoop, place and the rest."""
    target = target_of(desk, number)
    if target is None or not target.mendable:
        return []
    told = as_told(desk, target)
    values: Given = fields_of(told)
    fields: list[Field] = [Words("tick", "when", ())]
    for name, label in (("scoop", "scoop"), ("out", "out"), ("in", "in"), ("scoops", "scoop")):
        one = values.get(name)
        one = one[0] if isinstance(one, tuple) and len(one) == 1 else one
        if isinstance(one, int):
            fields.append(Stepper(name, label, one, 1, 1, 99_999, lambda now: f"{now:.0f}"))
    stepped = {field.field for field in fields}
    for field in records[told.kind].choices(desk, told):
        if not isinstance(field, Words | Several) and field.field not in stepped:
            fields.append(replace(field, value=values[field.field]) if isinstance(field, Options) else field)
    return fields


def value_words(value: object) -> str:
    """Return a value of an entry as the log has it."""
    if value is None:
        return "none"
    return numbers(value) if isinstance(value, list | tuple) else str(value)


def _amend_words(call: Amend) -> str:
    parts = ["its time" if name == "tick" else f"{name} {value_words(value)}" for name, value in call.change.items()]
    return f"amend entry {call.entry}: {', '.join(parts)}"


def amend_call(records: Mapping[str, Call[Any]]) -> Call[Amend]:
    """Return the record of amend, for which `records` has those of all that can be amended, by kind."""
    return Call(
        model=Amend,
        name="Amend",
        rule=unchanged,
        default=_amend_default,
        choices=lambda desk, _: amend_fields(records, desk),
        words=_amend_words,
        short=lambda call: f"entry {call.entry}",
        by="anyone",
        blank=True,
    )


TAKE_BACK = Call(
    model=TakeBack,
    name="Take back",
    rule=unchanged,
    default=_take_back_default,
    choices=no_choices,
    words=lambda call: f"entry {call.entry} taken back",
    short=lambda call: f"entry {call.entry}",
    by="anyone",
)
