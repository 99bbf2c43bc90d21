"""The wrap report drawn with Qt: the timeline and the ages as SVG, and the whole report as a PDF."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QRectF, QSizeF, Qt, QUrl
from PySide6.QtGui import (
    QAbstractTextDocumentLayout,
    QColor,
    QImage,
    QPageLayout,
    QPainter,
    QPalette,
    QPen,
    QTextCursor,
    QTextDocument,
    QTextFormat,
    QTextTable,
)
from PySide6.QtSvg import QSvgGenerator

from studiotimer.window import theme
from studiotimer.window.paper import Page, ensure_application, page_layout, paper_font, paper_pdf
from studiotimer.window.wrap.ages_paint import paint_ages
from studiotimer.window.wrap.timeline_paint import (
    AXIS,
    LEGEND,
    SHOTS,
    TRACK,
    full_height,
    paint_timeline,
    tracks_of,
)
from studiotimer.window.wrap.view import View
from studiotimer.wrap.report import Report, Shown
from studiotimer.wrap.report_html import PRINTED, SHEET, page, template
from studiotimer.wrap.selects import ByAge
from studiotimer.wrap.timeline import Timeline

SVG_WIDTH = 1220.0
AGES_SIZE = QSizeF(520.0, 190.0)
SHRINK = 0.62
"""The timeline on paper against the screen's logical pixels: its 12-pixel type stands as 7.4 points."""
PAGE = theme.LIGHT
COLUMNS, ROWS = 7, 4
LEAST_ROW, MOST_ROW = 16.0, 30.0
NOTE_ROOM = 16.0
"""The room a line under a table takes [points]."""
FRAME_SIZE, OUTLINE = QSizeF(480.0, 330.0), 12.0
"""The pixels of a frame on paper, and how thick a select's outline is in them."""

_PROLOG = re.compile(r"^.*?(?=<svg)", re.DOTALL)
_DESCRIBED = re.compile(r"<title>.*?</title>\s*<desc>.*?</desc>\s*", re.DOTALL)


def timeline_svg(timeline: Timeline) -> str:
    """Return the whole timeline as an SVG element, every row of it."""
    size, view = QSizeF(SVG_WIDTH, full_height(timeline)), View.whole(timeline)
    return _svg("timeline", size, lambda painter, area: paint_timeline(painter, area, timeline, view, PAGE))


def ages_svg(by_age: ByAge, number: int = 1) -> str:
    """Return selects against age as an SVG element, the page's `number`th of its kind."""
    return _svg(f"ages{number}", AGES_SIZE, lambda painter, area: paint_ages(painter, area, by_age, PAGE))


def _svg(name: str, size: QSizeF, paint: Callable[[QPainter, QRectF], None]) -> str:
    ensure_application()
    data = QByteArray()
    buffer = QBuffer(data)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    generator = QSvgGenerator()
    generator.setOutputDevice(buffer)
    generator.setResolution(96)
    generator.setSize(size.toSize())
    generator.setViewBox(QRectF(0, 0, size.width(), size.height()))
    painter = QPainter(generator)
    paint(painter, QRectF(0, 0, size.width(), size.height()))
    painter.end()
    buffer.close()
    text = _DESCRIBED.sub("", _PROLOG.sub("", bytes(data.data()).decode("utf-8")))
    return _own_ids(text, name)


def _own_ids(text: str, name: str) -> str:
    """Return the SVG with its ids told apart from those of another in the same page."""
    text = re.sub(r'\bid="([^"]+)"', rf'id="{name}-\1"', text)
    return re.sub(r"url\(#([^)]+)\)", rf"url(#{name}-\1)", text)


def drawn_files(report: Report, letter: bool = False) -> dict[str, bytes]:
    """Return the page and the PDF by file name."""
    drawn = timeline_svg(report.timeline), [ages_svg(one, number) for number, one in enumerate(report.ages, 1)]
    return {"report.html": page(report, *drawn), "report.pdf": report_pdf(report, letter)}


@dataclass(frozen=True)
class ReportPaper:
    """The report as it is printed."""

    content: Report
    letter: bool = False
    noun = "report"

    @property
    def title(self) -> str:
        """Of what it is the report."""
        return self.content.title

    def layout(self) -> QPageLayout:
        """Return its page, across."""
        return page_layout(self.letter, QPageLayout.Orientation.Landscape)

    def pages(self, inner: QSizeF) -> Iterator[Page]:
        """Yield what draws each page: the timeline first, then the tables and the frames."""
        return _pages(self.content, inner)


def report_pdf(report: Report, letter: bool = False) -> bytes:
    """Return the report as a PDF. Any thread may ask for it."""
    return paper_pdf(ReportPaper(report, letter), report.made)


def _pages(report: Report, inner: QSizeF) -> Iterator[Page]:
    head = _head(report, inner)
    above = head.size().height() + 8
    yield from _timeline_pages(report.timeline, inner, head, above)
    body = _body(report, inner)
    for number in range(body.pageCount()):
        yield partial(_draw, body, number, inner)
    yield from _frames_pages(report, inner)


def _frames_pages(report: Report, inner: QSizeF) -> Iterator[Page]:
    """Yield the pages of frames: whole rows, each picture clear of its words."""
    wide = inner.width() / COLUMNS - 14
    for start in range(0, len(report.shown), COLUMNS * ROWS):
        document = _document(inner.width())
        sheet = report.shown[start : start + COLUMNS * ROWS]
        frames = [(one, _picture(document, start + index, one)) for index, one in enumerate(sheet)]
        last = start + len(sheet) == len(report.shown)
        document.setHtml(
            template(SHEET).render(
                rows=[frames[row : row + COLUMNS] for row in range(0, len(frames), COLUMNS)], columns=COLUMNS,
                first=start == 0, width=round(wide), height=round(wide * FRAME_SIZE.height() / FRAME_SIZE.width()),
                note=report.shown_note if last else "",
            )
        )  # fmt: skip
        yield partial(_draw, document, 0, inner)


def _timeline_pages(timeline: Timeline, inner: QSizeF, head: QTextDocument, above: float) -> Iterator[Page]:
    fixed = (SHOTS + len(tracks_of(timeline)) * TRACK + AXIS + LEGEND) * SHRINK
    total, shown = len(timeline.rows), 0
    while shown < total or shown == 0:
        room = inner.height() - fixed - (above if shown == 0 else 0.0)
        fit = max(int(room / (LEAST_ROW * SHRINK)), 1)
        part = min(fit, total - shown) if total else 0
        row = min(max(room / SHRINK / max(part, 1), LEAST_ROW), MOST_ROW)
        view = View.whole(timeline, row).moved(0.0, shown)
        first = shown == 0
        height = fixed + part * row * SHRINK

        def paint(painter: QPainter, view: View = view, first: bool = first, height: float = height) -> None:
            if first:
                _draw(head, 0, inner, painter)
                painter.translate(0.0, above)
            painter.scale(SHRINK, SHRINK)
            area = QRectF(0.0, 0.0, inner.width() / SHRINK, height / SHRINK)
            paint_timeline(painter, area, timeline, view, PAGE)

        yield paint
        shown += max(part, 1)


def _draw(document: QTextDocument, number: int, inner: QSizeF, painter: QPainter) -> None:
    painter.save()
    painter.translate(0.0, -number * inner.height())
    context = QAbstractTextDocumentLayout.PaintContext()
    context.clip = QRectF(0.0, number * inner.height(), inner.width(), inner.height())
    context.palette.setColor(QPalette.ColorRole.Text, QColor(PAGE.text))
    painter.setClipRect(context.clip)
    document.documentLayout().draw(painter, context)
    painter.restore()


def _head(report: Report, inner: QSizeF) -> QTextDocument:
    document = _document(inner.width())
    text = template_from(
        "<h1>{{ report.title }}</h1><p class='quiet'>{{ report.subtitle }}</p>"
        "{% for words in report.findings %}<p class='finding'>{{ words }}</p>{% endfor %}"
        "{% if report.next_time %}<p class='quiet'><b>Next time</b> {{ report.next_time }}</p>{% endif %}"
        "<table width='100%' cellspacing='0' style='margin-top: 8px'><tr valign='top'>{% for fact in report.facts %}"
        "<td width='{{ 100 // report.facts|length }}%'><span class='quiet'>{{ fact.caption }}</span><br>"
        "<span class='figure'>{{ fact.figure }}</span><br><span class='quiet'>{{ fact.note }}</span></td>"
        "{% endfor %}</tr></table>",
        report,
    )
    document.setHtml(text)
    return document


def template_from(source: str, report: Report) -> str:
    """Return a short template filled in, escaped as the page is."""
    from jinja2 import Environment

    return Environment(autoescape=True).from_string(source).render(report=report)


def _body(report: Report, inner: QSizeF) -> QTextDocument:
    document = _document(inner.width())
    ages = [
        (by_age, _added(document, f"ages:{index}", _ages_image(by_age))) for index, by_age in enumerate(report.ages)
    ]
    ages_width = min(AGES_SIZE.width() * 0.7, inner.width() / max(len(ages), 1) - 16)
    document.setHtml(
        template(PRINTED).render(
            report=report, ages=ages, ages_width=round(ages_width),
            ages_height=round(ages_width * AGES_SIZE.height() / AGES_SIZE.width()),
        )
    )  # fmt: skip
    document.setPageSize(inner)
    keep_whole(document)
    return document


def _document(width: float) -> QTextDocument:
    document = QTextDocument()
    document.setDocumentMargin(0)
    document.setUseDesignMetrics(True)
    document.setDefaultFont(paper_font(8))
    document.setDefaultStyleSheet(
        f"body, td, th, p {{ color: {PAGE.text}; font-size: 8px }} td, th {{ padding: 1px 8px 2px 0 }}"
        "h1 { font-size: 19px; font-weight: 600; margin: 0 } p { margin: 1px 0 1px 0 } .picture { margin: 0 0 3px 0 }"
        ".finding { font-size: 11px; font-weight: 600; margin: 2px 0 2px 0 }"
        "h2 { font-size: 10px; font-weight: 600; margin: 10px 0 2px 0 } .figure { font-size: 16px; font-weight: 600 }"
        f".quiet, th {{ color: {PAGE.quiet}; font-weight: normal }} .caution {{ color: {PAGE.warning} }}"
    )
    document.setTextWidth(width)
    return document


def _ages_image(by_age: ByAge) -> QImage:
    image = QImage((AGES_SIZE * 3).toSize(), QImage.Format.Format_RGB32)
    image.fill(QColor("#FFFFFF"))
    painter = QPainter(image)
    painter.scale(3, 3)
    paint_ages(painter, QRectF(0, 0, AGES_SIZE.width(), AGES_SIZE.height()), by_age, PAGE)
    painter.end()
    return image


def _picture(document: QTextDocument, index: int, frame: Shown) -> str | None:
    if frame.picture is None:
        return None
    image = QImage.fromData(frame.picture)
    return None if image.isNull() else _added(document, f"frame:{index}", framed(image, frame.select))


def framed(picture: QImage, select: bool) -> QImage:
    """Return a picture in a box of one size for all, outlined where it is a select."""
    box = QImage(FRAME_SIZE.toSize(), QImage.Format.Format_RGB32)
    box.fill(QColor("#FFFFFF"))
    inner = QRectF(0, 0, FRAME_SIZE.width(), FRAME_SIZE.height()).adjusted(OUTLINE, OUTLINE, -OUTLINE, -OUTLINE)
    size = QSizeF(picture.size()).scaled(inner.size(), Qt.AspectRatioMode.KeepAspectRatio)
    place = QRectF(0, 0, size.width(), size.height())
    place.moveCenter(inner.center())
    painter = QPainter(box)
    painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
    painter.drawImage(place, picture)
    if select:
        pen = QPen(QColor(PAGE.text), OUTLINE)
        pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
        painter.setPen(pen)
        painter.drawRect(place.adjusted(-OUTLINE / 2, -OUTLINE / 2, OUTLINE / 2, OUTLINE / 2))
    painter.end()
    return box


def keep_whole(document: QTextDocument) -> None:
    """Have each table that fits on a page stand on one, with its heading; a longer one repeats its head."""
    layout, page = document.documentLayout(), document.pageSize().height()
    for table in document.rootFrame().childFrames():
        if not isinstance(table, QTextTable):
            continue
        heading = document.findBlock(table.firstPosition()).previous()
        while heading.isValid() and not heading.text().strip() and heading.previous().isValid():
            heading = heading.previous()
        if heading.blockFormat().pageBreakPolicy() == QTextFormat.PageBreakFlag.PageBreak_AlwaysBefore:
            continue
        form = table.format()
        form.setHeaderRowCount(1)
        table.setFormat(form)
        top = layout.blockBoundingRect(heading).top()
        bottom = layout.frameBoundingRect(table).bottom() + NOTE_ROOM
        if int(top // page) != int((bottom - 1) // page) and bottom - top <= page:
            cursor = QTextCursor(heading)
            block = cursor.blockFormat()
            block.setPageBreakPolicy(QTextFormat.PageBreakFlag.PageBreak_AlwaysBefore)
            cursor.setBlockFormat(block)


def _added(document: QTextDocument, name: str, image: QImage) -> str:
    document.addResource(QTextDocument.ResourceType.ImageResource.value, QUrl(name), image)
    return name
