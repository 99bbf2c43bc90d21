"""The parts of a cue, for whoever draws it: its verb, the place, each scoop with where it comes from and goes to."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from studiotimer.session.cue import Chip, Cue, Parts
from studiotimer.session.defaults import filled
from studiotimer.session.desk import Desk, Fields, NoDefaultError
from studiotimer.session.entries import WALL_SEEN

_VERBS = {
    "hero_in": "Hero in",
    "swap": "Swap",
    "out": "Out",
    "pull": "Pull",
    "move": "Move",
    "judge": "Judge",
    "top_up": "Top up",
    "tub_out": "Tub out",
    "tub_back": "Tub back",
    "tub_finished": "Next tub",
    "shot": "Begin",
    "resume": "Resume",
    "look": "Edges",
    "frost_wiped": "Wipe frost",
    "dew_wiped": "Wipe dew",
}


def with_parts(cue: Cue, desk: Desk) -> Cue:
    """Return a cue with its parts, as far as the call it makes is known."""
    if cue.kind is None:
        verb, _, rest = cue.words.partition(": ")
        return replace(cue, parts=Parts(verb, rest=rest))
    asked = Desk(desk.ledger, desk.plan, desk.at, desk.best, desk.ending, None, cue.given)
    try:
        return replace(cue, parts=parts_of(cue.kind, filled(cue.kind, asked), desk))
    except NoDefaultError:
        return replace(cue, parts=Parts(cue.words))


def parts_of(kind: str, fields: Fields, desk: Desk) -> Parts:
    """Return the parts of a call of `kind` with these fields."""
    chips = tuple(_chips(kind, fields, desk))
    if kind == "lock":
        return Parts(f"Lock {fields.get('which')}")
    if kind == "lamp":
        on = bool(fields.get("on"))
        return Parts("Lamp on" if on else "Lamp off", rest="" if on else "no hero is on set")
    verb = _VERBS.get(kind, kind.replace("_", " ").capitalize())
    place, joined, rest = "", "", ""
    if kind == "swap":
        place, joined = (chips[0].to if chips else ""), "for"
    elif kind == "move":
        place = f"to {fields.get('to')}"
    elif kind == "tub_back" and fields.get("freezer"):
        verb, place, rest = "Pull", f"from {fields['freezer']}", "meanwhile"
    elif kind == "door":
        verb, rest = "Open" if fields.get("open") else "Close", str(fields.get("freezer") or "the freezer")
    elif kind == "reading":
        verb, rest = "Read", str(fields.get("freezer") or "the freezer")
    elif kind == "delivery":
        verb, rest = "Read", "the delivery"
    elif kind == "top_up":
        rest = "dry ice"
    elif kind == "look" and fields.get("seen") in WALL_SEEN:
        verb, place = "Dew", "there?"
    elif kind == "look":
        place = "gone?"
    elif kind in ("frost_wiped", "dew_wiped"):
        place = "off"
    elif kind == "shot":
        rest = str(fields.get("name", ""))
    return Parts(verb, place, chips, joined, rest)


def _chips(kind: str, fields: Fields, desk: Desk) -> Iterator[Chip]:
    if kind == "pull":
        to = str(fields.get("to") or desk.cold_store)
        yield Chip(None, str(fields.get("flavour")), "tub", to)
    elif kind == "hero_in":
        spots = _listed(fields.get("spots"))
        for index, number in enumerate(_listed(fields.get("scoops"))):
            yield _scoop(number, desk, str(spots[index]) if index < len(spots) else "set")
    elif kind == "swap":
        leaving = desk.state.scoops.get(_number(fields.get("out")))
        yield _scoop(fields.get("in"), desk, (leaving.spot if leaving is not None else None) or "set")
        yield _scoop(fields.get("out"), desk, "out")
    elif kind in ("frost_wiped", "dew_wiped"):
        for number in _listed(fields.get("scoops")):
            yield _scoop(number, desk, "")
    elif kind == "out":
        for number in _listed(fields.get("scoops")):
            yield _scoop(number, desk, "out")
    elif kind == "move":
        yield _scoop(fields.get("scoop"), desk, str(fields.get("to")))
    elif kind == "judge" and fields.get("as") == "reject":
        yield _scoop(fields.get("scoop"), desk, "out")
    elif kind in ("tub_out", "tub_back", "tub_finished"):
        yield Chip(None, str(fields.get("flavour")))
    elif kind == "look":
        yield _scoop(fields.get("scoop"), desk, "")


def _scoop(number: object, desk: Desk, to: str) -> Chip:
    scoop = desk.state.scoops.get(_number(number))
    if scoop is None:
        return Chip(_number(number), "", "", to)
    return Chip(scoop.number, scoop.flavour, scoop.spot or "set" if scoop.on_set else scoop.where, to)


def _listed(value: object) -> Sequence[object]:
    return value if isinstance(value, list | tuple) else ()


def _number(value: object) -> int:
    return value if isinstance(value, int) else -1
