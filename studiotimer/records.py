"""`dataclass` as the standard library has it, its comparing, hashing and printing shared, not compiled for each class.

Compiling them for the classes that a session brings took a tenth of its opening. That a frozen one stays as it was made
is held by mypy alone: what would refuse it at run time is compiled for each class too.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from operator import attrgetter
from typing import TYPE_CHECKING, TypeVar

T = TypeVar("T")


def _made(kind: type[T], frozen: bool, eq: bool, **how: bool) -> type[T]:
    record = dataclasses.dataclass(eq=False, repr=False, **how)(kind)
    fields = dataclasses.fields(record)  # type: ignore[arg-type]  # which it is by now
    methods: dict[str, object] = {"__repr__": _printed([field.name for field in fields])}
    if eq:
        values = _values([field.name for field in fields if field.compare])
        methods["__eq__"] = _equal(values)
        methods["__hash__"] = (lambda self: hash(values(self))) if frozen else None
    for name in methods.keys() - kind.__dict__.keys():
        setattr(record, name, methods[name])
    return record


def _values(names: list[str]) -> Callable[[object], object]:
    return attrgetter(*names) if len(names) > 1 else lambda record: tuple(getattr(record, name) for name in names)


def _equal(values: Callable[[object], object]) -> Callable[[object, object], bool]:
    return lambda one, other: values(one) == values(other) if other.__class__ is one.__class__ else NotImplemented


def _printed(names: list[str]) -> Callable[[object], str]:
    return lambda one: f"{type(one).__qualname__}({', '.join(f'{name}={getattr(one, name)!r}' for name in names)})"


def _dataclass(
    kind: type[T] | None = None, *, frozen: bool = False, eq: bool = True, slots: bool = False, kw_only: bool = False
) -> type[T] | Callable[[type[T]], type[T]]:
    """Make `kind` a dataclass."""
    if kind is None:
        return lambda one: _made(one, frozen, eq, slots=slots, kw_only=kw_only)
    return _made(kind, frozen, eq, slots=slots, kw_only=kw_only)


if TYPE_CHECKING:
    from dataclasses import dataclass as dataclass
else:
    dataclass = _dataclass
