"""A sequence that only grows: adding to it gives a longer one and leaves the shorter as it was."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TypeVar, overload

T = TypeVar("T")


class Growing(Sequence[T]):
    """An immutable sequence whose `then` takes the same time however long it is.

    The longer one shares the items of the shorter; only a second branch off the same one copies them.
    """

    __slots__ = ("_items", "_length")

    def __init__(self, items: Iterable[T] = ()) -> None:
        self._items = list(items)
        self._length = len(self._items)

    def then(self, item: T) -> Growing[T]:
        """Return these with `item` after its last."""
        longer: Growing[T] = Growing.__new__(Growing)
        longer._items = self._items if len(self._items) == self._length else self._items[: self._length]
        longer._items.append(item)
        longer._length = self._length + 1
        return longer

    @overload
    def __getitem__(self, place: int) -> T: ...
    @overload
    def __getitem__(self, place: slice) -> Sequence[T]: ...
    def __getitem__(self, place: int | slice) -> T | Sequence[T]:
        if isinstance(place, slice):
            return self._items[: self._length][place]
        if not -self._length <= place < self._length:
            raise IndexError(place)
        return self._items[place if place >= 0 else self._length + place]

    def __len__(self) -> int:
        return self._length

    def __iter__(self) -> Iterator[T]:
        return iter(self._items[: self._length])

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Growing | tuple):
            return NotImplemented
        return self is other or (len(self) == len(other) and all(a == b for a, b in zip(self, other, strict=True)))

    def __hash__(self) -> int:
        return hash(tuple(self))

    def __repr__(self) -> str:
        return f"Growing({self._items[: self._length]!r})"
