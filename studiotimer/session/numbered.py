"""A mapping by number that only grows or changes one place at a time, and is never changed itself."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TypeVar

T = TypeVar("T")
BITS = 7


class Numbered(Mapping[int, T]):
    """An immutable mapping whose `with_` takes about the same time however large it is.

    One that differs in a place shares all but a block of that place with the one before.
    """

    __slots__ = ("_blocks", "_length")

    def __init__(self) -> None:
        self._blocks: dict[int, dict[int, T]] = {}
        self._length = 0

    def with_(self, number: int, item: T) -> Numbered[T]:
        """Return this mapping with `item` at `number`."""
        block = self._blocks.get(number >> BITS, {})
        changed: Numbered[T] = Numbered()
        changed._blocks = {**self._blocks, number >> BITS: {**block, number: item}}
        changed._length = self._length + (number not in block)
        return changed

    def __getitem__(self, number: int) -> T:
        return self._blocks[number >> BITS][number]

    def __iter__(self) -> Iterator[int]:
        return (number for block in self._blocks.values() for number in block)

    def __len__(self) -> int:
        return self._length
