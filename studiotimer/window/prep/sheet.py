"""The printed sheet drawn with Qt: A4 or Letter, as a PDF or as pictures for the preview."""

from __future__ import annotations

import datetime as dt
import re
from bisect import bisect_left
from collections.abc import Iterable, Sequence
from functools import cache, partial
from html import escape
from pathlib import Path

from PySide6.QtCore import QRectF, QSizeF
from PySide6.QtGui import QImage, QPainter, QTextDocument

from studiotimer.files import write_whole
from studiotimer.prep.printed import Line, Printed, Table
from studiotimer.window.paper import paper_font
from studiotimer.window.prep.pages import Pages, Strokes, pages_pdf, pages_pictures

INK, QUIET, BAD, CAUTION = "#12171A", "#5A6468", "#A82434", "#8A4B0F"
SIZES_PT = tuple(quarters / 4 for quarters in range(38, 26, -1))
"""The sizes the text may have, a pixel of the document being a point of the page."""

_UNIT = re.compile(r"(?<=\d) (?=(?:°[CF]|%|kg|lb|h|m³|ft³|ppm|mm|in)(?!\w))")


def write_pdf(sheet: Printed, path: Path, made: dt.datetime, letter: bool = False) -> None:
    """Write the sheet as a PDF whole or not at all; the same sheet and `made` (aware) give the same bytes.

    Raises OSError when the file cannot be written.
    """
    write_whole(path, pdf_bytes(sheet, made, letter))


def pdf_bytes(sheet: Printed, made: dt.datetime, letter: bool = False) -> bytes:
    """Return the sheet as a PDF, of one page unless it is too long for that; its stated dates are `made` (aware)."""
    return pages_pdf(sheet_pages(sheet), made, letter)


def pictures(sheet: Printed, width_px: int, letter: bool = False) -> list[QImage]:
    """Return each page as a picture `width_px` wide, drawn as the PDF is."""
    return pages_pictures(sheet_pages(sheet), width_px, letter)


def sheet_pages(sheet: Printed) -> Pages:
    """Return the sheet's pages."""
    return Pages(sheet.title, sheet, partial(_drawn, sheet))


def _drawn(sheet: Printed, inner: QSizeF) -> Sequence[Strokes]:
    document = _document(sheet, inner)
    return [partial(_draw, document, page, inner) for page in range(document.pageCount())]


def _draw(document: QTextDocument, page: int, inner: QSizeF, painter: QPainter) -> None:
    painter.save()
    painter.translate(0.0, -page * inner.height())
    document.drawContents(painter, QRectF(0.0, page * inner.height(), inner.width(), inner.height()))
    painter.restore()


def _document(sheet: Printed, inner: QSizeF) -> QTextDocument:
    """Return the sheet in the largest type that fits one page of `inner` points; the smallest may take more."""
    html = _html(sheet)

    @cache
    def laid_out(points: float) -> QTextDocument:
        document = QTextDocument()
        document.setDocumentMargin(0)
        document.setUseDesignMetrics(True)
        document.setDefaultFont(paper_font(points))
        document.setDefaultStyleSheet(_style(points))
        document.setHtml(html)
        document.setPageSize(inner)
        return document

    place = bisect_left(SIZES_PT, True, key=lambda points: laid_out(points).pageCount() == 1)
    return laid_out(SIZES_PT[min(place, len(SIZES_PT) - 1)])


def _style(points: float) -> str:
    return (
        "td, th { padding: 1px 8px 2px 0px }"
        f"body, td, th, p {{ color: {INK}; font-size: {points:.2f}px }}"
        f"h1 {{ font-size: {points * 2.2:.2f}px; font-weight: 600; margin: 0 }}"
        f"h2 {{ font-size: {points * 1.1:.2f}px; font-weight: 600; margin: {points * 1.2:.1f}px 0 1px 0 }}"
        f".figure {{ font-size: {points * 2:.2f}px; font-weight: 600 }}"
        f".quiet, th {{ color: {QUIET}; font-weight: normal }}"
        ".who { font-weight: 600 }"
        f".bad {{ color: {BAD}; font-weight: 600 }}"
        f".caution {{ color: {CAUTION} }}"
    )


def _html(sheet: Printed) -> str:
    facts = "".join(
        f'<td width="{100 // len(sheet.facts)}%"><span class="figure">{escaped(fact.figure)}</span><br>'
        f'<span class="quiet">{escaped(fact.caption)}</span></td>'
        for fact in sheet.facts
    )
    lines = "".join(_line(line) for line in sheet.run_sheet)
    lists = "".join(
        f'<p style="margin:0 0 4px 0"><span class="who">{escaped(who)}</span><br>{_ticked(items)}</p>'
        for who, items in sheet.lists
    )
    columns = (
        f'<td width="62%"><h2>Run sheet</h2><table width="100%" cellspacing="0">{lines}</table></td>'
        f'<td width="38%"><h2>Who brings what</h2>{lists}</td>'
    )
    return "".join(
        [
            f"<h1>{escaped(sheet.title)}</h1><p style='margin:1px 0 5px 0' class='quiet'>{escaped(sheet.subtitle)}</p>",
            f'<table width="100%" cellspacing="0">{_row(facts)}</table>',
            *(_table(table) for table in sheet.tables),
            *(f"<p class='quiet' style='margin:3px 0 0 0'>{escaped(text)}</p>" for text in sheet.notes),
            f'<table width="100%" cellspacing="0" style="margin-top:10px">{_row(columns)}</table>',
            *(f"<p class='caution' style='margin:4px 0 0 0'>{escaped(text)}</p>" for text in sheet.cautions),
            f"<p class='quiet' style='margin:4px 0 0 0'>{escaped(sheet.footer)}</p>",
        ]
    )


def _table(table: Table) -> str:
    head = "".join(f'<th align="left">{escaped(column)}</th>' for column in table.columns)
    rows = "".join(
        _row("".join(_cell(text, (y, x) in table.bad) for x, text in enumerate(row)))
        for y, row in enumerate(table.rows)
    )
    inside = f"{_row(head)}{rows}"
    return f'<h2>{escaped(table.title)}</h2><table width="100%" cellspacing="0">{inside}</table>'


def _line(line: Line) -> str:
    note = f'<br><span class="quiet">{escaped(line.note)}</span>' if line.note else ""
    time = escape(line.time).replace(" ", "&nbsp;")
    return _row(f"<td>{time}</td><td>{escaped(line.what)}{note}</td><td class='quiet'>{escaped(line.who)}</td>")


def escaped(text: str) -> str:
    """Return text for the document, each number kept on one line with its unit."""
    return _UNIT.sub("\u00a0", escape(text))


def _cell(text: str, bad: bool) -> str:
    return f'<td class="bad">{escaped(text)}</td>' if bad else f"<td>{escaped(text)}</td>"


def _row(cells: str) -> str:
    return f'<tr valign="top">{cells}</tr>'


def _ticked(items: Iterable[str]) -> str:
    return "<br>".join(f"□ {escaped(item)}" for item in items)
