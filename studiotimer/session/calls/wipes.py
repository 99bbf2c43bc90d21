"""Calls about a closed pack's wall: frost wiped, dew wiped."""

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import Annotated, Literal

from pydantic import AfterValidator

from studiotimer.session.calls.candidates import assumed_pull, given_numbers, on_set, some_scoops
from studiotimer.session.calls.record import Call, Field
from studiotimer.session.calls.scooping import present, with_scoop
from studiotimer.session.desk import Desk, Fields, NoDefaultError, is_pack
from studiotimer.session.entries import Entry, Wiped
from studiotimer.session.fields import Scoops, Span, once
from studiotimer.session.scoops import numbers
from studiotimer.session.state import State


class FrostWiped(Entry):
    """Frost wiped off closed packs: their walls are dry, and frost begins anew."""

    kind: Literal["frost_wiped"] = "frost_wiped"
    scoops: Annotated[Scoops, AfterValidator(once)]
    assumed_pull_s: Span | None = None


class DewWiped(Entry):
    """Dew wiped off closed packs: their walls are dry, and dew begins anew."""

    kind: Literal["dew_wiped"] = "dew_wiped"
    scoops: Annotated[Scoops, AfterValidator(once)]
    assumed_pull_s: Span | None = None


Wipe = FrostWiped | DewWiped


def _rule(what: Wiped) -> Callable[[State, Wipe, float], State]:
    def wiped(state: State, call: Wipe, at: float) -> State:
        for number in call.scoops:
            scoop = present(state, number, at, call.assumed_pull_s)
            state = with_scoop(state, replace(scoop, wiped=(*scoop.wiped, (at, what))))
        return state

    return wiped


def _default(what: Wiped, desk: Desk) -> Fields:
    named = given_numbers(desk, "scoops")
    if not named and desk.selected is not None:
        named = [desk.selected]
    for number in named:
        scoop = desk.state.scoops.get(number)
        if scoop is not None and not is_pack(desk.plan, scoop.flavour):
            raise NoDefaultError(f"{number} is no closed pack: {what} is wiped off a pack; choose one")
    named = named or _packs(desk)
    if not named:
        raise NoDefaultError(f"no closed pack is on set; name the pack that {what} was wiped off")
    return {"scoops": named, **assumed_pull(desk, *named)}


def _packs(desk: Desk) -> list[int]:
    """Return the closed packs on set, heroes first."""
    return [number for number in on_set(desk) if is_pack(desk.plan, desk.state.scoops[number].flavour)]


def _choices(desk: Desk, asked: Wipe) -> list[Field]:
    return [some_scoops("scoops", "packs", _packs(desk), asked.scoops)]


def _words(what: Wiped, call: Wipe) -> str:
    return f"{what} wiped off {numbers(call.scoops)}"


FROST_WIPED = Call(
    model=FrostWiped,
    name="Frost wiped",
    rule=_rule("frost"),
    default=partial(_default, "frost"),
    choices=_choices,
    words=partial(_words, "frost"),
    short=lambda call: f"{numbers(call.scoops)}",
    by="anyone",
)
DEW_WIPED = Call(
    model=DewWiped,
    name="Dew wiped",
    rule=_rule("dew"),
    default=partial(_default, "dew"),
    choices=_choices,
    words=partial(_words, "dew"),
    short=lambda call: f"{numbers(call.scoops)}",
    by="anyone",
)
