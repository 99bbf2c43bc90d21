"""Calls about the line of scoops that wait: pull, judge, move, brought."""

from dataclasses import replace
from typing import Literal

from pydantic import Field as InFile

from studiotimer.session.calls.candidates import (
    assumed_pull,
    free_slot,
    given_numbers,
    in_line,
    of_flavours,
    of_scoops,
    of_slots,
    of_words,
    on_set,
)
from studiotimer.session.calls.record import Call, Field
from studiotimer.session.calls.scooping import assumed, present, with_scoop
from studiotimer.session.desk import Desk, Fields, NoDefaultError, next_flavour
from studiotimer.session.entries import JUDGEMENTS, STORES, Entry, Judgement, Store
from studiotimer.session.fields import Name, Number, Span
from studiotimer.session.scoops import Scoop, Stay
from studiotimer.session.state import ContradictionError, State
from studiotimer.units import duration


class Pull(Entry):
    """A scoop drawn from its tub."""

    kind: Literal["pull"] = "pull"
    scoop: Number
    flavour: Name
    to: Literal["box", "tray"]
    slot: Name | None = None


def _pull_rule(state: State, call: Pull, at: float) -> State:
    known = state.scoops.get(call.scoop)
    if known is None:
        return with_scoop(state, Scoop(call.scoop, call.flavour, (Stay(call.to, at, slot=call.slot),)))
    if not known.assumed:
        raise ContradictionError(f"scoop {call.scoop} was pulled already; the next number is {state.next_number()}")
    told = [stay.since for stay in known.stays[1:]] + [seen_at for seen_at, _ in known.seen]
    if told and min(told) < at:
        raise ContradictionError(
            f"scoop {call.scoop} was in use {duration(at - min(told))} before that; "
            f"tell when it was pulled, or pull {state.next_number()}"
        )
    return with_scoop(
        state, replace(known, flavour=call.flavour, stays=(Stay(call.to, at, slot=call.slot), *known.stays[1:]))
    )


def _pull_default(desk: Desk) -> Fields:
    to = desk.given.get("to") or ("box" if desk.has_box else "tray")
    fields: Fields = {"scoop": desk.state.next_number(), "flavour": next_flavour(desk), "to": to}
    return fields | free_slot(desk, to)


def _pull_choices(desk: Desk, asked: Pull) -> list[Field]:
    return [
        of_flavours(desk, asked.flavour),
        of_words("to", "to", ("box", "tray"), asked.to),
        *of_slots(desk, asked.to, asked.slot),
    ]


PULL = Call(
    model=Pull,
    name="Pull",
    rule=_pull_rule,
    default=_pull_default,
    choices=_pull_choices,
    words=lambda call: f"{call.scoop} pulled, {call.flavour}, to {_to(call)}",
    short=lambda call: f"{call.scoop} {call.flavour}",
    by="anyone",
)


class Judge(Entry):
    """What a scoop is good enough for."""

    kind: Literal["judge"] = "judge"
    scoop: Number
    judged: Judgement = InFile(alias="as")


def _judge_rule(state: State, call: Judge, at: float) -> State:
    scoop = state.scoops.get(call.scoop) or assumed(state, call.scoop, at, None)
    return with_scoop(state, replace(scoop, judged=call.judged))


def _judge_default(desk: Desk) -> Fields:
    chosen = next(iter(given_numbers(desk, "scoop")), desk.selected)
    if chosen is None:
        last = desk.state.last_pulled()
        if last is None:
            raise NoDefaultError("no scoop has been pulled; name the one that was judged")
        chosen = last.number
    return {"scoop": chosen, "as": "spare"}


def _judge_choices(desk: Desk, asked: Judge) -> list[Field]:
    return [
        of_words("as", "as", JUDGEMENTS, asked.judged),
        of_scoops("scoop", "scoop", desk, [*in_line(desk), *on_set(desk)], asked.scoop),
    ]


JUDGE = Call(
    model=Judge,
    name="Judge",
    rule=_judge_rule,
    default=_judge_default,
    choices=_judge_choices,
    words=lambda call: f"{call.scoop} judged {call.judged}",
    short=lambda call: f"{call.scoop} {call.judged}",
    by="anyone",
)


class Move(Entry):
    """A waiting scoop put somewhere else."""

    kind: Literal["move"] = "move"
    scoop: Number
    to: Store
    slot: Name | None = None
    assumed_pull_s: Span | None = None


def _move_rule(state: State, call: Move, at: float) -> State:
    scoop = present(state, call.scoop, at, call.assumed_pull_s)
    same = scoop.place == call.to and call.slot in (None, scoop.slot)
    moved = scoop if same else scoop.moved(call.to, at, slot=call.slot)
    return with_scoop(state, replace(moved, hero=False, spot=None))


def _move_default(desk: Desk) -> Fields:
    number = next(iter(given_numbers(desk, "scoop")), desk.selected)
    if number is None:
        waiting = desk.state.line()
        if not waiting:
            raise NoDefaultError("no scoop is waiting; name the one that was moved")
        number = max(waiting, key=lambda scoop: (scoop.pulled, scoop.number)).number
    known = desk.state.scoops.get(number)
    to = desk.given.get("to")
    if to is None:
        to = "tray" if known is not None and known.place in ("box", "freezer") else desk.cold_store
    return {"scoop": number, "to": to, **free_slot(desk, to), **assumed_pull(desk, number)}


def _to(call: Pull | Move) -> str:
    return f"{call.to} {call.slot}" if call.slot else call.to


def _move_choices(desk: Desk, asked: Move) -> list[Field]:
    return [
        of_words("to", "to", STORES, asked.to),
        of_scoops("scoop", "scoop", desk, in_line(desk), asked.scoop),
        *of_slots(desk, asked.to, asked.slot),
    ]


MOVE = Call(
    model=Move,
    name="Move",
    rule=_move_rule,
    default=_move_default,
    choices=_move_choices,
    words=lambda call: f"{call.scoop} to {_to(call)}",
    short=lambda call: f"{call.scoop} to {_to(call)}",
    by="anyone",
)


class Brought(Entry):
    """A waiting scoop carried to the set, where it waits to be placed: the carry has ended."""

    kind: Literal["brought"] = "brought"
    scoop: Number
    assumed_pull_s: Span | None = None


def _brought_rule(state: State, call: Brought, at: float) -> State:
    scoop = present(state, call.scoop, at, call.assumed_pull_s)
    if scoop.on_set or scoop.brought:
        raise ContradictionError(f"scoop {call.scoop} is at the set already, since {duration(at - scoop.since)}")
    there = replace(scoop, stays=(*scoop.stays, Stay("tray", at, brought=True)), stood=None)
    return with_scoop(state, replace(there, hero=False, spot=None))


def _brought_default(desk: Desk) -> Fields:
    number = next(iter(given_numbers(desk, "scoop")), desk.selected)
    if number is None:
        away = [one for one in in_line(desk) if not desk.state.scoops[one].brought]
        if not away:
            raise NoDefaultError("no scoop waits away from the set; name the one that was brought")
        number = away[0]
    return {"scoop": number, **assumed_pull(desk, number)}


BROUGHT = Call(
    model=Brought,
    name="Brought",
    rule=_brought_rule,
    default=_brought_default,
    choices=lambda desk, asked: [of_scoops("scoop", "scoop", desk, in_line(desk), asked.scoop)],
    words=lambda call: f"{call.scoop} brought to the set",
    short=lambda call: str(call.scoop),
    by="anyone",
    needs=("scoop",),
)
