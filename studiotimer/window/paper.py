"""Paper: its pages, the typeface for it, pictures of them, and PDFs in which the same contents are the same bytes."""

from __future__ import annotations

import datetime as dt
import re
import threading
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from functools import cache
from itertools import islice
from typing import Protocol

from PySide6.QtCore import QBuffer, QByteArray, QEventLoop, QHashSeed, QIODevice, QMarginsF, QSizeF, QUuid
from PySide6.QtGui import (
    QColor,
    QFont,
    QGuiApplication,
    QImage,
    QPagedPaintDevice,
    QPageLayout,
    QPageSize,
    QPainter,
    QPdfWriter,
)

from studiotimer.window import theme

MARGIN_MM = 12.0
POINTS_AN_INCH, DOTS_AN_INCH = 72, 600
WHITE = "#FFFFFF"

Page = Callable[[QPainter], None]
"""Draws one page in points, from the corner inside its margins."""

_ONE_AT_A_TIME = threading.Lock()
_STAMP = re.compile(rb"\(D:\d{14}(Z|[+-]\d\d'\d\d')\)")
_XMP_STAMP = re.compile(rb'(xmp:\w+Date=")\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(Z|[+-]\d\d:\d\d)')


def paper_font(pixels: float, weight: theme.Weight = "regular") -> QFont:
    """Return the program's typeface without figures of one width and raised colons, which a PDF cannot name.

    A PDF's text is read and copied: "09:00" would lose its colon.
    """
    chosen = QFont(theme.font(pixels, weight))
    chosen.clearFeatures()
    chosen.setFeature(QFont.Tag("calt"), 0)
    chosen.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    return chosen


def page_layout(letter: bool, orientation: QPageLayout.Orientation) -> QPageLayout:
    """Return a page of A4, or of Letter."""
    size = QPageSize(QPageSize.PageSizeId.Letter if letter else QPageSize.PageSizeId.A4)
    margins = QMarginsF(MARGIN_MM, MARGIN_MM, MARGIN_MM, MARGIN_MM)
    return QPageLayout(size, orientation, margins, QPageLayout.Unit.Millimeter)


class Paper(Protocol):
    """What can be shown page by page and printed, "the sheet of Three in a coupe"; made anew from its content."""

    @property
    def noun(self) -> str:
        """What it is, in a word."""

    @property
    def title(self) -> str:
        """Of what it is."""

    @property
    def content(self) -> object:
        """What is on it, as plain values."""

    @property
    def letter(self) -> bool:
        """Whether it is for Letter; else for A4."""

    def layout(self) -> QPageLayout:
        """Return its page."""

    def pages(self, inner: QSizeF) -> Iterable[Page]:
        """Return what draws each page, `inner` points inside its margins."""


def draw_on(device: QPagedPaintDevice, dots_an_inch: int, paper: Paper) -> bool:
    """Draw every page inside the margins of `device`; return whether it could be drawn on."""
    painter = QPainter()
    if not painter.begin(device):
        return False
    painter.scale(dots_an_inch / POINTS_AN_INCH, dots_an_inch / POINTS_AN_INCH)
    inner = device.pageLayout().paintRect(QPageLayout.Unit.Point).size()
    for number, draw in enumerate(paper.pages(inner)):
        if number:
            device.newPage()
        painter.save()
        draw(painter)
        painter.restore()
    return painter.end()


def pictures_of(paper: Paper, width_px: int, most: int | None = None) -> list[QImage]:
    """Return pages as pictures `width_px` wide, drawn as the PDF is, no more than `most`; in any thread."""
    ensure_application()
    QEventLoop()
    layout, images = paper.layout(), []
    full, inner = layout.fullRect(QPageLayout.Unit.Point), layout.paintRect(QPageLayout.Unit.Point)
    scale = width_px / full.width()
    for draw in islice(paper.pages(inner.size()), most):
        image = QImage(width_px, round(full.height() * scale), QImage.Format.Format_RGB32)
        image.fill(QColor(WHITE))
        painter = QPainter(image)
        painter.setRenderHint(QPainter.RenderHint.TextAntialiasing)
        painter.scale(scale, scale)
        painter.translate(inner.topLeft())
        draw(painter)
        painter.end()
        images.append(image)
    return images


def paper_pdf(paper: Paper, made: dt.datetime) -> bytes:
    """Return a paper as a PDF; the same content and `made` (aware) give the same bytes. Any thread may ask for it."""
    contents = repr(paper.content)
    return pdf(paper.layout(), paper.title, contents, made, lambda writer: draw_on(writer, DOTS_AN_INCH, paper))


def pdf(
    layout: QPageLayout, title: str, contents: str, made: dt.datetime, paint: Callable[[QPdfWriter], object]
) -> bytes:
    """Return the PDF that `paint` draws, in any thread; its dates are `made` (aware), its name follows `contents`."""
    ensure_application()
    QEventLoop()  # gives a thread of ours what the timers of a document's layout ask for
    with _seeded():
        data = QByteArray()
        buffer = QBuffer(data)
        buffer.open(QIODevice.OpenModeFlag.WriteOnly)
        writer = QPdfWriter(buffer)
        writer.setPageLayout(layout)
        writer.setResolution(DOTS_AN_INCH)
        writer.setTitle(title)
        writer.setCreator("studiotimer")
        writer.setDocumentId(QUuid.createUuidV5(QUuid(), QByteArray(contents.encode())))
        paint(writer)
        buffer.close()
        return _dated(bytes(data.data()), made)


@contextmanager
def _seeded() -> Iterator[None]:
    """Let Qt's hashes have the same seed every time, for one PDF after another: the order of fonts follows it."""
    with _ONE_AT_A_TIME:
        QHashSeed.setDeterministicGlobalSeed()
        try:
            yield
        finally:
            QHashSeed.resetRandomGlobalSeed()


def ensure_application() -> None:
    """Start a Qt application without a screen when none is running; fonts need one."""
    if not isinstance(QGuiApplication.instance(), QGuiApplication):
        _screenless()


@cache
def _screenless() -> QGuiApplication:
    return QGuiApplication(["studiotimer", "-platform", "offscreen"])


def _dated(pdf: bytes, made: dt.datetime) -> bytes:
    """Return the PDF with `made` in place of the moment Qt wrote it, byte for byte as long."""
    at = made.astimezone(dt.UTC)

    def stamp(found: re.Match[bytes]) -> bytes:
        zone = b"Z" if found[1] == b"Z" else b"+00'00'"
        return b"(D:" + at.strftime("%Y%m%d%H%M%S").encode() + zone + b")"

    def xmp(found: re.Match[bytes]) -> bytes:
        zone = b"Z" if found[2] == b"Z" else b"+00:00"
        return found[1] + at.strftime("%Y-%m-%dT%H:%M:%S").encode() + zone

    return _XMP_STAMP.sub(xmp, _STAMP.sub(stamp, pdf))
