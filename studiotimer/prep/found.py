"""A result of the plan: its value, how a person reads it, how it was found and where the rule is from."""

from __future__ import annotations

from typing import NamedTuple

OWN_RULE = "own rule"
COMMON_PRACTICE = "common practice"


class Fact(NamedTuple):
    """A headline: a figure, what it is, and a line under it."""

    figure: str
    caption: str
    note: str = ""


class Found(NamedTuple):
    """One result. `value` is SI (temperatures in °C) or None where there is none; `source` is never empty."""

    value: float | int | None
    text: str
    how: str
    source: str

    def as_json(self) -> dict[str, object]:
        """Return the result as JSON values."""
        return {"value": self.value, "text": self.text, "how": self.how, "source": self.source}


def counted(number: int, one: str, many: str | None = None) -> str:
    """Return a count with its noun: ``1 hero``, ``3 heroes``."""
    return f"{number:,} {one if number == 1 else many or one + 's'}"


def percent(share: float, digits: int = 0, signed: bool = False) -> str:
    """Return a share as a percentage: ``48 %``."""
    text = f"{abs(100 * share):.{digits}f}"
    sign = "" if float(text) == 0.0 else "−" if share < 0 else "+" if signed else ""
    return f"{sign}{text} %"
