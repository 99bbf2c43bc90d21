"""What can be chosen about a call before it is made, and what an amend makes of what was chosen."""

from __future__ import annotations

from collections.abc import Mapping

from studiotimer.session.calls.mends import as_told, target_of
from studiotimer.session.calls.readings import BELONGS
from studiotimer.session.calls.record import Field
from studiotimer.session.calls.registry import RECORDS
from studiotimer.session.defaults import filled
from studiotimer.session.desk import Desk, Fields
from studiotimer.session.entries import fields_of
from studiotimer.session.mending import MendError, amended

LEAST_MOVE_S = 0.5
"""Times are typed to the second: less is no change."""


def choices(kind: str, desk: Desk) -> list[Field]:
    """Return the fields to choose for a call of `kind`, each starting at its default; none if there are none.

    Raises NoDefaultError with what to give when there is no sensible default.
    """
    record = RECORDS[kind]
    return record.choices(desk, record.draft({} if record.blank else filled(kind, desk)))


def amendment(desk: Desk, number: int | None, chosen: Mapping[str, object]) -> Fields:
    """Return the fields of the amend call that `chosen` (of `amend_fields`) asks for.

    Raises MendError when nothing would change.
    """
    target = target_of(desk, number)
    if target is None:
        raise MendError("there is no call to amend")
    told = as_told(desk, target)
    values = fields_of(told)
    change: Fields = {}
    for name, value in chosen.items():
        if name == "tick":
            if isinstance(value, float | int) and abs(value - told.tick) >= LEAST_MOVE_S:
                change["tick"] = value
            continue
        before = values.get(name)
        wanted = _like(before, value)
        if wanted != before and wanted is not None:
            change[name] = list(wanted) if isinstance(wanted, tuple) else wanted
    if not change:
        raise MendError("nothing was changed")
    if "what" in change:
        change |= {name: None for name in BELONGS if values.get(name) is not None and name not in change}
    amended(target, change)
    return {"entry": target.n, "change": change}


def _like(before: object, value: object) -> object:
    """Return a chosen value as the entry has such: a scoop stepped to is a whole number, alone or in a tuple."""
    if isinstance(value, bool | tuple) or not isinstance(value, float | int) or not isinstance(before, int | tuple):
        return value
    return (int(value),) if isinstance(before, tuple) else int(value)
