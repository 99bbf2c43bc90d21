"""Calls about what stands on set: stand-in, hero in, swap, out."""

import math
from collections.abc import Sequence
from typing import Annotated, Literal, Self

from pydantic import AfterValidator
from pydantic import Field as InFile
from pydantic import model_validator as check_model

from studiotimer.session.calls.candidates import (
    assumed_pull,
    given_numbers,
    in_line,
    of_scoops,
    of_words,
    on_set,
    some_scoops,
)
from studiotimer.session.calls.record import Call, Field
from studiotimer.session.calls.scooping import placed, present, taken_out, with_scoop
from studiotimer.session.desk import Desk, Fields, NoDefaultError, best_of, free_spots, next_flavour
from studiotimer.session.entries import WHYS, Entry, Why
from studiotimer.session.fields import Name, Names, Number, Scoops, Span, once
from studiotimer.session.scoops import Scoop, numbers
from studiotimer.session.state import ContradictionError, State

STAND_IN_PROP = "stand-in prop"
NO_TAKE: tuple[Why, ...] = ("dropped", "restyle")
"""Why heroes went when nothing was shot of them."""


class StandIn(Entry):
    """A scoop or prop that the light is built on, put on set or taken off."""

    kind: Literal["stand_in"] = "stand_in"
    on: bool
    scoop: Number | None = None
    prop: Name | None = None
    assumed_pull_s: Span | None = None

    @check_model(mode="after")
    def _one(self) -> Self:
        if (self.scoop is None) == (self.prop is None):
            raise ValueError("a stand-in is either a scoop or a prop")
        return self


def _stand_in_rule(state: State, call: StandIn, at: float) -> State:
    if call.scoop is not None:
        scoop = present(state, call.scoop, at, call.assumed_pull_s)
        if call.on and scoop.hero_on_set:
            raise ContradictionError(f"scoop {call.scoop} stands on set as hero; take it out first")
        if not call.on:
            return with_scoop(state, taken_out(scoop, at, "gone", hero=False))
        return with_scoop(state, scoop if scoop.on_set else scoop.moved("set", at))
    assert call.prop is not None
    others = tuple(prop for prop in state.props if prop != call.prop)
    return state.but(props=(*others, call.prop) if call.on else others)


def _stand_in_default(desk: Desk) -> Fields:
    if desk.given.get("prop") is not None:
        return {"on": desk.given["prop"] not in desk.state.props}
    chosen = next(iter(given_numbers(desk, "scoop")), desk.selected)
    if chosen is not None:
        scoop = desk.state.scoops.get(chosen)
        return {"scoop": chosen, "on": scoop is None or not scoop.on_set or scoop.hero, **assumed_pull(desk, chosen)}
    standing = desk.state.stand_ins()
    if standing:
        return {"scoop": standing[0].number, "on": False}
    if desk.state.props:
        return {"prop": desk.state.props[-1], "on": False}
    if not desk.state.line():
        return {"prop": STAND_IN_PROP, "on": True}
    return {"scoop": _worst(desk), "on": True}


def _worst(desk: Desk) -> int:
    line = desk.state.line()
    ranked = [number for number in desk.best if any(scoop.number == number for scoop in line)]
    return ranked[-1] if ranked else line[-1].number


def _stand_in_choices(desk: Desk, asked: StandIn) -> list[Field]:
    return [of_scoops("scoop", "scoop", desk, [*on_set(desk), *in_line(desk)], asked.scoop)]


def _stand_in_short(call: StandIn) -> str:
    return f"{call.scoop or call.prop} {'in' if call.on else 'out'}"


STAND_IN = Call(
    model=StandIn,
    name="Stand-in",
    rule=_stand_in_rule,
    default=_stand_in_default,
    choices=_stand_in_choices,
    words=lambda call: f"stand-in {_stand_in_short(call)}",
    short=_stand_in_short,
    by="anyone",
)


class HeroIn(Entry):
    """Scoops placed on set for the camera, each with its flavour and spot in the frame."""

    kind: Literal["hero_in"] = "hero_in"
    scoops: Scoops
    flavours: Names = ()
    spots: Names = ()
    shot: Name | None = None
    assumed_pull_s: Span | None = None

    @check_model(mode="after")
    def _paired(self) -> Self:
        if len(set(self.scoops)) != len(self.scoops):
            raise ValueError("a scoop can be in one spot only")
        if any(len(given) not in (0, len(self.scoops)) for given in (self.flavours, self.spots)):
            raise ValueError("give as many flavours and spots as scoops, or none")
        return self


def _hero_in_rule(state: State, call: HeroIn, at: float) -> State:
    shot = call.shot or state.shot_name
    spots: Sequence[str | None] = call.spots or (None,) * len(call.scoops)
    flavours: Sequence[str | None] = call.flavours or (None,) * len(call.scoops)
    first = not state.heroes()
    for number, flavour, spot in zip(call.scoops, flavours, spots, strict=True):
        state = placed(state, number, at, call.assumed_pull_s, flavour, spot, shot)
    state = _without_stand_ins(state, at, call.scoops)
    if shot is not None and first:
        takes = {**state.takes, shot: state.takes.get(shot, 0) + 1}
        state = state.but(takes=takes, frames_before_take=state.frames)
    return state


def _without_stand_ins(state: State, at: float, heroes: Sequence[int]) -> State:
    """Return the state with whatever stood in gone from the set: the heroes have its place."""
    for scoop in state.stand_ins():
        if scoop.number not in heroes:
            state = with_scoop(state, taken_out(scoop, at, "gone", hero=False))
    return state.but(props=()) if state.props else state


def _hero_in_default(desk: Desk) -> Fields:
    state = desk.state
    shot: Fields = {"shot": state.shot.name} if state.shot else {}
    named = given_numbers(desk, "scoops")
    given = desk.given.get("spots")
    wanted = given if isinstance(given, list | tuple | str) else ()
    free = [pair for pair in free_spots(state) if not wanted or pair[1] in wanted]
    if not named and desk.selected is not None and not _hero(state, desk.selected):
        named = [desk.selected]
    if named:
        pairs = [_spot_for(state, number, free) for number in named]
        flavours, spots = [flavour for flavour, _ in pairs], [spot for _, spot in pairs]
        return {"scoops": named, "flavours": flavours, "spots": spots, **shot, **assumed_pull(desk, *named)}
    if not free and state.heroes():
        raise NoDefaultError("every spot has its hero; swap one, or name the scoop that comes in")
    free = free or [(next_flavour(desk), next_flavour(desk))]
    chosen: list[int] = []
    filled = []
    for flavour, spot in free:
        number = best_of(desk, flavour, chosen)
        if number is not None:
            chosen.append(number)
            filled.append((flavour, spot))
    if not chosen:
        chosen, filled = [state.next_number() + place for place in range(len(free))], free
    flavours, spots = [flavour for flavour, _ in filled], [spot for _, spot in filled]
    return {"scoops": chosen, "flavours": flavours, "spots": spots, **shot, **assumed_pull(desk, *chosen)}


def _hero(state: State, number: int) -> bool:
    known = state.scoops.get(number)
    return known is not None and known.hero_on_set


def _spot_for(state: State, number: int, free: list[tuple[str, str]]) -> tuple[str, str]:
    """Return (flavour, spot) for a scoop named to come in, and take that spot from the free ones."""
    known = state.scoops.get(number)
    wanted = known.flavour if known else None
    match = next((pair for pair in free if wanted in (None, pair[0])), None)
    if match is not None:
        free.remove(match)
        return match
    flavour = wanted or (state.shot.flavours[0] if state.shot and state.shot.flavours else "unknown")
    return flavour, f"{flavour} {number}"


def _hero_in_choices(desk: Desk, asked: HeroIn) -> list[Field]:
    known = [number for number in asked.scoops if number in desk.state.scoops]
    return [some_scoops("scoops", "scoops", in_line(desk), known)]


HERO_IN = Call(
    model=HeroIn,
    name="Hero in",
    rule=_hero_in_rule,
    default=_hero_in_default,
    choices=_hero_in_choices,
    words=lambda call: f"hero in {numbers(call.scoops)}",
    short=lambda call: numbers(call.scoops),
    by="anyone",
)


class Swap(Entry):
    """One scoop taken off its spot and another put there."""

    kind: Literal["swap"] = "swap"
    out: Number
    into: Number = InFile(alias="in")
    spot: Name | None = None
    flavour: Name | None = None
    assumed_pull_s: Span | None = None

    @check_model(mode="after")
    def _two(self) -> Self:
        if self.out == self.into:
            raise ValueError("a swap needs two different scoops")
        return self


def _carried(state: State, leaving: Sequence[int]) -> list[int]:
    """Return the heroes of a stacked shot that stand on one of `leaving` and would stay."""
    if state.shot is None or not state.shot.stacked:
        return []
    height = {spot: number for number, spot in enumerate(state.shot.spots)}
    standing = [hero for hero in state.heroes() if hero.spot in height]
    lowest = min((height[hero.spot] for hero in standing if hero.spot and hero.number in leaving), default=math.inf)
    return [hero.number for hero in standing if hero.spot and height[hero.spot] > lowest and hero.number not in leaving]


def _not_from_under(state: State, leaving: Sequence[int]) -> None:
    """Raise ContradictionError where one of `leaving` carries a hero that would stay."""
    if top := _carried(state, leaving):
        raise ContradictionError(
            f"{numbers(top)} stand{'s' * (len(top) == 1)} on {numbers(leaving)}; take all out together, or from the top"
        )


def _swap_rule(state: State, call: Swap, at: float) -> State:
    _not_from_under(state, [call.out])
    leaving = present(state, call.out, at, call.assumed_pull_s, call.flavour)
    spot = call.spot or leaving.spot
    state = with_scoop(state, taken_out(leaving, at, "gone"))
    shot = leaving.shot or state.shot_name
    flavour = call.flavour or (None if call.into in state.scoops else leaving.flavour)
    return placed(state, call.into, at, call.assumed_pull_s, flavour, spot, shot)


def _swap_default(desk: Desk) -> Fields:
    state = desk.state
    leaving = next(iter(given_numbers(desk, "out")), None)
    if leaving is None:
        heroes = [hero.number for hero in state.heroes()]
        if not heroes:
            raise NoDefaultError("no hero is on set; bring one in, or name the scoops that were swapped")
        chosen = desk.selected if desk.selected in heroes else desk.ending
        leaving = chosen if chosen in heroes else heroes[0]
    going = state.scoops.get(leaving)
    coming = next(iter(given_numbers(desk, "in")), None)
    if coming is None:
        coming = _coming(desk, going)
    fields: Fields = {"out": leaving, "in": coming}
    if going and coming not in state.scoops:
        fields["flavour"] = going.flavour
    if going and going.spot:
        fields["spot"] = going.spot
    return fields | assumed_pull(desk, leaving, coming)


def _coming(desk: Desk, going: Scoop | None) -> int:
    state = desk.state
    if desk.selected is not None and (chosen := state.scoops.get(desk.selected)) and chosen.waiting:
        return chosen.number
    best = best_of(desk, going.flavour if going else None)
    return best if best is not None else state.next_number()


def _swap_choices(desk: Desk, asked: Swap) -> list[Field]:
    heroes = [hero.number for hero in desk.state.heroes()]
    return [
        of_scoops("out", "out", desk, heroes, asked.out),
        of_scoops("in", "in", desk, in_line(desk), asked.into),
    ]


SWAP = Call(
    model=Swap,
    name="Swap",
    rule=_swap_rule,
    default=_swap_default,
    choices=_swap_choices,
    words=lambda call: f"swap, {call.into} replaces {call.out}",
    short=lambda call: f"{call.into} in for {call.out}",
    by="anyone",
)


class Out(Entry):
    """Scoops taken away, and why."""

    kind: Literal["out"] = "out"
    scoops: Annotated[Scoops, AfterValidator(once)]
    why: Why
    assumed_pull_s: Span | None = None


def _out_rule(state: State, call: Out, at: float) -> State:
    if call.why != "dropped":
        _not_from_under(state, call.scoops)
    stood = bool(state.heroes())
    for number in call.scoops:
        state = with_scoop(state, taken_out(present(state, number, at, call.assumed_pull_s), at, call.why))
    none_of_it = stood and not state.heroes() and call.why in NO_TAKE
    return _without_take(state) if none_of_it else state


def _without_take(state: State) -> State:
    """Return the state without the take whose heroes are all gone before a frame of it."""
    shot = state.shot_name
    if shot is None or not state.takes.get(shot) or state.frames != state.frames_before_take:
        return state
    return state.but(takes={**state.takes, shot: state.takes[shot] - 1})


def _out_default(desk: Desk) -> Fields:
    leaving = given_numbers(desk, "scoops")
    why: Why = "gone"
    if not leaving and desk.selected is not None:
        leaving = [desk.selected, *_carried(desk.state, [desk.selected])]
    elif not leaving:
        heroes = desk.state.heroes()
        leaving = [scoop.number for scoop in heroes or desk.state.stand_ins()]
        why = "got it" if heroes and desk.state.shot_got else "gone"
        if why == "gone" and not (desk.state.shot and desk.state.shot.stacked):
            leaving = leaving[:1]
    if not leaving:
        raise NoDefaultError("nothing is on set; name the scoop that is out")
    return {"scoops": leaving, "why": why, **assumed_pull(desk, *leaving)}


def _out_asks(desk: Desk) -> str | None:
    heroes = desk.state.heroes()
    one_unit = desk.state.shot_got or (desk.state.shot is not None and desk.state.shot.stacked)
    open_question = not one_unit and desk.selected is None and not given_numbers(desk, "scoops")
    return (
        f"heroes {numbers([hero.number for hero in heroes])} are on set; say which is out"
        if (open_question and len(heroes) > 1)
        else None
    )


def _out_choices(desk: Desk, asked: Out) -> list[Field]:
    here = [*on_set(desk), *in_line(desk)]
    why, which = of_words("why", "why", WHYS, asked.why), some_scoops("scoops", "scoops", here, asked.scoops)
    return [why, which] if _out_asks(desk) is None else [which, why]


OUT = Call(
    model=Out,
    name="Out",
    rule=_out_rule,
    default=_out_default,
    choices=_out_choices,
    words=lambda call: f"out {numbers(call.scoops)}, {call.why}",
    short=lambda call: numbers(call.scoops),
    by="anyone",
    asks=_out_asks,
)
