"""Pages that are drawn: on paper, as a PDF, or as pictures for the preview, all by the same strokes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QSizeF
from PySide6.QtGui import QColor, QImage, QPagedPaintDevice, QPageLayout, QPainter

from studiotimer.window.paper import DOTS_AN_INCH, POINTS_AN_INCH, ensure_application, page_layout, pdf

if TYPE_CHECKING:
    from PySide6.QtPrintSupport import QPrinter

PAPER = "#FFFFFF"
Strokes = Callable[[QPainter], None]


@dataclass(frozen=True)
class Pages:
    """What is drawn: its title, its whole content as text, and its pages for a space of so many points."""

    title: str
    contents: str
    drawn: Callable[[QSizeF], Sequence[Strokes]]


def pages_pdf(pages: Pages, made: dt.datetime, letter: bool = False) -> bytes:
    """Return the pages as a PDF; the same pages and `made` (aware) give the same bytes."""
    return pdf(portrait(letter), pages.title, pages.contents, made, lambda writer: _paint(pages, writer, DOTS_AN_INCH))


def print_pages(pages: Pages, printer: QPrinter, letter: bool = False) -> bool:
    """Print the pages, drawn as the PDF is; return whether the printer took them."""
    printer.setPageLayout(portrait(letter))
    printer.setDocName(pages.title)
    return _paint(pages, printer, printer.resolution())


def pages_pictures(pages: Pages, width_px: int, letter: bool = False) -> list[QImage]:
    """Return each page as a picture `width_px` wide, drawn as the PDF is."""
    ensure_application()
    layout = portrait(letter)
    paper, inner = layout.fullRect(QPageLayout.Unit.Point), layout.paintRect(QPageLayout.Unit.Point)
    scale = width_px / paper.width()
    images = []
    for draw in pages.drawn(inner.size()):
        image = QImage(width_px, round(paper.height() * scale), QImage.Format.Format_RGB32)
        image.fill(QColor(PAPER))
        painter = QPainter(image)
        painter.setRenderHint(QPainter.RenderHint.TextAntialiasing)
        painter.scale(scale, scale)
        painter.translate(inner.topLeft())
        draw(painter)
        painter.end()
        images.append(image)
    return images


def portrait(letter: bool) -> QPageLayout:
    """Return an upright page of A4, or of Letter."""
    return page_layout(letter, QPageLayout.Orientation.Portrait)


def _paint(pages: Pages, paper: QPagedPaintDevice, dots_an_inch: int) -> bool:
    """Draw every page inside the margins of `paper`; return whether it could be drawn on."""
    drawn = pages.drawn(paper.pageLayout().paintRect(QPageLayout.Unit.Point).size())
    painter = QPainter()
    if not painter.begin(paper):
        return False
    painter.scale(dots_an_inch / POINTS_AN_INCH, dots_an_inch / POINTS_AN_INCH)
    for number, draw in enumerate(drawn):
        if number:
            paper.newPage()
        draw(painter)
    return painter.end()
