"""What a call means when only its kind is given: sensible defaults from the state, the plan and the forecast."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from studiotimer.session.desk import (
    Desk,
    NoDefaultError,
    best_of,
    free_spots,
    last_call,
    last_reading,
    last_take_back,
    next_flavour,
    next_shot,
    shot_fields,
    spot_names,
)
from studiotimer.session.entries import LOCKS, MEASURED, SEEN, Measured
from studiotimer.session.scoops import Scoop
from studiotimer.session.state import State

__all__ = [
    "PHRASES", "STAND_IN_PROP", "Desk", "NoDefaultError", "best_of", "filled", "free_spots", "last_call",
    "last_reading", "last_take_back", "next_flavour", "next_shot", "shot_fields", "spot_names",
]  # fmt: skip

PHRASES = (
    "light changed",
    "background moved",
    "fog in frame",
    "garnish slipped",
    "surface iced",
    "good texture",
)
STAND_IN_PROP = "stand-in prop"


def filled(kind: str, desk: Desk) -> dict[str, Any]:
    """Return the fields of a call of `kind`: those given, and defaults for the others.

    Raises NoDefaultError with what to give when there is no sensible default.
    """
    rule = _RULES.get(kind)
    given = {key: value for key, value in desk.given.items() if value is not None}
    return {**rule(desk), **given} if rule else given


def _cold(desk: Desk) -> str:
    """Return where scoops wait cold on this shoot."""
    return "box" if desk.plan.dry_ice.holding_box else "freezer"


def _assumed(desk: Desk, *numbers: int | None) -> dict[str, Any]:
    unknown = any(number is not None and number not in desk.state.scoops for number in numbers)
    return {"assumed_pull_s": desk.plan.pull_to_set_s} if unknown else {}


def _given_numbers(desk: Desk, key: str) -> list[int]:
    value = desk.given.get(key)
    values = value if isinstance(value, list | tuple) else [value]
    return [int(one) for one in values if isinstance(one, int) or (isinstance(one, str) and one.isdecimal())]


def _shot(desk: Desk) -> dict[str, Any]:
    named = desk.given.get("name")
    if named is None:
        following = next_shot(desk)
        if following.name in desk.state.got:
            raise NoDefaultError("every shot of the plan is got; choose the one to make again by its name")
        return shot_fields(following)
    try:
        return shot_fields(desk.plan.shot(named))
    except KeyError:
        current = desk.state.shot
        base = shot_fields(desk.plan.shots[0])
        if current is not None:
            base = {name: getattr(current, name) for name in base}
        return base


def _lock(desk: Desk) -> dict[str, Any]:
    locks = desk.state.locks
    given = desk.given.get("which")
    wanted = [lock for lock in LOCKS if (lock == given if given is not None else not locks[lock])]
    which = wanted[0] if wanted else LOCKS[0]
    return {"which": which, "on": not locks[which]}


def _pull(desk: Desk) -> dict[str, Any]:
    to = "box" if desk.plan.dry_ice.holding_box else "tray"
    return {"scoop": desk.state.next_number(), "flavour": next_flavour(desk), "to": to}


def _judge(desk: Desk) -> dict[str, Any]:
    chosen = next(iter(_given_numbers(desk, "scoop")), desk.selected)
    if chosen is None:
        last = desk.state.last_pulled()
        if last is None:
            raise NoDefaultError("no scoop has been pulled; name the one that was judged")
        chosen = last.number
    return {"scoop": chosen, "as": "spare"}


def _move(desk: Desk) -> dict[str, Any]:
    number = next(iter(_given_numbers(desk, "scoop")), desk.selected)
    if number is None:
        waiting = desk.state.line()
        if not waiting:
            raise NoDefaultError("no scoop is waiting; name the one that was moved")
        number = max(waiting, key=lambda scoop: (scoop.pulled, scoop.number)).number
    known = desk.state.scoops.get(number)
    to = "tray" if known is not None and known.place in ("box", "freezer") else _cold(desk)
    return {"scoop": number, "to": to, **_assumed(desk, number)}


def _stand_in(desk: Desk) -> dict[str, Any]:
    if desk.given.get("prop") is not None:
        return {"on": desk.given["prop"] not in desk.state.props}
    chosen = next(iter(_given_numbers(desk, "scoop")), desk.selected)
    if chosen is not None:
        scoop = desk.state.scoops.get(chosen)
        return {"scoop": chosen, "on": scoop is None or not scoop.on_set or scoop.hero, **_assumed(desk, chosen)}
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


def _hero_in(desk: Desk) -> dict[str, Any]:
    state = desk.state
    shot = {"shot": state.shot.name} if state.shot else {}
    numbers = _given_numbers(desk, "scoops")
    wanted = desk.given.get("spots") or ()
    free = [pair for pair in free_spots(state) if not wanted or pair[1] in wanted]
    if not numbers and desk.selected is not None and not _hero(state, desk.selected):
        numbers = [desk.selected]
    if numbers:
        pairs = [_spot_for(state, number, free) for number in numbers]
        flavours, spots = [flavour for flavour, _ in pairs], [spot for _, spot in pairs]
        return {"scoops": numbers, "flavours": flavours, "spots": spots, **shot, **_assumed(desk, *numbers)}
    if not free and state.heroes():
        raise NoDefaultError("every spot has its hero; swap one, or name the scoop that comes in")
    free = free or [(next_flavour(desk), next_flavour(desk))]
    chosen: list[int] = []
    fresh = state.next_number()
    for flavour, _ in free:
        number = best_of(desk, flavour, chosen)
        if number is None:
            number, fresh = fresh, fresh + 1
        chosen.append(number)
    return {
        "scoops": chosen,
        "flavours": [flavour for flavour, _ in free],
        "spots": [spot for _, spot in free],
        **shot,
        **_assumed(desk, *chosen),
    }


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


def _swap(desk: Desk) -> dict[str, Any]:
    state = desk.state
    leaving = next(iter(_given_numbers(desk, "out")), None)
    if leaving is None:
        heroes = state.heroes()
        if not heroes:
            raise NoDefaultError("no hero is on set; bring one in, or name the scoops that were swapped")
        on_set = [hero.number for hero in heroes]
        chosen = desk.selected if desk.selected in on_set else desk.ending
        leaving = chosen if chosen in on_set else on_set[0]
    going = state.scoops.get(leaving)
    coming = next(iter(_given_numbers(desk, "in")), None)
    if coming is None:
        coming = _coming(desk, going)
    flavour = going.flavour if going and coming not in state.scoops else None
    return {
        "out": leaving,
        "in": coming,
        **({"flavour": flavour} if flavour else {}),
        **({"spot": going.spot} if going and going.spot else {}),
        **_assumed(desk, leaving, coming),
    }


def _coming(desk: Desk, going: Scoop | None) -> int:
    state = desk.state
    if desk.selected is not None and (chosen := state.scoops.get(desk.selected)) and chosen.waiting:
        return chosen.number
    best = best_of(desk, going.flavour if going else None)
    return best if best is not None else state.next_number()


def _out(desk: Desk) -> dict[str, Any]:
    numbers = _given_numbers(desk, "scoops")
    why = "gone"
    if not numbers:
        if desk.selected is not None:
            numbers = [desk.selected]
        else:
            heroes = desk.state.heroes()
            numbers = [scoop.number for scoop in heroes or desk.state.stand_ins()]
            shot = desk.state.shot
            why = "got it" if heroes and shot and shot.name in desk.state.got else "gone"
    if not numbers:
        raise NoDefaultError("nothing is on set; name the scoop that is out")
    return {"scoops": numbers, "why": why, **_assumed(desk, *numbers)}


def _look(desk: Desk) -> dict[str, Any]:
    numbers = _given_numbers(desk, "scoop")
    state = desk.state
    if numbers:
        number = numbers[0]
    elif desk.selected is not None:
        number = desk.selected
    else:
        watched = state.heroes() or state.stand_ins()
        if not watched:
            raise NoDefaultError("no scoop is on set; name the one the change was seen on")
        number = watched[0].number
    known = state.scoops.get(number)
    done = [SEEN.index(seen) for _, seen in known.seen] if known else []
    following = SEEN[min(max(done, default=-1) + 1, len(SEEN) - 1)]
    return {"scoop": number, "seen": following, **_assumed(desk, number)}


def _got_it(desk: Desk) -> dict[str, Any]:
    if desk.state.shot is None:
        raise NoDefaultError("no shot has begun; name the shot")
    return {"shot": desk.state.shot.name}


def _top_up(desk: Desk) -> dict[str, Any]:
    last = desk.state.last_top_up
    if last is not None:
        return {"mass_kg": last.mass_kg, "form": last.form, "where": last.where}
    return {"mass_kg": 0.5, "form": desk.plan.dry_ice.form, "where": "set"}


def _cleared(desk: Desk) -> dict[str, Any]:
    last = desk.state.last_top_up
    return {"where": last.where if last is not None else "set"}


def _lamp(desk: Desk) -> dict[str, Any]:
    return {"on": not desk.state.lamp_on}


def _tub_out(desk: Desk) -> dict[str, Any]:
    shot = desk.state.shot
    wanted = [next_flavour(desk), *(shot.flavours if shot else [flavour.name for flavour in desk.plan.flavours])]
    return {"flavour": next((name for name in wanted if name not in desk.state.tubs_out), wanted[0])}


def _tub_back(desk: Desk) -> dict[str, Any]:
    longest_out = min(desk.state.tubs_out.items(), key=lambda item: item[1], default=None)
    return {"flavour": longest_out[0] if longest_out else next_flavour(desk)}


def _reading(desk: Desk) -> dict[str, Any]:
    given = desk.given.get("what")
    what = given if given in MEASURED else None
    if what is None and given is not None:
        return {}
    return {"what": what or _last_measured(desk), "value": last_reading(desk, what or _last_measured(desk))}


def _last_measured(desk: Desk) -> Measured:
    readings = desk.state.readings
    return max(readings, key=lambda what: readings[what][-1].at, default="air_c")


def _frame(desk: Desk) -> dict[str, Any]:
    name = f"frame {desk.state.frames + 1}"
    return {"name": name, **({"shot": desk.state.shot.name} if desk.state.shot else {})}


def _note(desk: Desk) -> dict[str, Any]:
    if "text" not in desk.given:
        raise NoDefaultError("a note needs its words")
    return {}


def _amend(desk: Desk) -> dict[str, Any]:
    last = last_call(desk)
    if "entry" not in desk.given and last is None:
        raise NoDefaultError("there is no call to amend yet")
    if "change" not in desk.given:
        raise NoDefaultError("amend needs what to change: its time, scoop or place")
    return {"entry": last.n} if last else {}


def _take_back(desk: Desk) -> dict[str, Any]:
    last = last_call(desk, amends=True)
    if last is None and "entry" not in desk.given:
        raise NoDefaultError("there is no call to take back")
    return {"entry": last.n} if last else {}


_RULES: dict[str, Callable[[Desk], dict[str, Any]]] = {
    "shot": _shot, "lock": _lock, "pull": _pull, "judge": _judge, "move": _move, "stand_in": _stand_in,
    "hero_in": _hero_in, "swap": _swap, "out": _out, "look": _look, "got_it": _got_it, "top_up": _top_up,
    "ice_cleared": _cleared, "lamp": _lamp, "tub_out": _tub_out, "tub_back": _tub_back, "reading": _reading,
    "frame": _frame, "note": _note, "amend": _amend, "take_back": _take_back,
}  # fmt: skip
