"""The fields of entries: what their numbers and words may be."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Annotated, Any, TypeAlias

from pydantic import AfterValidator, AwareDatetime, BeforeValidator, Field

from studiotimer.plain import plain, shown

LATEST_YEAR = 8999  # the calendar ends at 9999, and a shoot and its zone must be sayable in it
LONGEST_RUN_S = 1e8  # three years: longer is a broken clock
LONGEST_BOOT_S = 1e10  # three centuries: longer is a broken clock
EARLIEST_TICK_S = -86_400.0  # a call told a day late
HIGHEST_NUMBER = 99_999  # of scoops: five letters fit a tile
MOST_SCOOPS = 60  # on one call: more than any set holds

Given: TypeAlias = Mapping[str, Any]
"""Fields of a call under the names that the file has, not yet checked: the call's model says what each is."""


def _cleaned(value: object) -> object:
    return plain(value) if isinstance(value, str) else value


def _as_list(value: object) -> object:
    return tuple(value) if isinstance(value, list | tuple) else (value,)


def once(numbers: tuple[int, ...]) -> tuple[int, ...]:
    """Return the numbers with each standing once."""
    return tuple(dict.fromkeys(numbers))


def _utc(at: datetime) -> datetime:
    if not 1970 <= at.year <= LATEST_YEAR:
        raise ValueError(f"the year {at.year} is not possible; give 1970 to {LATEST_YEAR}")
    return at if at.tzinfo is UTC else at.astimezone(UTC)


Count = Annotated[int, Field(ge=1, le=10**9)]
Wall = Annotated[AwareDatetime, AfterValidator(_utc)]
Tick = Annotated[float, Field(ge=EARLIEST_TICK_S, le=LONGEST_RUN_S)]
Number = Annotated[int, Field(ge=1, le=HIGHEST_NUMBER)]
Text = Annotated[str, BeforeValidator(_cleaned), Field(min_length=1, max_length=2000)]
Name = Annotated[str, BeforeValidator(_cleaned), Field(min_length=1, max_length=200)]
CallId = Annotated[str, Field(pattern="^[0-9a-f]{32}$")]
Mass = Annotated[float, Field(gt=0, le=1000)]
Span = Annotated[float, Field(ge=0, le=86_400)]

Scoops = Annotated[tuple[Number, ...], BeforeValidator(_as_list), Field(min_length=1, max_length=MOST_SCOOPS)]
Names = Annotated[tuple[Name, ...], BeforeValidator(_as_list), Field(max_length=MOST_SCOOPS)]


def _changes(change: dict[str, object]) -> dict[str, object]:
    return {name: _changed(name, value) for name, value in change.items()}


def _changed(name: str, value: object) -> object:
    if isinstance(value, list | tuple) and len(value) <= MOST_SCOOPS:
        return tuple(_one_changed(name, one) for one in value)
    return _one_changed(name, value)


def _one_changed(name: str, value: object) -> object:
    small = isinstance(value, int | float) and abs(value) <= LONGEST_RUN_S
    if value is None or isinstance(value, str) or small:
        return _cleaned(value)
    raise ValueError(f"{name}: {shown(value)} is not possible; give a number, a word, true, false, or a list of them")


Change = Annotated[dict[Name, Any], Field(min_length=1, max_length=12), AfterValidator(_changes)]
