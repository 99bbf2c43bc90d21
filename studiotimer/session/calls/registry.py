"""Every kind of call, from the records in the modules beside: made, checked and folded by its kind's name."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any

from pydantic import ValidationError

from studiotimer.plain import shown
from studiotimer.session.calls.clips import CLIP
from studiotimer.session.calls.deliveries import DELIVERY
from studiotimer.session.calls.heroes import HERO_IN, OUT, STAND_IN, SWAP
from studiotimer.session.calls.ice import ICE_CLEARED, TOP_UP
from studiotimer.session.calls.line import BROUGHT, JUDGE, MOVE, PULL
from studiotimer.session.calls.mends import TAKE_BACK, amend_call
from studiotimer.session.calls.mends import amend_fields as _amend_fields
from studiotimer.session.calls.notes import CLOSED, FRAME, NOTE, OPENED
from studiotimer.session.calls.pours import POURED
from studiotimer.session.calls.readings import READING
from studiotimer.session.calls.record import Call
from studiotimer.session.calls.seen import LOOK
from studiotimer.session.calls.shooting import GOT_IT, HOLD, LAMP, LOCK, RESUME, SHOT
from studiotimer.session.calls.tub_moves import DOOR, TUB_BACK, TUB_FINISHED, TUB_OUT
from studiotimer.session.calls.wipes import DEW_WIPED, FROST_WIPED
from studiotimer.session.entries import Entry, names_of
from studiotimer.session.first_lines import BadLineError
from studiotimer.session.problems import first_problem
from studiotimer.session.state import Contradiction, ContradictionError, State


def _by_kind(*records: Call[Any]) -> dict[str, Call[Any]]:
    return {one.kind: one for one in records}


_MADE = _by_kind(
    SHOT, LOCK, PULL, JUDGE, MOVE, BROUGHT, STAND_IN, HERO_IN, SWAP, OUT, LOOK, POURED, FROST_WIPED, DEW_WIPED,
    GOT_IT, HOLD, RESUME, TOP_UP, ICE_CLEARED, LAMP, TUB_OUT, TUB_BACK, TUB_FINISHED, DOOR, DELIVERY, READING, FRAME,
    CLIP, NOTE,
)  # fmt: skip

RECORDS: Mapping[str, Call[Any]] = _MADE | _by_kind(amend_call(_MADE), TAKE_BACK, OPENED, CLOSED)
"""Every kind of entry, in the order in which people are told of them."""

KINDS: dict[str, type[Entry]] = {kind: record.model for kind, record in RECORDS.items()}

CALLS = tuple(kind for kind, record in RECORDS.items() if record.by != "program")
"""The kinds that people call; the others the program writes itself."""

amend_fields = partial(_amend_fields, RECORDS)


def why_not_others(kind: str) -> str | None:
    """Return why other programs may not make a call of `kind`, None when they may or there is no such call."""
    ours = kind in RECORDS and RECORDS[kind].by == "crew"
    return f"{kind} is called in the window only" if ours else None


def field_names(kind: str) -> tuple[str, ...]:
    """Return the names, as the file has them, of a kind's own fields."""
    return tuple(alias for name, alias in names_of(KINDS[kind]).items() if name not in Entry.model_fields)


def made(kind: str, fields: Mapping[str, object]) -> Entry:
    """Return a valid entry of `kind` from fields with any names.

    Raises BadLineError with one sentence naming the field that cannot be.
    """
    if kind not in KINDS:
        raise BadLineError(f"there is no call named {shown(kind)}; the calls are {', '.join(CALLS)}")
    try:
        return KINDS[kind].model_validate({**fields, "kind": kind})
    except ValidationError as error:
        raise BadLineError(f"{kind}: {first_problem(error, field_names(kind))}") from None


def fold(state: State, entry: Entry, at: float) -> State:
    """Return the state after `entry`, which happened at session second `at`; never raises.

    An entry that cannot be true changes nothing but the list of contradictions.
    """
    try:
        return apply(state, entry, at)
    except ContradictionError as error:
        return state.but(contradictions=state.contradictions.then(Contradiction(entry.n, str(error))))


def apply(state: State, entry: Entry, at: float) -> State:
    """Return the state after `entry`: the same entries make the same state, always.

    Raises ContradictionError with the reason when it cannot be true.
    """
    state = RECORDS[entry.kind].rule(state, entry, at)
    return state.but(last_time=at) if at > state.last_time else state
