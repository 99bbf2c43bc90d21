"""What can be chosen about a call before it is made: its fields, their options, and the words for them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from studiotimer import units
from studiotimer.session.defaults import PHRASES, Desk, filled, last_call, last_reading
from studiotimer.session.entries import (
    FORMS,
    JUDGEMENTS,
    LOCKS,
    LOOKS,
    MEASURED,
    READING_SPANS,
    SEEN,
    WHYS,
    AnyEntry,
    Measured,
    fields_of,
)
from studiotimer.session.mending import MendError, amended

MEASURE_NAMES: dict[Measured, str] = {
    "air_c": "set air", "humidity": "humidity", "box_c": "box", "freezer_c": "freezer", "room_c": "room",
    "lux": "light", "co2_ppm": "CO₂ monitor",
}  # fmt: skip
MEASURE_STEPS: dict[Measured, float] = {
    "air_c": 0.5, "humidity": 0.01, "box_c": 1.0, "freezer_c": 0.5, "room_c": 0.5, "lux": 100.0, "co2_ppm": 50.0,
}  # fmt: skip
MASS_STEPS_KG: dict[units.Style, float] = {"metric": 0.25, "US": 0.5 * units.KG_PER_LB}
AMEND_STEP_S = 5.0
MOST_TOGGLES = 8
HOLD_REASONS = ("waiting for light", "waiting for set", "waiting for client", "break")


@dataclass(frozen=True)
class Options:
    """A field chosen from a few values, each with its words."""

    field: str
    label: str
    values: tuple[tuple[Any, str], ...]
    value: Any
    many: bool = False


@dataclass(frozen=True)
class Stepper:
    """A field that is a number stepped up and down between limits."""

    field: str
    label: str
    value: float
    step: float
    low: float
    high: float
    words: Callable[[float], str]


@dataclass(frozen=True)
class Words:
    """A field that is written, with phrases ready to take."""

    field: str
    label: str
    phrases: tuple[str, ...]
    value: str = ""


Field = Options | Stepper | Words


def choices(kind: str, desk: Desk) -> list[Field]:
    """Return the fields to choose for a call of `kind`, each starting at its default; none if there are none."""
    rule = _RULES.get(kind)
    return rule(desk, filled(kind, desk) if kind not in ("note", "amend", "hold", "resume") else {}) if rule else []


def reading_words(what: Measured, value: float, named: bool = False) -> str:
    """Return a reading as a crew reads it, with what was measured when `named`."""
    plain = {"humidity": f"{value * 100:.0f} %", "lux": f"{value:.0f} lx", "co2_ppm": f"{value:.0f} ppm"}.get(what)
    words = plain or units.temperature(value, digits=1 if units.shown_in() == "metric" else 0)
    return f"{MEASURE_NAMES[what]} {words}" if named else words


def amend_fields(desk: Desk, number: int | None = None) -> list[Field]:
    """Return what can be amended about entry `number` (the last call, when None): time, scoop, place and the rest."""
    target = desk.ledger.entry(number) if number is not None else last_call(desk)
    if target is None or not target.mendable:
        return []
    told = _as_told(desk, target)
    values = fields_of(told)
    fields: list[Field] = [
        Stepper("ago_s", "when", _ago(desk, told), AMEND_STEP_S, 0.0, 86_400.0, _ago_words),
    ]
    for name, label in (("scoop", "scoop"), ("out", "out"), ("in", "in"), ("scoops", "scoop")):
        one = values.get(name)
        one = one[0] if isinstance(one, tuple) and len(one) == 1 else one
        if isinstance(one, int):
            fields.append(Stepper(name, label, one, 1, 1, 99_999, lambda now: f"{now:.0f}"))
    stepped = {field.field for field in fields}
    rule = _RULES.get(told.kind)
    offered = rule(desk, values) if rule else []
    fields += [field for field in offered if _amendable(field) and field.field not in stepped]
    return [replace(f, value=values[f.field]) if isinstance(f, Options) and f.field in values else f for f in fields]


def _amendable(field: Field) -> bool:
    """Whether a field can be changed after the call: words and groups of scoops are called anew."""
    return not isinstance(field, Words) and not (isinstance(field, Options) and field.many)


def amendment(desk: Desk, number: int | None, chosen: dict[str, Any]) -> dict[str, Any]:
    """Return the fields of the amend call that `chosen` (of `amend_fields`) asks for.

    Raises MendError when nothing would change.
    """
    target = desk.ledger.entry(number) if number is not None else last_call(desk)
    if target is None:
        raise MendError("there is no call to amend")
    told = _as_told(desk, target)
    values = fields_of(told)
    change: dict[str, Any] = {}
    for name, value in chosen.items():
        if name == "ago_s":
            if value != _ago(desk, told):
                change["tick"] = round(desk.at - value - (desk.ledger.seconds(told) - told.tick), 3)
            continue
        before = values.get(name)
        wanted = type(before)([int(value)]) if isinstance(before, tuple) and not isinstance(value, tuple) else value
        wanted = int(wanted) if isinstance(before, int) and isinstance(wanted, float) else wanted
        if wanted != before and wanted is not None:
            change[name] = list(wanted) if isinstance(wanted, tuple) else wanted
    if not change:
        raise MendError("nothing was changed")
    amended(target, change)
    return {"entry": target.n, "change": change}


def _as_told(desk: Desk, target: AnyEntry) -> AnyEntry:
    return next((one.entry for one in desk.ledger.told if one.entry.n == target.n), target)


def _ago(desk: Desk, told: AnyEntry) -> float:
    """Return how long ago an entry happened, to the step it is amended by."""
    return round(max(desk.at - desk.ledger.seconds(told), 0.0) / AMEND_STEP_S) * AMEND_STEP_S


def _ago_words(seconds: float) -> str:
    return "now" if seconds < 1 else f"{seconds:.0f} s ago" if seconds < 120 else f"{seconds / 60:.1f} min ago"


def _plain(values: Sequence[str]) -> tuple[tuple[str, str], ...]:
    return tuple((value, value) for value in values)


def _flavours(desk: Desk) -> list[str]:
    shot = desk.state.shot
    first = list(dict.fromkeys(shot.flavours)) if shot else []
    return first + [one.name for one in desk.plan.flavours if one.name not in first]


def _scoops(desk: Desk, numbers: Sequence[int]) -> tuple[tuple[int, str], ...]:
    return tuple((number, f"{number} {desk.state.scoops[number].flavour}") for number in numbers)


def _plain_numbers(numbers: Sequence[int]) -> tuple[tuple[int, str], ...]:
    return tuple((number, str(number)) for number in numbers[:MOST_TOGGLES])


def _line(desk: Desk) -> list[int]:
    waiting = [scoop.number for scoop in desk.state.line()]
    return [number for number in desk.best if number in waiting] + [n for n in waiting if n not in desk.best]


def _on_set(desk: Desk) -> list[int]:
    return [scoop.number for scoop in (*desk.state.heroes(), *desk.state.stand_ins())]


def _shot(desk: Desk, fields: dict[str, Any]) -> list[Field]:
    return [
        Options("name", "shot", _plain([shot.name for shot in desk.plan.shots]), fields["name"]),
        Options("look", "look", _plain(LOOKS), None),
    ]


def _lock(desk: Desk, fields: dict[str, Any]) -> list[Field]:
    return [
        Options("which", "lock", _plain(LOCKS), fields["which"]),
        Options("on", "is", ((True, "locked"), (False, "free")), fields["on"]),
    ]


def _pull(desk: Desk, fields: dict[str, Any]) -> list[Field]:
    return [
        Options("flavour", "flavour", _plain(_flavours(desk)), fields["flavour"]),
        Options("to", "to", _plain(("box", "tray")), fields["to"]),
    ]


def _judge(desk: Desk, fields: dict[str, Any]) -> list[Field]:
    here = [*_line(desk), *_on_set(desk)]
    return [
        Options("as", "as", _plain(JUDGEMENTS), fields["as"]),
        Options("scoop", "scoop", _scoops(desk, here), fields["scoop"]),
    ]


def _move(desk: Desk, fields: dict[str, Any]) -> list[Field]:
    return [
        Options("to", "to", _plain(("freezer", "box", "tray")), fields["to"]),
        Options("scoop", "scoop", _scoops(desk, _line(desk)), fields["scoop"]),
    ]


def _stand_in(desk: Desk, fields: dict[str, Any]) -> list[Field]:
    return [Options("scoop", "scoop", _scoops(desk, [*_on_set(desk), *_line(desk)]), fields.get("scoop"))]


def _hero_in(desk: Desk, fields: dict[str, Any]) -> list[Field]:
    known = [number for number in fields["scoops"] if number in desk.state.scoops]
    return [Options("scoops", "scoops", _plain_numbers(_line(desk)), tuple(known), many=True)]


def _swap(desk: Desk, fields: dict[str, Any]) -> list[Field]:
    heroes = [hero.number for hero in desk.state.heroes()]
    return [
        Options("out", "out", _scoops(desk, heroes), fields["out"]),
        Options("in", "in", _scoops(desk, _line(desk)), fields["in"]),
    ]


def _out(desk: Desk, fields: dict[str, Any]) -> list[Field]:
    return [
        Options("why", "why", _plain(WHYS), fields["why"]),
        Options("scoops", "scoops", _plain_numbers([*_on_set(desk), *_line(desk)]), tuple(fields["scoops"]), many=True),
    ]


def _look(desk: Desk, fields: dict[str, Any]) -> list[Field]:
    return [
        Options("seen", "seen", _plain(SEEN), fields["seen"]),
        Options("scoop", "scoop", _scoops(desk, _on_set(desk)), fields["scoop"]),
    ]


def _top_up(desk: Desk, fields: dict[str, Any]) -> list[Field]:
    step = MASS_STEPS_KG[units.shown_in()]
    return [
        Stepper("mass_kg", "dry ice", fields["mass_kg"], step, step, 50.0, lambda kg: units.mass(kg, digits=2)),
        Options("form", "form", _plain(FORMS), fields["form"]),
        Options("where", "where", _plain(("set", "box")), fields["where"]),
    ]


def _cleared(desk: Desk, fields: dict[str, Any]) -> list[Field]:
    return [Options("where", "where", _plain(("set", "box")), fields["where"])]


def _tub(desk: Desk, fields: dict[str, Any]) -> list[Field]:
    return [Options("flavour", "flavour", _plain(_flavours(desk)), fields["flavour"])]


def _reading(desk: Desk, fields: dict[str, Any]) -> list[Field]:
    what: Measured = fields["what"]
    low, high = READING_SPANS[what]
    names = tuple((one, MEASURE_NAMES[one]) for one in MEASURED)
    value = last_reading(desk, what)
    return [
        Options("what", "reading", names, what),
        Stepper("value", "value", value, _step(what), low, high, lambda now: reading_words(what, now)),
    ]


def _step(what: Measured) -> float:
    """Return the step of a reading: a whole °F where those are shown."""
    return units.K_PER_F if what.endswith("_c") and units.shown_in() == "US" else MEASURE_STEPS[what]


def _note(desk: Desk, fields: dict[str, Any]) -> list[Field]:
    return [Words("text", "note", PHRASES)]


def _hold(desk: Desk, fields: dict[str, Any]) -> list[Field]:
    return [Words("why", "why", HOLD_REASONS)]


def _amend(desk: Desk, fields: dict[str, Any]) -> list[Field]:
    return amend_fields(desk)


_RULES: dict[str, Callable[[Desk, dict[str, Any]], list[Field]]] = {
    "shot": _shot, "lock": _lock, "pull": _pull, "judge": _judge, "move": _move, "stand_in": _stand_in,
    "hero_in": _hero_in, "swap": _swap, "out": _out, "look": _look, "top_up": _top_up, "ice_cleared": _cleared,
    "tub_out": _tub, "tub_back": _tub, "reading": _reading, "note": _note, "hold": _hold, "amend": _amend,
}  # fmt: skip
