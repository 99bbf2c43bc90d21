"""Rows to be shown beside one another, and what exactly changes of them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Generic, Protocol, TypeVar

from PySide6.QtCore import QAbstractListModel, QModelIndex, QObject, QPersistentModelIndex, Qt

Index = QModelIndex | QPersistentModelIndex
ROW = Qt.ItemDataRole.UserRole
"""The role that has the whole of a row, for what draws it."""


class Row(Protocol):
    """What is known of a row whatever it is."""

    @property
    def number(self) -> int:
        """What it is found again by."""

    @property
    def said(self) -> str:
        """What a reader says of it."""


R = TypeVar("R", bound=Row)


class Rows(QAbstractListModel, Generic[R]):
    """Rows in the order in which they are shown, no two of one number; it knows nothing of how they are drawn."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.rows: list[R] = []

    def rowCount(self, parent: Index | None = None) -> int:
        return 0 if parent is not None and parent.isValid() else len(self.rows)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        if index.isValid() and role == ROW:
            return self.rows[index.row()]
        if index.isValid() and role == Qt.ItemDataRole.AccessibleTextRole:
            return self.rows[index.row()].said
        return None

    def show_rows(self, rows: Sequence[R]) -> None:
        """Hold these rows, and tell which of them left, changed places, came and differ from before."""
        wanted = {row.number for row in rows}
        for first, last in reversed(list(_runs(at for at, row in enumerate(self.rows) if row.number not in wanted))):
            self.beginRemoveRows(QModelIndex(), first, last)
            del self.rows[first : last + 1]
            self.endRemoveRows()
        held = {row.number for row in self.rows}
        self._order([row.number for row in rows if row.number in held])
        for first, last in _runs(at for at, row in enumerate(rows) if row.number not in held):
            self.beginInsertRows(QModelIndex(), first, last)
            self.rows[first:first] = rows[first : last + 1]
            self.endInsertRows()
        for first, last in list(_runs(at for at, row in enumerate(rows) if row != self.rows[at])):
            self.rows[first : last + 1] = rows[first : last + 1]
            self.dataChanged.emit(self.index(first), self.index(last))

    def _order(self, numbers: list[int]) -> None:
        """Put the rows that are held into the order of their numbers, where it is another."""
        before = [row.number for row in self.rows]
        if before == numbers:
            return
        self.layoutAboutToBeChanged.emit()
        place = {number: at for at, number in enumerate(numbers)}
        known = self.persistentIndexList()
        self.rows.sort(key=lambda row: place[row.number])
        self.changePersistentIndexList(known, [self.index(place[before[one.row()]]) for one in known])
        self.layoutChanged.emit()


def _runs(places: Iterable[int]) -> Iterator[tuple[int, int]]:
    """Return the first and last of each unbroken run of ascending places."""
    first = last = None
    for place in places:
        if first is None or last is None or place != last + 1:
            if first is not None and last is not None:
                yield first, last
            first = place
        last = place
    if first is not None and last is not None:
        yield first, last
