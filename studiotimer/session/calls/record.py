"""What the session knows of one kind of call, in one record; and what can be chosen about a call."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Generic, Literal, NamedTuple, TypeVar

from studiotimer.session.desk import Desk, Fields
from studiotimer.session.entries import Entry
from studiotimer.session.state import State

E = TypeVar("E", bound=Entry)
V = TypeVar("V", str, int, bool)

By = Literal["program", "crew", "anyone"]
"""Who makes a call: the program itself, the crew in its window, or other programs too."""


@dataclass(frozen=True)
class Options(Generic[V]):
    """A field chosen from a few values, each with its words."""

    field: str
    label: str
    values: tuple[tuple[V, str], ...]
    value: V | None


class Several(NamedTuple):
    """A field that is some of a few numbers, each with its words."""

    field: str
    label: str
    values: tuple[tuple[int, str], ...]
    value: tuple[int, ...]


class Stepper(NamedTuple):
    """A field that is a number stepped up and down between limits."""

    field: str
    label: str
    value: float
    step: float
    low: float
    high: float
    words: Callable[[float], str]


class Words(NamedTuple):
    """A field that is written, with phrases ready to take."""

    field: str
    label: str
    phrases: tuple[str, ...]
    value: str = ""


OneOf = Options[str] | Options[int] | Options[bool]
Field = OneOf | Several | Stepper | Words


def never(desk: Desk) -> None:
    """Ask nothing: the default says enough."""
    return


@dataclass(frozen=True, kw_only=True, slots=True)
class Call(Generic[E]):
    """Everything the session knows of one kind of call; every part is told, also where there is nothing to do.

    `rule` makes the state after it and raises ContradictionError where it cannot be true. `default` fills in what was
    not given and raises NoDefaultError where nothing sensible can be. `choices` are the fields to choose, from an entry
    that has its defaults, or as it was told when it is amended. `words` and `short` are its line in the log and what
    its button says it would do.
    """

    model: type[E]
    name: str
    rule: Callable[[State, E, float], State]
    default: Callable[[Desk], Fields]
    choices: Callable[[Desk, E], list[Field]]
    words: Callable[[E], str]
    short: Callable[[E], str]
    by: By
    blank: bool = False
    """Whether its choices begin with nothing filled in."""
    asks: Callable[[Desk], str | None] = never
    """Why its choices come first as things are, None where its default says enough."""
    needs: tuple[str, ...] = ()
    """The fields that other programs must give: nobody there has looked whether the default is true."""

    @property
    def kind(self) -> str:
        """The kind's name in the file."""
        return str(self.model.model_fields["kind"].default)

    def draft(self, fields: Mapping[str, object]) -> E:
        """Return an entry with these fields that is not made yet: not checked, and without number or time."""
        held = {name: tuple(one) if isinstance(one, list) else one for name, one in fields.items()}
        return self.model.model_construct(**held)  # type: ignore[arg-type]


def unchanged(state: State, entry: Entry, at: float) -> State:
    """Return the state as it was: the rule of a call that changes nothing."""
    return state


def as_given(desk: Desk) -> Fields:
    """Fill in nothing: the default of a call that needs no more than it is given."""
    return {}


def no_choices(desk: Desk, asked: Entry) -> list[Field]:
    """Offer nothing: a call that is made as it is."""
    return []


def silent(entry: Entry) -> str:
    """Say nothing on a button."""
    return ""
