"""Calls about tubs and the freezers they are in: tub out, tub back, tub finished, door."""

from typing import Literal

from studiotimer.session.calls.candidates import of_flavours, of_words
from studiotimer.session.calls.record import Call, Field, Options
from studiotimer.session.desk import Desk, Fields, inside, next_flavour, usual_freezer
from studiotimer.session.entries import Entry
from studiotimer.session.fields import Name
from studiotimer.session.growing import Growing
from studiotimer.session.state import Finished, Put, State
from studiotimer.session.tub_ledger import open_of


class TubOut(Entry):
    """A tub taken out of the freezer."""

    kind: Literal["tub_out"] = "tub_out"
    flavour: Name


class TubBack(Entry):
    """A tub put back into its freezer, or into another one."""

    kind: Literal["tub_back"] = "tub_back"
    flavour: Name
    freezer: Name | None = None


class Door(Entry):
    """A freezer's door opened or closed."""

    kind: Literal["door"] = "door"
    open: bool
    freezer: Name | None = None


class TubFinished(Entry):
    """A tub, or the block of it that was pulled from, is finished, and the next one is opened."""

    kind: Literal["tub_finished"] = "tub_finished"
    flavour: Name


def _out_rule(state: State, call: TubOut, at: float) -> State:
    return state.but(tubs_out={call.flavour: at, **state.tubs_out})


def _out_default(desk: Desk) -> Fields:
    shot = desk.state.shot
    wanted = [next_flavour(desk), *(shot.flavours if shot else [flavour.name for flavour in desk.plan.flavours])]
    return {"flavour": next((name for name in wanted if name not in desk.state.tubs_out), wanted[0])}


def _back_rule(state: State, call: TubBack, at: float) -> State:
    state = state.but(tubs_out={name: t for name, t in state.tubs_out.items() if name != call.flavour})
    if call.freezer is None:
        return state
    puts = state.tubs_in.get(call.flavour, Growing[Put]()).then(Put(at, call.freezer))
    return state.but(tubs_in={**state.tubs_in, call.flavour: puts})


def _back_default(desk: Desk) -> Fields:
    longest_out = min(desk.state.tubs_out.items(), key=lambda item: item[1], default=None)
    return {"flavour": longest_out[0] if longest_out else next_flavour(desk)}


def _choices(desk: Desk, asked: TubOut | TubBack) -> list[Field]:
    names = list(desk.plan.freezer_names.values())
    if isinstance(asked, TubOut) or len(names) == 1:
        return [of_flavours(desk, asked.flavour)]
    return [
        of_flavours(desk, asked.flavour),
        of_words("freezer", "in", names, asked.freezer or inside(desk.plan, desk.state, asked.flavour)),
    ]


def _finished_rule(state: State, call: TubFinished, at: float) -> State:
    pulled = sum(scoop.flavour == call.flavour for scoop in state.scoops.values())
    finished = state.tubs_finished.get(call.flavour, Growing[Finished]()).then(Finished(at, pulled))
    return state.but(tubs_finished={**state.tubs_finished, call.flavour: finished})


def _finished_default(desk: Desk) -> Fields:
    """Finish the tub that should have the fewest pulls left, of the flavours of the shot."""
    shot = desk.state.shot
    names = list(dict.fromkeys(shot.flavours)) if shot else []
    opened = [now for name in names if (now := open_of(desk.plan, desk.state, name)) and now.pulled > 0]
    fewest = min(opened, key=lambda now: now.left, default=None)
    return {"flavour": fewest.flavour if fewest else next_flavour(desk)}


def _door_rule(state: State, call: Door, at: float) -> State:
    others = {name: since for name, since in state.doors_open.items() if name != (call.freezer or "")}
    if not call.open:
        return state.but(doors_open=others)
    return state.but(doors_open={call.freezer or "": at, **state.doors_open})


def _door_default(desk: Desk) -> Fields:
    """Close the door that is open longest, or open that of the only freezer, or of the one read last."""
    doors = desk.state.doors_open
    if "freezer" in desk.given:
        return {"open": all(desk.given["freezer"] != one for one in doors)}
    closing = bool(doors) if desk.given.get("open") is None else not desk.given["open"]
    name = min(doors, key=lambda one: doors[one]) if closing and doors else usual_freezer(desk)
    return {"open": not closing, **({"freezer": name} if name else {})}


def _door_choices(desk: Desk, asked: Door) -> list[Field]:
    names = list(desk.plan.freezer_names.values())
    which: list[Field] = [of_words("freezer", "which", names, asked.freezer)] if len(names) > 1 else []
    return [Options[bool]("open", "door", ((True, "open"), (False, "closed")), asked.open), *which]


def _door_words(call: Door) -> str:
    return f"{call.freezer or 'freezer'} {'opened' if call.open else 'closed'}"


def _door_short(call: Door) -> str:
    return f"{'open' if call.open else 'close'} {call.freezer or ''}".rstrip()


def _back_words(call: TubBack) -> str:
    return f"tub back, {call.flavour}" + (f", in {call.freezer}" if call.freezer else "")


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
    words=_back_words,
    short=lambda call: call.flavour,
    by="anyone",
)
TUB_FINISHED = Call(
    model=TubFinished,
    name="Tub finished, next",
    rule=_finished_rule,
    default=_finished_default,
    choices=lambda desk, asked: [of_flavours(desk, asked.flavour)],
    words=lambda call: f"tub finished, the next one opened, {call.flavour}",
    short=lambda call: call.flavour,
    by="anyone",
)
DOOR = Call(
    model=Door,
    name="Freezer door",
    rule=_door_rule,
    default=_door_default,
    choices=_door_choices,
    words=_door_words,
    short=_door_short,
    by="anyone",
)
