"""The parts of a cue, for whoever draws it: its verb, the place, each scoop with where it comes from and goes to."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from studiotimer.session.cue import Chip, Cue, Parts
from studiotimer.session.defaults import filled
from studiotimer.session.desk import Desk, Fields, NoDefaultError
from studiotimer.session.entries import WALL_SEEN

Chips = tuple[Chip, ...]

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
    "got_it": "Got it?",
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
    chips = tuple(_CHIPS[kind](fields, desk)) if kind in _CHIPS else ()
    own = _OWN.get(kind)
    parts = own(fields, chips) if own is not None else Parts()
    return replace(parts, verb=parts.verb or _VERBS.get(kind, kind.replace("_", " ").capitalize()), chips=chips)


def _lamp(fields: Fields, _: Chips) -> Parts:
    return Parts("Lamp on") if fields.get("on") else Parts("Lamp off", rest="no hero is on set")


def _swap(_: Fields, chips: Chips) -> Parts:
    return Parts(place=chips[0].to if chips else "", joined="for")


def _tub_back(fields: Fields, _: Chips) -> Parts:
    freezer = fields.get("freezer")
    return Parts("Pull", f"from {freezer}", rest="meanwhile") if freezer else Parts()


def _door(fields: Fields, _: Chips) -> Parts:
    return Parts("Open" if fields.get("open") else "Close", rest=_freezer(fields))


def _look(fields: Fields, _: Chips) -> Parts:
    return Parts("Dew", "there?") if fields.get("seen") in WALL_SEEN else Parts(place="gone?")


def _freezer(fields: Fields) -> str:
    return str(fields.get("freezer") or "the freezer")


_OWN: dict[str, Callable[[Fields, Chips], Parts]] = {
    "lock": lambda fields, _: Parts(f"Lock {fields.get('which')}"),
    "lamp": _lamp,
    "swap": _swap,
    "move": lambda fields, _: Parts(place=f"to {fields.get('to')}"),
    "tub_back": _tub_back,
    "door": _door,
    "reading": lambda fields, _: Parts("Read", rest=_freezer(fields)),
    "delivery": lambda *_: Parts("Read", rest="the delivery"),
    "top_up": lambda *_: Parts(rest="dry ice"),
    "look": _look,
    "frost_wiped": lambda *_: Parts(place="off"),
    "dew_wiped": lambda *_: Parts(place="off"),
    "shot": lambda fields, _: Parts(rest=str(fields.get("name", ""))),
    "got_it": lambda fields, _: Parts(rest=str(fields.get("shot", ""))),
}
"""What stands beside the verb of a kind of call, and its verb where that depends on more than the kind."""


def _pulled(fields: Fields, desk: Desk) -> Iterator[Chip]:
    yield Chip(None, str(fields.get("flavour")), "tub", str(fields.get("to") or desk.cold_store))


def _placed(fields: Fields, desk: Desk) -> Iterator[Chip]:
    spots = _listed(fields.get("spots"))
    for index, number in enumerate(_listed(fields.get("scoops"))):
        yield _scoop(number, desk, str(spots[index]) if index < len(spots) else "set")


def _swapped(fields: Fields, desk: Desk) -> Iterator[Chip]:
    leaving = desk.state.scoops.get(_number(fields.get("out")))
    yield _scoop(fields.get("in"), desk, (leaving.spot if leaving is not None else None) or "set")
    yield _scoop(fields.get("out"), desk, "out")


def _each(to: str) -> Callable[[Fields, Desk], Iterator[Chip]]:
    return lambda fields, desk: (_scoop(number, desk, to) for number in _listed(fields.get("scoops")))


def _moved(fields: Fields, desk: Desk) -> Iterator[Chip]:
    yield _scoop(fields.get("scoop"), desk, str(fields.get("to")))


def _judged(fields: Fields, desk: Desk) -> Iterator[Chip]:
    if fields.get("as") == "reject":
        yield _scoop(fields.get("scoop"), desk, "out")


def _of_tub(fields: Fields, _: Desk) -> Iterator[Chip]:
    yield Chip(None, str(fields.get("flavour")))


def _looked_at(fields: Fields, desk: Desk) -> Iterator[Chip]:
    yield _scoop(fields.get("scoop"), desk, "")


_CHIPS: dict[str, Callable[[Fields, Desk], Iterator[Chip]]] = {
    "pull": _pulled,
    "hero_in": _placed,
    "swap": _swapped,
    "frost_wiped": _each(""),
    "dew_wiped": _each(""),
    "out": _each("out"),
    "move": _moved,
    "judge": _judged,
    "tub_out": _of_tub,
    "tub_back": _of_tub,
    "tub_finished": _of_tub,
    "look": _looked_at,
}
"""The scoops of a kind of call, in the order in which they are named, each with where it goes to."""


def _scoop(number: object, desk: Desk, to: str) -> Chip:
    scoop = desk.state.scoops.get(_number(number))
    if scoop is None:
        return Chip(_number(number), "", "", to)
    return Chip(scoop.number, scoop.flavour, scoop.spot or "set" if scoop.on_set else scoop.where, to)


def _listed(value: object) -> Sequence[object]:
    return value if isinstance(value, list | tuple) else ()


def _number(value: object) -> int:
    return value if isinstance(value, int) else -1
