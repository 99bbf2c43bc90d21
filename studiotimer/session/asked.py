"""Whether a call may be made as it is asked for, before anything is filled in; and what it would assume."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from studiotimer.plain import shown
from studiotimer.session.calls.registry import CALLS, KINDS, RECORDS
from studiotimer.session.desk import Desk
from studiotimer.session.entries import Entry
from studiotimer.session.first_lines import BadLineError

_NOT_GIVEN = {*Entry.model_fields, "kind", "sum"}


class Assumption(NamedTuple):
    """A call that names scoops nobody logged: what it would assume, in words, and the call as it was made."""

    kind: str
    given: Mapping[str, object]
    tick: float
    words: str


def check_asked(kind: str, given: Mapping[str, object]) -> None:
    """Raise BadLineError for a call that only the program makes, or fields that only the program fills in."""
    if kind in KINDS and kind not in CALLS:
        raise BadLineError(f"{kind} is not a call; the calls are {', '.join(CALLS)}")
    fixed = next((name for name in given if name in _NOT_GIVEN), None)
    if fixed is not None:
        raise BadLineError(f"{kind}: {fixed} is not given with a call; it is logged by itself")


def check_told(kind: str, given: Mapping[str, object], desk: Desk) -> None:
    """Raise BadLineError where another program left out what it must tell, or named a flavour that there is not."""
    record = RECORDS.get(kind)
    if record is None:
        return
    missing = [name for name in record.needs if given.get(name) is None]
    if missing:
        wanted = " ".join(f"--{name.replace('_', '-')} …" for name in record.needs)
        raise BadLineError(f"{kind}: {' and '.join(missing)} must be told; write studiotimer call {kind} {wanted}")
    if (why := record.asks(desk)) is not None:
        raise BadLineError(f"{kind}: {why}")
    freezers = list(desk.plan.freezer_names.values())
    if given.get("freezer") is not None and given["freezer"] not in freezers:
        wrong = shown(given["freezer"])
        raise BadLineError(f"{kind}: there is no freezer {wrong} in the plan; write one of {', '.join(freezers)}")
    known = [flavour.name for flavour in desk.plan.flavours]
    flavours = given.get("flavours") or ()
    named = [given.get("flavour"), *(flavours if isinstance(flavours, list | tuple) else [flavours])]
    strange = next((name for name in named if name is not None and name not in known), None)
    if strange is not None:
        raise BadLineError(f"{kind}: there is no flavour {shown(strange)} in the plan; write one of {', '.join(known)}")
