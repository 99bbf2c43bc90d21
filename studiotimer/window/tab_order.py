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
    """Return what Tab stops at in a layout.

    Without its items: Qt for Python keeps one that was handed out when Qt has deleted it, and takes whatever comes to
    lie in its place for it; a style that was no style any more ended the program.
    """
    holder = layout.parentWidget()
    inside = [*(holder.children() if holder is not None else ()), *layout.children()]
    placed = {
        layout.indexOf(each): each for each in inside if isinstance(each, QWidget | QLayout) and each is not layout
    }
    places = sorted(place for place in placed if place >= 0)
    if isinstance(layout, QGridLayout):
        places.sort(key=layout.getItemPosition)  # type: ignore[arg-type]
    for place in places:
        each = placed[place]
        yield from in_order(each) if isinstance(each, QWidget) else _laid_out(each)
