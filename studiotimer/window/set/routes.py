"""Which scoop a cue moves, from where to where: words for whoever carries it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from studiotimer.session.cues import Cue
from studiotimer.session.defaults import filled
from studiotimer.session.desk import Desk, NoDefaultError


def routes(cue: Cue, desk: Desk) -> list[str]:
    """Return a line for each scoop that a cue moves, "5 pistachio, box to left"; none where it moves none."""
    if cue.kind is None:
        return []
    asked = Desk(desk.ledger, desk.plan, desk.at, desk.best, desk.ending, None, cue.given)
    try:
        fields = filled(cue.kind, asked)
    except NoDefaultError:
        return []
    return list(_routes(cue.kind, fields, desk))


def _routes(kind: str, fields: dict[str, object], desk: Desk) -> Iterator[str]:
    if kind == "pull":
        yield f"{fields.get('flavour')}, tub to {fields.get('to') or desk.cold_store}"
    elif kind == "hero_in":
        spots = _listed(fields.get("spots"))
        for index, number in enumerate(_listed(fields.get("scoops"))):
            yield _route(number, desk, str(spots[index]) if index < len(spots) else "set")
    elif kind == "swap":
        leaving = desk.state.scoops.get(_number(fields.get("out")))
        yield _route(fields.get("in"), desk, (leaving.spot if leaving is not None else None) or "set")
        yield _route(fields.get("out"), desk, "out")
    elif kind == "out":
        for number in _listed(fields.get("scoops")):
            yield _route(number, desk, "out")
    elif kind == "move":
        yield _route(fields.get("scoop"), desk, str(fields.get("to")))
    elif kind == "judge" and fields.get("as") == "reject":
        yield _route(fields.get("scoop"), desk, "out")


def _route(number: object, desk: Desk, to: str) -> str:
    scoop = desk.state.scoops.get(_number(number))
    if scoop is None:
        return f"{number}, to {to}"
    place = scoop.spot or "set" if scoop.on_set else scoop.place
    return f"{scoop.number} {scoop.flavour}, {place} to {to}"


def _listed(value: object) -> Sequence[object]:
    return value if isinstance(value, list | tuple) else ()


def _number(value: object) -> int:
    return value if isinstance(value, int) else -1
