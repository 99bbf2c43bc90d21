"""What is wrong with an entry's fields, as one sentence: where, what was wrong, and what would be right."""

from __future__ import annotations

import re
from collections.abc import Collection

from pydantic import ValidationError

from studiotimer.plain import plain, shown

MOST_TOLD = 1e15

_PLAIN = {
    "missing": "it is missing; it must be given",
    "too_short": "it is empty; it must not be",
    "string_too_short": "it is empty; it must not be",
    "json_invalid": "it is not JSON as this program writes it",
}
_RIGHT = {
    "bool": "true or false",
    "int": "a whole number",
    "float": "a number",
    "finite": "a finite number",
    "string_type": "words",
    "timezone": "a time with its time zone",
    "datetime": "a time like 2026-06-14T10:32:05Z",
}


def first_problem(error: ValidationError, names: Collection[str] = ()) -> str:
    """Return the first problem pydantic found; `names` are the fields there are."""
    problem = error.errors(include_url=False)[0]
    where = ", ".join(plain(str(step))[:40] for step in problem["loc"])
    sentence = _sentence(problem["type"], problem["msg"], problem.get("input"), names)
    return f"{where}: {sentence}" if where else sentence


def _sentence(kind: str, message: str, value: object, names: Collection[str]) -> str:
    if kind in _PLAIN:
        return _PLAIN[kind]
    if kind == "extra_forbidden":
        return "there is no such field" + (f"; the fields are {', '.join(names)}" if names else "; leave it out")
    if kind == "value_error":
        return message.removeprefix("Value error, ")
    if kind == "literal_error":
        return f"{shown(value)} is not known; write {message.removeprefix('Input should be ').replace(chr(39), '')}"
    if kind.startswith(("greater_than", "less_than")):
        told = isinstance(value, float) or (isinstance(value, int) and abs(value) < MOST_TOLD)
        number = f"{value:g}".replace("-", "−") if told else shown(value)
        return f"{number} is not possible; give {_limit(message)}"
    right = next((words for start, words in _RIGHT.items() if kind.startswith(start)), None)
    return f"{shown(value)} is not possible; give {right or _limit(message)}"


def _limit(message: str) -> str:
    """Return what follows "should be" or "should have" in pydantic's words for a limit."""
    message = message.replace("greater than or equal to", "at least").replace("greater than", "more than")
    message = message.replace("less than or equal to", "at most")
    message = re.sub(r"have at most (\d+) \w+.*", r"be one at most \1 long", message)
    return message.split("should be ", 1)[-1].split(" be ", 1)[-1]
