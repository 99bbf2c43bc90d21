"""The list of keys: every action with its keys, in as many columns as it takes to see them all at once."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent

from studiotimer.window import theme
from studiotimer.window.keys import KeyMap, action_words, key_words
from studiotimer.window.set.actions import CALL_ACTIONS, Action
from studiotimer.window.stack import Part

Row = tuple[str, str]
HINT = ("shift + key", "a call's choices")
_OF_CALLS: frozenset[Action] = frozenset(("cue", "next", "previous", "more", *CALL_ACTIONS))
GAP = 14
LINE = 1.12


class KeyList(Part):
    """Actions and their keys; painted, so that they fit whatever room there is."""

    def __init__(self, keys: KeyMap, more: Sequence[Row] = (), playing: Sequence[Row] = ()) -> None:
        """Show `keys` and `more`; where a recorded day is played, the keys of `playing` in place of those of calls."""
        super().__init__()
        shown = [action for action in keys.keys if not playing or action not in _OF_CALLS]

        def rows(names: Callable[[Action], str]) -> list[Row]:
            calls = [(names(action) or "no key", action_words(action)) for action in shown]
            return [*playing, *calls, *more, *(() if playing else (HINT,))]

        self.rows = rows(lambda action: ", ".join(map(key_words, keys.keys[action])))
        self._short = rows(keys.shown)
        self._scale = 1.0
        self.setAccessibleName("List of keys")
        self.setAccessibleDescription("; ".join(f"{words}: {key}" for key, words in self.rows))

    def set_scale(self, scale: float) -> None:
        self._scale = scale
        self.update()

    def minimumSizeHint(self) -> QSize:
        return QSize(300, 100)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        size, columns, rows = self.fitted()
        quiet, strong = QFontMetricsF(theme.font(size)), QFontMetricsF(theme.font(size, "strong"))
        room = QRectF(self.contentsRect())
        width, height = room.width() / columns, quiet.height() * LINE
        deep = _deep(rows, columns)
        ink, dim = self.colours()
        for index, (key, words) in enumerate(rows):
            cell = QRectF(room.x() + index // deep * width, room.y() + index % deep * height, width - GAP, height)
            lead = strong.horizontalAdvance(key)
            painter.setPen(ink)
            painter.setFont(theme.font(size, "strong"))
            painter.drawText(cell, Qt.AlignmentFlag.AlignVCenter, key)
            painter.setPen(dim)
            painter.setFont(theme.font(size))
            left = cell.adjusted(lead + 8, 0, 0, 0)
            shown = quiet.elidedText(words, Qt.TextElideMode.ElideRight, left.width())
            painter.drawText(left, Qt.AlignmentFlag.AlignVCenter, shown)

    def colours(self) -> tuple[QColor, QColor]:
        """Return the colours of keys and of words: those of the page the list stands in."""
        ink = self.palette().windowText().color()
        page = theme.under(ink)
        return ink, page.colour("quiet")

    def fitted(self) -> tuple[int, int, list[Row]]:
        """Return the largest type [px] at which everything fits, in how many columns, and the rows.

        Where there is little room, only an action's first key is shown.
        """
        room, least, columns = self.contentsRect(), round(theme.unzoomed(theme.SMALL)), 1
        for rows in (self.rows, self._short):
            for size in range(round((theme.BODY + 1) * self._scale), least - 1, -1):
                metrics = QFontMetricsF(theme.font(size, "strong"))
                widest = max(metrics.horizontalAdvance(f"{key}  {words}") for key, words in rows) + GAP
                columns = max(int(room.width() // widest), 1)
                if _deep(rows, columns) * metrics.height() * LINE <= room.height():
                    return size, columns, rows
        return least, columns, self._short


def _deep(rows: list[Row], columns: int) -> int:
    """Return how many lines the rows take."""
    return -(-len(rows) // columns)
