"""Calls about what was seen on a scoop: look."""

import math
from dataclasses import replace
from typing import Literal

from studiotimer.session.calls.candidates import assumed_pull, given_numbers, of_scoops, on_set
from studiotimer.session.calls.record import Call, Field, Options
from studiotimer.session.calls.scooping import assumed, with_scoop
from studiotimer.session.desk import Desk, Fields, NoDefaultError, is_pack
from studiotimer.session.entries import SEEN, STAGES_SEEN, WALL_SEEN, Entry, Seen
from studiotimer.session.fields import Number, Span
from studiotimer.session.scoops import FootLook
from studiotimer.session.state import State

SEEN_WORDS: dict[Seen, str] = {
    "sheen": "sheen",
    "edges": "edges gone",
    "first drip": "first drip",
    "slump": "slump",
    "foot": "foot",
    "frost": "frost",
    "dew": "dew beads",
    "dew runs": "dew runs",
}


class LookSeen(Entry):
    """A visible change seen on a scoop, or looked for and `not_yet` there."""

    kind: Literal["look"] = "look"
    scoop: Number
    seen: Seen
    not_yet: bool = False
    assumed_pull_s: Span | None = None


def _look_rule(state: State, call: LookSeen, at: float) -> State:
    scoop = state.scoops.get(call.scoop) or assumed(state, call.scoop, at, call.assumed_pull_s)
    plate = state.stood(scoop)
    if call.seen == "foot" and scoop.on_set and plate is not None:
        scoop = replace(scoop, feet=(*scoop.feet, FootLook(at, scoop.since, call.not_yet, plate)))
    if call.not_yet:
        return with_scoop(state, replace(scoop, unseen=(*scoop.unseen, (at, call.seen))))
    return with_scoop(state, replace(scoop, seen=(*scoop.seen, (at, call.seen))))


def _look_default(desk: Desk) -> Fields:
    state = desk.state
    number = next(iter(given_numbers(desk, "scoop")), desk.selected)
    if number is None:
        watched = state.heroes() or state.stand_ins()
        if not watched:
            raise NoDefaultError("no scoop is on set; name the one the change was seen on")
        number = watched[0].number
    known = state.scoops.get(number)
    stages = _stages(desk, number)
    since = max((at for at, _ in known.wiped), default=-math.inf) if known else -math.inf
    done = [stages.index(seen) for at, seen in known.seen if seen in stages and at >= since] if known else []
    following = stages[min(max(done, default=-1) + 1, len(stages) - 1)]
    return {"scoop": number, "seen": following, **assumed_pull(desk, number)}


def _stages(desk: Desk, number: int) -> tuple[Seen, ...]:
    """Return what may be seen on a scoop one after another, or on a closed pack."""
    known = desk.state.scoops.get(number)
    return WALL_SEEN if known is not None and is_pack(desk.plan, known.flavour) else STAGES_SEEN


def _look_choices(desk: Desk, asked: LookSeen) -> list[Field]:
    stages = _stages(desk, asked.scoop)
    offered = WALL_SEEN if stages is WALL_SEEN else tuple(one for one in SEEN if one not in WALL_SEEN)
    offered = offered if asked.seen in offered else (*offered, asked.seen)
    return [
        Options("seen", "change", tuple((seen, SEEN_WORDS[seen]) for seen in offered), asked.seen),
        Options("not_yet", "is", ((False, "there"), (True, "not yet")), asked.not_yet),
        of_scoops("scoop", "scoop", desk, on_set(desk), asked.scoop),
    ]


LOOK = Call(
    model=LookSeen,
    name="Change",
    rule=_look_rule,
    default=_look_default,
    choices=_look_choices,
    words=lambda call: f"{call.scoop}: {SEEN_WORDS[call.seen]}{' not yet' * call.not_yet}",
    short=lambda call: f"{call.scoop} {call.seen}{' not yet' * call.not_yet}",
    by="anyone",
)
