"""What is wrong with a plan, as sentences: the field, what was wrong, and what would be right."""

from __future__ import annotations

from typing import NamedTuple

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from studiotimer.prep.plan_numbers import text_key


class Problem(NamedTuple):
    """One thing wrong: where it stands in the plan, and a sentence."""

    place: tuple[str | int, ...]
    sentence: str


def problems_of(error: ValidationError, values: object) -> list[Problem]:
    """Return every problem of a failed validation of `values`, in the order of the fields."""
    return [Problem(tuple(each["loc"]), _sentence(_where(each["loc"], values), each)) for each in error.errors()]


def _where(place: tuple[str | int, ...], values: object) -> str:
    """Return the place as a person would say it: ``shot 2 (Cone), between``."""
    words: list[str] = []
    for step in place:
        values = _step(values, step)
        if isinstance(step, int):
            name = values.get("name") if isinstance(values, dict) else None
            called = f" ({name})" if isinstance(name, str) else ""
            words[-1:] = [f"{_one(words[-1]) if words else 'item'} {step + 1}{called}"]
        elif not step.startswith(("function-", "constrained-", "dict[", "str")):
            words.append(text_key(step).replace("_", " "))
    return ", ".join(words)


def _one(name: str) -> str:
    """Return the word for one of a list: "shot" of "shots"."""
    return {"heroes": "hero", "people": "person"}.get(name, name.removesuffix("s"))


def _step(values: object, step: str | int) -> object:
    if isinstance(values, list) and isinstance(step, int) and step < len(values):
        return values[step]
    return values.get(step) if isinstance(values, dict) else None


def _sentence(where: str, error: ErrorDetails) -> str:
    kind, shown = str(error["type"]), _shown(error.get("input"))
    right = {
        "missing": "it is missing; it must be given",
        "extra_forbidden": "there is no such field; leave it out",
        "date": f"{shown} is not a date; write it like 2026-06-14",
        "time": f"{shown} is not a time of day; write it like 09:00",
        "int": f"{shown} is not a whole number; write one like 3",
        "bool": f"{shown} is neither true nor false; write true or false",
        "list_type": f"{shown} is not a list; write a list",
        "model": f"{shown} is not a group of fields; write its fields by name",
        "dict_type": f"{shown} is not a group of fields; write its fields by name",
        "string_type": f"{shown} is not text; write it as text",
        "string_too_short": "it is empty; write a name",
        "string_too_long": f"{shown} is too long; write at most {error.get('ctx', {}).get('max_length')} letters",
        "too_short": "it is empty; it must have at least one",
    }
    if kind == "value_error":
        message = str(error["ctx"]["error"]).removeprefix("value: ")
        return f"{where}: {message}" if where and ": " not in message else f"{where}, {message}".lstrip(", ")
    if kind == "literal_error":
        choices = str(error["ctx"]["expected"]).replace("'", "").replace(" or ", ", ")
        return f"{where}: {shown} is not known; write one of {choices}"
    if (limit := _limit(error)) is not None:
        said = shown.strip("“”")
        return f"{where}: {said} is not possible; give {limit}"
    for start, text in right.items():
        if kind.startswith(start):
            return f"{where}: {text}"
    return f"{where}: {shown} is not possible; {str(error['msg']).replace('Input', 'it')}"


def _limit(error: ErrorDetails) -> str | None:
    """Return the limit that a number went over, in words; None when that is not what was wrong."""
    limits = {
        "greater_than_equal": ("ge", "{} or more"), "greater_than": ("gt", "more than {}"),
        "less_than_equal": ("le", "at most {}"), "less_than": ("lt", "less than {}"),
    }  # fmt: skip
    if str(error["type"]) not in limits:
        return None
    name, words = limits[str(error["type"])]
    limit = error.get("ctx", {}).get(name)
    return words.format(f"{limit:,g}" if isinstance(limit, int | float) else str(limit))


def _shown(value: object) -> str:
    text = value if isinstance(value, str) else repr(value)
    clean = "".join(ch if ch.isprintable() else "?" for ch in text.strip())
    return f"“{clean[:40]}…”" if len(clean) > 40 else f"“{clean}”"
