"""The printed sheet drawn with Qt: A4 or Letter, as a PDF or as pictures for the preview."""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Sequence
from functools import cache, partial
from html import escape

from PySide6.QtCore import QRectF, QSizeF, Qt
from PySide6.QtGui import QColor, QPainter, QTextDocument

from studiotimer.prep.cards import Card
from studiotimer.prep.found import Fact
from studiotimer.prep.printed import Brings, Line, Printed, Table
from studiotimer.window.paper import paper_font
from studiotimer.window.prep.pages import Pages, Strokes

INK, QUIET, BAD, CAUTION = "#12171A", "#5A6468", "#A82434", "#7A430B"
SAND, RULE = "#F2E8D9", "#DDD2C0"
SIZES_PT = tuple(quarters / 4 for quarters in range(42, 37, -1))
"""The sizes the text may have, a pixel of the document being a point of the page: the least is read at arm's length."""
FOOT_PT = 18.0
COLUMNS = 3

_UNIT = re.compile(r"(?<=\d) (?=(?:°[CF]|%|kg|lb|oz|h|m³|ft³|ppm|mm|in)(?!\w))")


def sheet_pages(sheet: Printed) -> Pages:
    """Return the sheet's pages."""
    return Pages(sheet.title, sheet, partial(_drawn, sheet))


def _drawn(sheet: Printed, inner: QSizeF) -> Sequence[Strokes]:
    body = QSizeF(inner.width(), inner.height() - FOOT_PT)
    parts = _parts(sheet, body)
    pages = [(document, page) for document in parts for page in range(document.pageCount())]
    return [
        partial(_draw, document, page, body, f"{sheet.footer}, {number} of {len(pages)}")
        for number, (document, page) in enumerate(pages, 1)
    ]


def _parts(sheet: Printed, inner: QSizeF) -> list[QTextDocument]:
    """Return the sheet in parts that each begin a page: as few pages as there can be, then as few parts cut by one."""
    day, things, brings, cards = _day(sheet), _things(sheet), _brought(sheet), _cards(sheet)
    ways = ((day + things + brings, cards), (day + things, cards + brings), (day, things + brings, cards))
    return min(([_document(html, inner) for html in way] for way in ways), key=_cost)


def _cost(parts: Sequence[QTextDocument]) -> tuple[int, int]:
    pages = [part.pageCount() for part in parts]
    return sum(pages), sum(count > 1 for count in pages)


def _draw(document: QTextDocument, page: int, inner: QSizeF, footer: str, painter: QPainter) -> None:
    painter.save()
    painter.setFont(paper_font(9))
    painter.setPen(QColor(QUIET))
    painter.drawText(QRectF(0.0, inner.height(), inner.width(), FOOT_PT), Qt.AlignmentFlag.AlignBottom, footer)
    painter.translate(0.0, -page * inner.height())
    document.drawContents(painter, QRectF(0.0, page * inner.height(), inner.width(), inner.height()))
    painter.restore()


def _document(html: str, inner: QSizeF) -> QTextDocument:
    """Return `html` in the largest type that takes no more pages of `inner` points than the smallest."""

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

    fewest = laid_out(SIZES_PT[-1]).pageCount()
    place = bisect_left(SIZES_PT, True, key=lambda points: laid_out(points).pageCount() <= fewest)
    return laid_out(SIZES_PT[place])


def _style(points: float) -> str:
    return (
        "td, th { padding: 1px 8px 1px 0px }"
        f"body, td, th, p {{ color: {INK}; font-size: {points:.2f}px }}"
        f"h1 {{ font-size: {points * 2.4:.2f}px; font-weight: 600; margin: 0 }}"
        f"h2 {{ font-size: {points * 1.2:.2f}px; font-weight: 600; margin: {points * 0.9:.1f}px 0 2px 0 }}"
        f".call {{ font-size: {points * 3:.2f}px; font-weight: 600 }}"
        f".figure {{ font-size: {points * 1.25:.2f}px; font-weight: 600 }}"
        f".quiet, th {{ color: {QUIET}; font-weight: normal }}"
        ".strong { font-weight: 600 }"
        f".bad {{ color: {BAD}; font-weight: 600 }}"
        f".caution {{ color: {CAUTION} }}"
    )


def _day(sheet: Printed) -> str:
    return "".join(
        [
            '<table width="100%" cellspacing="0"><tr>'
            f"<td><h1>{escaped(sheet.title)}</h1><p style='margin:0'>{escaped(sheet.subtitle)}</p></td>"
            "<td align='right' valign='bottom'><span class='quiet'>call time</span><br>"
            f"<span class='call'>{escaped(sheet.call)}</span></td></tr></table>",
            _facts(sheet.facts),
            *(f"<p class='bad' style='margin:2px 0 0 0'>{escaped(text)}</p>" for text in sheet.notes),
            _run_sheet(sheet.run_sheet),
        ]
    )


def _things(sheet: Printed) -> str:
    return "".join(
        [
            *(_table(table) for table in sheet.tables),
            _framed(sheet.cautions),
        ]
    )


def _brought(sheet: Printed) -> str:
    return "<h2>Who brings what</h2>" + _columns([_brings(one) for one in sheet.lists])


def _facts(facts: Sequence[Fact]) -> str:
    cells = "".join(
        f'<td><span class="quiet">{escaped(fact.caption)}</span><br>'
        f'<span class="figure">{escaped(fact.figure)}</span></td>'
        for fact in facts
    )
    return f'<table width="100%" cellspacing="0" style="margin-top:4px"><tr valign="top">{cells}</tr></table>'


def _run_sheet(lines: Sequence[Line]) -> str:
    rows = []
    for line in lines:
        if line.day:
            note = f' &nbsp; <span class="quiet">{escaped(line.day_note)}</span>' if line.day_note else ""
            rows.append(
                f'<tr><td colspan="4" bgcolor="{SAND}" style="padding:1px 8px 1px 8px">'
                f'<span class="strong">{escaped(line.day)}</span>{note}</td></tr>'
            )
        note = f' <span class="quiet">{escaped(line.note)}</span>' if line.note else ""
        what = f'<span class="strong">{escaped(line.what)}</span>' if line.strong else escaped(line.what)
        rows.append(
            f'<tr valign="top">{_tick()}<td {_ruled()} width="9%">{escape(line.time)}</td>'
            f"<td {_ruled()}>{what}{note}</td>"
            f'<td {_ruled()} width="20%"><span class="quiet">{escaped(line.who)}</span></td></tr>'
        )
    return (
        f'<table width="100%" cellspacing="0" style="border-collapse:collapse; margin-top:6px">{"".join(rows)}</table>'
    )


def _tick() -> str:
    return f"<td {_ruled()} width='3%'>☐</td>"


def _ruled() -> str:
    return f'style="border-bottom:0.5px solid {RULE}"'


def _table(table: Table) -> str:
    space = "<th></th>" if table.ticked else ""
    head = space + "".join(f'<th align="left">{escaped(column)}</th>' for column in table.columns)
    rows = "".join(
        f'<tr valign="top">{_tick() if table.ticked else ""}'
        + "".join(f"<td {_ruled()}>{escaped(text)}</td>" for text in row)
        + "</tr>"
        for row in table.rows
    )
    return (
        f"<h2>{escaped(table.title)}</h2>"
        f'<table width="100%" cellspacing="0" style="border-collapse:collapse"><tr>{head}</tr>{rows}</table>'
    )


def _brings(one: Brings) -> str:
    phone = f' &nbsp;<span class="quiet">{escaped(one.phone)}</span>' if one.phone else ""
    items = "".join(f"<br>☐ {escaped(item)}" for item in one.items)
    return f'<p style="margin:0 0 4px 0"><span class="strong">{escaped(one.who)}</span>{phone}{items}</p>'


def _columns(blocks: Sequence[str]) -> str:
    """Return blocks side by side, the longest first, each put into the column that is shortest so far."""
    columns: list[list[str]] = [[] for _ in range(COLUMNS)]
    for block in sorted(blocks, key=lambda one: -one.count("<br>")):
        min(columns, key=lambda column: sum(one.count("<br>") + 2 for one in column)).append(block)
    cells = "".join(f'<td width="{100 // COLUMNS}%">{"".join(column)}</td>' for column in columns)
    return f'<table width="100%" cellspacing="0"><tr valign="top">{cells}</tr></table>'


def _framed(texts: Sequence[str]) -> str:
    if not texts:
        return ""
    inside = "".join(f"<p class='caution' style='margin:0 0 2px 0'>{escaped(text)}</p>" for text in texts)
    return (
        f'<table width="100%" cellspacing="0" style="border:1px solid {CAUTION}; border-collapse:collapse; '
        f'margin-top:8px"><tr><td style="padding:5px 8px 5px 8px">'
        f"<span class='caution'><b>▲ Dry ice</b></span>{inside}</td></tr></table>"
    )


def _cards(sheet: Printed) -> str:
    return f"<h1>{escaped(sheet.title)}, shots</h1>" + "".join(_card(card) for card in sheet.cards)


def _card(card: Card) -> str:
    bad = f'<p class="bad" style="margin:2px 0 0 0">{escaped(card.bad)}</p>' if card.bad else ""
    spots = "".join(
        f'<tr><td class="quiet">{escaped(spot)}</td><td class="strong">{escaped(flavour)}</td></tr>'
        for spot, flavour in card.spots
    )
    steps = "".join(
        f'<tr valign="top">{_tick()}<td {_ruled()}>{escaped(what)}</td>'
        f'<td {_ruled()}><span class="quiet">{escaped(who)}</span></td></tr>'
        for what, who in card.steps
    )
    notes = "".join(f'<p class="quiet" style="margin:1px 0 0 0">{escaped(note)}</p>' for note in card.notes)
    return (
        f'<table width="100%" cellspacing="0" style="margin-top:8px"><tr><td bgcolor="{SAND}" '
        f'style="padding:3px 8px 3px 8px"><span class="figure">{escaped(card.title)}</span></td></tr></table>'
        f"{bad}{_facts(card.facts)}"
        f'<table width="100%" cellspacing="0"><tr valign="top"><td width="38%">'
        f'<table cellspacing="0">{spots}</table></td>'
        f'<td width="62%"><table width="100%" cellspacing="0" style="border-collapse:collapse">{steps}</table></td>'
        "</tr>"
        f"</table>{notes}"
    )


def escaped(text: str) -> str:
    """Return text for the document, each number kept on one line with its unit."""
    return together(escape(text))


def together(text: str) -> str:
    """Return text with each number kept on one line with its unit."""
    return _UNIT.sub("\u00a0", text)
