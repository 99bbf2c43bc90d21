"""A plan being written: its values as texts, where a bad one counts as its last good one until it is mended."""

from __future__ import annotations

import copy
import datetime as dt
import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from studiotimer import units
from studiotimer.prep.found import percent
from studiotimer.prep.plan import Plan, PlanError, in_a_plan, parse_plan, plan_text
from studiotimer.prep.plan_numbers import quantity_of, text_key
from studiotimer.prep.plan_problems import Problem
from studiotimer.prep.results import Results, dates_past, results_of
from studiotimer.prep.scene import check

Path = tuple[str | int, ...]
Values = dict[str, Any]

DAYS_AHEAD = 7  # a new plan's day: time to order
MOST_TRIES = 60  # each takes one fault away; nobody makes more
SHARES = ("humidity", "good_share", "confidence", "margin")
TIMES = ("call_time", "lunch_at", "fetch_from", "fetch_until", "from_time", "to_time")
"""Times of day; one on the minute is shown without seconds."""
OWN_TEXTS: dict[Path, tuple[str, str]] = {
    ("room", "air"): ("22 °C", "72 °F"),
    ("room", "volume"): ("200 m3", "7000 ft3"),
    ("delivered",): ("-18 °C", "0 °F"),
    ("dry_ice", "box"): ("-40 °C", "-40 °F"),
}
"""What a new plan begins with where metric and where US units are shown; a later change of units only shows it anew."""


@dataclass(frozen=True)
class Wrong:
    """One field that cannot be used: where, why in one sentence, and the value that counts until it is mended."""

    path: Path
    sentence: str
    instead: str

    @property
    def beside(self) -> str:
        """Return the sentence as it stands beside its field, which names itself."""
        said = self.sentence.partition(": ")[2] or self.sentence
        return f"{said[0].upper()}{said[1:]}." + (f" Until then {self.instead} counts." if self.instead else "")


@dataclass(frozen=True)
class Worked:
    """What follows from a draft: results of its good values, what is wrong, and what the dates say."""

    number: int
    results: Results
    good: Values
    wrong: tuple[Wrong, ...]
    past: tuple[str, ...]


def new_draft(today: dt.date, style: units.Style = "metric") -> Values:
    """Return the draft a new plan begins as: one flavour, one shot, one hero, a week ahead."""
    values = {
        "date": in_a_plan(today + dt.timedelta(days=DAYS_AHEAD)).isoformat(),
        "flavours": [{"name": "vanilla"}],
        "shots": [{"name": "Shot 1", "heroes": [{"flavour": "vanilla"}]}],
    }
    draft = draft_of(parse_plan(values))
    for path, texts in OWN_TEXTS.items():
        put(draft, path, texts[0 if style == "metric" else 1])
    return draft


def draft_of(plan: Plan) -> Values:
    """Return a plan as a draft: a plan file's values, every number a text, each hero's flavour by its position."""
    values: Values = _as_texts(json.loads(plan_text(plan)))
    positions = {flavour.name: number for number, flavour in enumerate(plan.flavours)}
    for shot in values["shots"]:
        for hero in shot["heroes"]:
            hero["flavour"] = positions[hero["flavour"]]
    return values


def file_values(draft: Values) -> Values:
    """Return a draft as a plan file has it."""
    values = copy.deepcopy(draft)
    names = [flavour.get("name", "") for flavour in values["flavours"]]
    for shot in values["shots"]:
        for hero in shot["heroes"]:
            hero["flavour"] = names[hero["flavour"]]
    return values


def quantity_at(path: Path) -> units.Quantity | None:
    """Return what kind of number a draft has at `path`; None where it has none."""
    return quantity_of(Plan, path)


def units_of(draft: Values) -> units.Style | None:
    """Return the system most of a draft's numbers are written in; None where they are everybody's."""
    counts = {"metric": 0, "US": 0}
    for path, text in _texts(draft):
        quantity = quantity_at(path)
        read = units.understood(text, quantity) if quantity is not None else None
        if isinstance(read, units.Value) and read.system is not None:
            counts[read.system] += 1
    if counts["metric"] == counts["US"]:
        return None
    return "metric" if counts["metric"] > counts["US"] else "US"


def value_at(values: Any, path: Path) -> Any:
    """Return what stands at `path`, None when nothing does."""
    for step in path:
        if isinstance(values, dict):
            values = values.get(step)
        elif isinstance(values, list) and isinstance(step, int) and step < len(values):
            values = values[step]
        else:
            return None
    return values


def put(values: Values, path: Path, value: object) -> None:
    """Write `value` at `path`, making the groups on the way; None takes it out."""
    inside: Any = values
    for step in path[:-1]:
        if isinstance(inside, dict) and inside.get(step) is None:
            inside[step] = {}
        inside = inside[step]
    if value is None and isinstance(inside, dict):
        inside.pop(path[-1], None)
    else:
        inside[path[-1]] = value


def without_flavour(draft: Values, number: int) -> None:
    """Take a flavour out, and its heroes with it; a shot left with none gets the first flavour."""
    draft["flavours"].pop(number)
    for shot in draft["shots"]:
        kept = [hero for hero in shot["heroes"] if hero["flavour"] != number]
        shot["heroes"] = kept or [{**shot["heroes"][0], "flavour": 0}]
        for hero in kept:
            hero["flavour"] -= hero["flavour"] > number


def free_name(wanted: str, names: list[str]) -> str:
    """Return `wanted`, with a number when it is taken."""
    taken, number = {name.strip() for name in names}, 2
    name = wanted
    while name in taken:
        name, number = f"{wanted} {number}", number + 1
    return name


def work_out(draft: Values, good: Values, style: units.Style, now: dt.datetime, number: int = 0) -> Worked:
    """Return what follows from a draft; `good` is the last draft in which every value could be used.

    `now` is plain local time; `number` is handed back.
    """
    tried, wrong = copy.deepcopy(draft), list[Wrong]()
    _names_apart(tried, wrong)
    for _ in range(MOST_TRIES):
        try:
            plan = parse_plan(file_values(tried), style)
            check(plan)
            results = results_of(plan, style)
        except PlanError as error:
            for problem in error.problems or [Problem(_named(str(error)), str(error))]:
                path = _path_of(problem.place or _named(problem.sentence), tried)
                if path[2:3] == ("heroes",) and path[4:] == ("flavour",):
                    continue  # the flavour has no name, which is said there
                tried = _restored(tried, good, path)
                wrong.append(Wrong(path, problem.sentence, _shown(value_at(tried, path), path, style)))
        else:
            return Worked(number, results, tried, tuple(wrong), tuple(dates_past(plan, results, now)))
    plan = parse_plan(file_values(good))
    return Worked(number, results_of(plan, style), good, tuple(wrong), ())


def _texts(values: object, path: Path = ()) -> Iterator[tuple[Path, str]]:
    """Yield every text of a draft with its place."""
    if isinstance(values, str):
        yield path, values
    inside = values.items() if isinstance(values, dict) else enumerate(values) if isinstance(values, list) else ()
    for step, value in inside:
        yield from _texts(value, (*path, step))


def _names_apart(tried: Values, wrong: list[Wrong]) -> None:
    """Give names that stand twice a number, and say so."""
    for field in ("flavours", "shots"):
        names: list[str] = []
        for number, each in enumerate(tried[field]):
            name = str(each.get("name", "")).strip()
            if name in names:
                each["name"] = free_name(name, names)
                said = (
                    f"{field.removesuffix('s')} {number + 1}: the name “{name}” is used twice; give each its own name"
                )
                wrong.append(Wrong((field, number, "name"), said, f"“{each['name']}”"))
            names.append(str(each.get("name", "")).strip())


def _named(sentence: str) -> Path:
    """Return the field a sentence begins with, where it is one of the plan's own."""
    field = sentence.partition(":")[0].strip()
    return (field,) if field in ("timezone", "tub") else ()


def _path_of(place: Path, values: Values) -> Path:
    """Return the place of a problem as a path into the draft."""
    path: Path = ()
    for step in place:
        inside = value_at(values, path)
        key = text_key(step) if isinstance(step, str) else step
        if path[:1] == ("flavours",) and path[2:3] == ("mix",):
            break
        if not isinstance(inside, dict | list) or (isinstance(inside, dict) and key not in inside):
            break
        path = (*path, key)
    return path


def _restored(tried: Values, good: Values, path: Path) -> Values:
    """Return `tried` with the last good value at `path`; where there is none, without it."""
    while path:
        kept = value_at(good, path)
        if kept is not None and kept != value_at(tried, path):
            put(tried, path, copy.deepcopy(kept))
            return tried
        if kept is None and isinstance(path[-1], str) and value_at(tried, path) is not None:
            put(tried, path, None)
            return tried
        path = path[:-1]
    return copy.deepcopy(good)


def _shown(value: object, path: Path, style: units.Style) -> str:
    quantity = quantity_at(path)
    if quantity is not None and isinstance(value, str):
        return units.as_shown(value, quantity, style)
    return str(value) if isinstance(value, str | int | float) else ""


def _as_texts(values: object, name: str = "") -> Any:
    """Return JSON values with every number that stands in SI written as a person would."""
    if isinstance(values, dict):
        if name == "mix":
            return values
        pairs = ((key, _as_texts(value, key)) for key, value in values.items())
        return {text_key(key) if isinstance(value, str) else key: value for key, value in pairs}
    if isinstance(values, list):
        return [_as_texts(value) for value in values]
    if isinstance(values, str) and name in TIMES:
        return values[:5] if values.endswith(":00") else values
    if isinstance(values, bool) or not isinstance(values, int | float):
        return values
    if name in SHARES:
        return percent(values, 1).replace(".0 %", " %")
    for suffix, text in (
        ("_kg_per_s", f"{values * 3600:.6g} kg/h"), ("_per_s", f"{values * 3600:.6g}/h"), ("_m3", f"{values:.6g} m3"),
        ("_c", f"{values:.6g} °C"), ("_m", f"{values * 1000:.6g} mm"), ("_s", f"{values:.6g} s"),
    ):  # fmt: skip
        if name.endswith(suffix):
            return text
    return values
