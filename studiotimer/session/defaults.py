"""What a call means when only its kind is given: sensible defaults from the state, the plan and the forecast."""

from __future__ import annotations

from studiotimer.session.calls.registry import RECORDS
from studiotimer.session.desk import Desk, Fields


def filled(kind: str, desk: Desk) -> Fields:
    """Return the fields of a call of `kind`: those given, and defaults for the others.

    Raises NoDefaultError with what to give when there is no sensible default.
    """
    record = RECORDS.get(kind)
    given = {key: value for key, value in desk.given.items() if value is not None}
    return {**record.default(desk), **given} if record else given
