"""Pages that are drawn: on paper, as a PDF, or as pictures for the preview, all by the same strokes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QSizeF
from PySide6.QtGui import QPageLayout

from studiotimer.prep.flags import Flagged
from studiotimer.prep.printed import Printed
from studiotimer.window.paper import Page, page_layout

Strokes = Page


@dataclass(frozen=True)
class Pages:
    """What is drawn: its title, its whole content as plain values, and its pages for a space of so many points."""

    title: str
    content: Printed | Flagged
    drawn: Callable[[QSizeF], Sequence[Strokes]]


@dataclass(frozen=True)
class Upright:
    """Pages on upright paper, as they are shown and printed; `noun` says what they are."""

    of: Pages
    noun: str
    letter: bool = False

    @property
    def title(self) -> str:
        """Of what they are."""
        return self.of.title

    @property
    def content(self) -> Printed | Flagged:
        """What is on them, as plain values."""
        return self.of.content

    def layout(self) -> QPageLayout:
        """Return the paper's page."""
        return portrait(self.letter)

    def pages(self, inner: QSizeF) -> Sequence[Page]:
        """Return what draws each page."""
        return self.of.drawn(inner)


def portrait(letter: bool) -> QPageLayout:
    """Return an upright page of A4, or of Letter."""
    return page_layout(letter, QPageLayout.Orientation.Portrait)
