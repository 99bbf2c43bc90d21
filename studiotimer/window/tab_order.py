"""The order in which the keys go through a page: as it is read."""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QLayout, QScrollArea, QWidget


def in_order(widget: QWidget) -> Iterator[QWidget]:
    """Return everything in `widget` that Tab stops at, row by row."""
    if widget.focusPolicy() & Qt.FocusPolicy.TabFocus:
        yield widget
    layout = widget.layout()
    if isinstance(widget, QScrollArea) and (inside := widget.widget()) is not None:
        yield from in_order(inside)
    elif layout is not None:
        yield from _laid_out(layout)
    elif not widget.focusPolicy() & Qt.FocusPolicy.TabFocus:
        for child in widget.children():
            if isinstance(child, QWidget):
                yield from in_order(child)


def _laid_out(layout: QLayout) -> Iterator[QWidget]:
    places = range(layout.count())
    if isinstance(layout, QGridLayout):
        places = sorted(places, key=layout.getItemPosition)  # type: ignore[assignment, arg-type]
    for place in places:
        item = layout.itemAt(place)
        if item is None:
            continue
        if (inside := item.widget()) is not None:
            yield from in_order(inside)
        elif (nested := item.layout()) is not None:
            yield from _laid_out(nested)
