"""The timeline drawn: one routine for screen, PDF and SVG."""

from __future__ import annotations

import datetime as dt
import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPen, QPolygonF

from studiotimer import units
from studiotimer.window import theme
from studiotimer.window.chart import Scale, Words, time_step, upright, write_in
from studiotimer.window.paper import paper_font
from studiotimer.window.ribbon import paint_stage, stage_ink
from studiotimer.window.wrap.timeline_marks import (
    STRENGTH,
    calls_of,
    hold_shade,
    legend,
    paint_place,
    paint_shape,
    paint_swatch,
)
from studiotimer.window.wrap.view import ROW, View
from studiotimer.wrap.timeline import Row, Span, Timeline

LABEL = 178.0
AXIS = 26.0
LEGEND_ROW = 22.0
LEGEND = 2 * LEGEND_ROW
SHOTS = 22.0
TRACK = 24.0
CALLS = "swaps, ice, readings"
TRACKS = ("frames", "notes", "sauce", CALLS, "air at the set")
TIME_WIDTH = 76.0
"""How far apart times of day stand on the axis at least."""
SWATCH, LEGEND_GAP = 20.0, 14.0


def tracks_of(timeline: Timeline) -> tuple[str, ...]:
    """Return the tracks under the rows; notes and sauce only where there were some."""
    there = {"sauce": timeline.pours, "notes": timeline.notes}
    return tuple(name for name in TRACKS if there.get(name, True))


def full_height(timeline: Timeline, row: float = ROW) -> float:
    """Return how high an area must be to show every row."""
    return SHOTS + len(timeline.rows) * row + len(tracks_of(timeline)) * TRACK + AXIS + LEGEND


class Frame:
    """Where things are in an area: time to the right, rows downward, the tracks under them, the axis, the legend."""

    def __init__(self, area: QRectF, timeline: Timeline, view: View) -> None:
        self.area, self.timeline, self.view = area, timeline, view
        self.left = area.left() + LABEL
        self.width = max(area.width() - LABEL, 1.0)
        self.along = Scale(view.start, view.end, self.left, self.left + self.width)
        self.per_second = self.along.per
        self.rows_top = area.top() + SHOTS
        self.axis_top = area.bottom() - LEGEND - AXIS
        self.tracks = tracks_of(timeline)
        self.tracks_top = max(self.axis_top - len(self.tracks) * TRACK, self.rows_top)

    def x(self, at: float) -> float:
        """Return where session second `at` stands, kept near the area."""
        return min(max(self.along.at(at), self.left - 50.0), self.left + self.width + 50.0)

    def at(self, x: float) -> float:
        """Return the session second at `x`."""
        return self.along.value(x)

    def row_box(self, index: int) -> QRectF:
        """Return the band of a row."""
        top = self.rows_top + (index - self.view.top) * self.view.row
        return QRectF(self.left, top, self.width, self.view.row)

    def row_at(self, y: float) -> int | None:
        """Return the row at `y`."""
        if not self.rows_top <= y < self.tracks_top:
            return None
        index = int((y - self.rows_top) / self.view.row + self.view.top)
        return index if index < len(self.timeline.rows) else None

    def rows_in_view(self) -> range:
        """Return the rows that can be seen."""
        first = max(int(self.view.top), 0)
        room = math.ceil((self.tracks_top - self.rows_top) / self.view.row) + 1
        return range(first, min(first + room, len(self.timeline.rows)))

    def track_top(self, name: str) -> float:
        """Return where a track begins."""
        return self.tracks_top + self.tracks.index(name) * TRACK


def paint_timeline(painter: QPainter, area: QRectF, timeline: Timeline, view: View, colours: theme.Theme) -> None:
    """Draw what is in view of a timeline into `area`."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    frame = Frame(area, timeline, view)
    _paint_shots(painter, frame, colours)
    _paint_holds(painter, frame, colours)
    painter.save()
    painter.setClipRect(QRectF(area.left(), frame.rows_top, area.width(), frame.tracks_top - frame.rows_top))
    for index in frame.rows_in_view():
        _paint_row(painter, frame, index, colours)
    painter.restore()
    _paint_tracks(painter, frame, colours)
    _paint_axis(painter, frame, colours)
    _paint_legend(painter, frame, colours)
    painter.restore()


def _paint_shots(painter: QPainter, frame: Frame, colours: theme.Theme) -> None:
    font, right_end = paper_font(theme.SMALL, "medium"), frame.area.right()
    metrics, before = QFontMetricsF(font), frame.left
    for shot in _in_view(frame, frame.timeline.shots):
        left, right = max(frame.x(shot.start), frame.left), min(frame.x(shot.end), right_end)
        painter.setPen(QPen(colours.colour("line"), 1))
        painter.drawLine(QPointF(left, frame.rows_top - 3), QPointF(right, frame.rows_top - 3))
        wide = math.ceil(metrics.horizontalAdvance(shot.words)) + 6
        begin = max(min(left, right - wide), before)
        box = QRectF(begin, frame.area.top(), right - begin - 6, SHOTS - 5)
        write_in(painter, box, shot.words, colours.colour("text"), font)
        before = min(begin + wide, right) + 6


def _paint_holds(painter: QPainter, frame: Frame, colours: theme.Theme) -> None:
    for hold in _in_view(frame, frame.timeline.holds):
        left, right = max(frame.x(hold.start), frame.left), min(frame.x(hold.end), frame.area.right())
        painter.fillRect(QRectF(left, frame.rows_top, max(right - left, 1.0), frame.tracks_top - frame.rows_top),
                         hold_shade(colours))  # fmt: skip


def _paint_row(painter: QPainter, frame: Frame, index: int, colours: theme.Theme) -> None:
    row, box = frame.timeline.rows[index], frame.row_box(index)
    pad = min(4.0, box.height() * 0.2)
    inner = box.adjusted(0, pad, 0, -pad)
    name, font = box.adjusted(-LABEL, 0, -10 - box.width(), 0), paper_font(min(theme.SMALL, box.height() * 0.7))
    write_in(painter, name, f"{row.number} {row.flavour}", colours.colour("quiet"), font)
    for place in _in_view(frame, row.places):
        _paint_wait(painter, frame, inner, place, colours)
    for stage in _in_view(frame, row.stages):
        _paint_span(painter, frame, inner, stage, colours)
    painter.setPen(QPen(colours.colour("text"), 2))
    for hero in _in_view(frame, row.heroes):
        left, right = max(frame.x(hero.start), frame.left), min(frame.x(hero.end), frame.area.right())
        painter.drawLine(QPointF(left, inner.bottom() + 1.5), QPointF(right, inner.bottom() + 1.5))
    for look in row.looks:
        if frame.view.start <= look.at <= frame.view.end:
            upright(painter, frame.x(look.at), inner.top() - 2, inner.bottom(), painter.pen())


def _part(frame: Frame, band: QRectF, span: Span) -> QRectF | None:
    """Return where a span stands in a band, None when it is out of view."""
    left, right = max(frame.x(span.start), frame.left), min(frame.x(span.end), frame.area.right())
    return QRectF(left, band.top(), max(right - left, 0.7), band.height()) if right >= left else None


def _paint_wait(painter: QPainter, frame: Frame, inner: QRectF, span: Span, colours: theme.Theme) -> None:
    """Draw where a scoop waited as a thin band, what it went through on set being a wide one."""
    third = inner.height() / 3
    part = _part(frame, inner.adjusted(0, third, 0, -third), span)
    if part is not None:
        paint_place(painter, part, span.words, colours, span.assumed)


def _paint_span(painter: QPainter, frame: Frame, inner: QRectF, span: Span, colours: theme.Theme) -> None:
    part = _part(frame, inner, span)
    if part is None:
        return
    paint_stage(painter, part, span.words, STRENGTH)
    if part.width() > 2:
        upright(painter, part.left() + 0.5, part.top(), part.bottom(), QPen(colours.colour("ground"), 1.5))
    if span.assumed and part.width() > 2:
        painter.setPen(QPen(colours.colour("quiet"), 1, Qt.PenStyle.DashLine))
        painter.drawRect(part.adjusted(0.5, 0.5, -0.5, -0.5))
    if part.width() > 44 and inner.height() >= 11:
        write_in(painter, part.adjusted(5, 0, -3, 0), span.words, stage_ink(span.words), whole=True)


def _paint_tracks(painter: QPainter, frame: Frame, colours: theme.Theme) -> None:
    timeline = frame.timeline
    quiet, font = colours.colour("quiet"), paper_font(theme.SMALL)
    for name in frame.tracks:
        write_in(painter, QRectF(frame.area.left(), frame.track_top(name), LABEL - 10, TRACK), name, quiet, font)
    _paint_frames(painter, frame, colours)
    if timeline.notes:
        _paint_notes(painter, frame, colours)
    middle = frame.track_top(CALLS) + TRACK / 2
    for name, marks in calls_of(timeline):
        for mark in marks:
            if frame.view.start <= mark.at <= frame.view.end:
                paint_shape(painter, QPointF(frame.x(mark.at), middle), name, colours)
    for pour in _in_view(frame, timeline.pours):
        box = QRectF(0, frame.track_top("sauce") + 7, 0, TRACK - 14)
        if (part := _part(frame, box, pour)) is not None:
            painter.fillRect(part.adjusted(0, 0, max(2.0 - part.width(), 0.0), 0), colours.colour("text"))
    _paint_air(painter, frame, colours)


def _paint_notes(painter: QPainter, frame: Frame, colours: theme.Theme) -> None:
    """Write each note behind its time as far as the next one leaves room, or before it where there is more."""
    top = frame.track_top("notes")
    notes = [one for one in frame.timeline.notes if frame.view.start <= one.at <= frame.view.end]
    painter.setFont(paper_font(theme.SMALL))
    metrics, written = QFontMetricsF(painter.font()), frame.left
    for place, note in enumerate(notes):
        x = frame.x(note.at)
        until = frame.x(notes[place + 1].at) - 6 if place + 1 < len(notes) else frame.area.right()
        upright(painter, x, top + 5, top + TRACK - 5, QPen(colours.colour("text"), 1.5))
        wide = metrics.horizontalAdvance(note.words) + 2
        if until - x - 5 < wide and x - 5 - written > until - x - 5:
            room = min(wide, x - 5 - written)
            write_in(painter, QRectF(x - 5 - room, top, room, TRACK), note.words)
            written = x
        elif until - x > 40:
            write_in(painter, QRectF(x + 5, top, until - x - 5, TRACK), note.words)
            written = min(x + 5 + wide, until)


def _paint_frames(painter: QPainter, frame: Frame, colours: theme.Theme) -> None:
    """Draw the frames, those that fall on one point of the area as one; selects stand taller and thicker."""
    top, (times, selects) = frame.track_top("frames"), frame.timeline.frame_times
    first, last = np.searchsorted(times, (frame.view.start, frame.view.end))
    painter.setPen(QPen(colours.colour("text"), 3))
    for clip in frame.timeline.clips:
        if clip.at <= frame.view.end and clip.at + clip.length_s >= frame.view.start:
            left, right = max(frame.x(clip.at), frame.left), min(frame.x(clip.at + clip.length_s), frame.area.right())
            painter.drawLine(QLineF(left, top + TRACK / 2, max(right, left + 1.0), top + TRACK / 2))
    places = np.rint(frame.left + (times[first:last] - frame.view.start) * frame.per_second)
    chosen = np.unique(places[selects[first:last]])
    others = np.setdiff1d(places, chosen)
    for xs, inset, pen in (
        (others, 8, QPen(colours.colour("quiet"), 1)), (chosen, 3, QPen(colours.colour("text"), 2.5)),
    ):  # fmt: skip
        painter.setPen(pen)
        painter.drawLines([QLineF(x, top + inset, x, top + TRACK - inset) for x in xs.tolist()])


def _paint_air(painter: QPainter, frame: Frame, colours: theme.Theme) -> None:
    air = frame.timeline.air
    if not air:
        return
    top = frame.track_top("air at the set") + 4
    low, high = min(c for _, c in air), max(c for _, c in air)
    spare = max(1.0 - (high - low), 0.0) / 2
    up = Scale(low - spare, high + spare, top + TRACK - 8, top)
    first = max(bisect_left(air, (frame.view.start,)) - 1, 0)
    last = bisect_right(air, (frame.view.end, math.inf)) + 1
    points = [QPointF(frame.x(at), up.at(c)) for at, c in air[first:last]]
    painter.save()
    painter.setClipRect(QRectF(frame.left, top - 4, frame.width, TRACK))
    painter.setPen(QPen(colours.colour("accent"), 2))
    painter.drawPolyline(QPolygonF(points))
    painter.restore()
    said = Words(painter, frame.area.left(), frame.left - 12, top + TRACK / 2 + 0.5)
    said.write(frame.left, air_words(low, high), colours.colour("quiet"), paper_font(theme.SMALL), before=1.0)


def _paint_axis(painter: QPainter, frame: Frame, colours: theme.Theme) -> None:
    y, font = frame.axis_top + 4, paper_font(theme.SMALL)
    times = Words(painter, frame.left, frame.area.right() - 1, y + 16)
    for at, words in ticks(frame):
        upright(painter, frame.x(at), y - 3, y + 2, QPen(colours.colour("line"), 1))
        times.write(frame.x(at), words, colours.colour("quiet"), font)


def _paint_legend(painter: QPainter, frame: Frame, colours: theme.Theme) -> None:
    """Say what the bands and marks of the rows mean, those of this day; what has no room is left out."""
    painter.setFont(paper_font(theme.SMALL))
    metrics = QFontMetricsF(painter.font())
    x, top = frame.area.left(), frame.area.bottom() - LEGEND + 6
    for name in legend(frame.timeline):
        width = SWATCH + 5 + metrics.horizontalAdvance(name)
        if x + width > frame.area.right():
            if top + 2 * LEGEND_ROW > frame.area.bottom() + 6:
                continue
            x, top = frame.area.left(), top + LEGEND_ROW
        paint_swatch(painter, QRectF(x, top, SWATCH, LEGEND_ROW - 10), name, colours)
        words = QRectF(x + SWATCH + 5, top - 4, width - SWATCH, LEGEND_ROW - 2)
        write_in(painter, words, name, colours.colour("quiet"))
        x += width + LEGEND_GAP
    if waited := frame.timeline.waited:
        fits = metrics.horizontalAdvance(waited) <= frame.area.right() - x
        if not fits and top + 2 * LEGEND_ROW <= frame.area.bottom() + 6:
            x, top = frame.area.left(), top + LEGEND_ROW
        box = QRectF(x, top - 4, frame.area.right() - x, LEGEND_ROW - 2)
        write_in(painter, box, waited, colours.colour("text"))


def air_words(low: float, high: float) -> str:
    """Return a span of air temperatures [°C] in the units that are shown."""
    if high - low < 0.5:
        return units.temperature(low)
    figure, _, _ = units.temperature(low).rpartition(" ")
    return f"{figure} to {units.temperature(high)}"


def ticks(frame: Frame) -> Iterator[tuple[float, str]]:
    """Yield the times of day that the axis names, with their session seconds, far enough apart to be read."""
    span = frame.view.end - frame.view.start
    step = time_step(span, span * frame.per_second / TIME_WIDTH)
    first = frame.timeline.time_of_day(frame.view.start)
    midnight = first.replace(hour=0, minute=0, second=0, microsecond=0, fold=0)
    into = (first.astimezone(dt.UTC) - midnight.astimezone(dt.UTC)).total_seconds()
    at = frame.view.start + (math.ceil(into / step) * step - into)
    while at <= frame.view.end:
        moment = frame.timeline.time_of_day(at)
        words = f"{moment:%H:%M:%S}" if step < 60 else f"{moment:%H:%M}"
        yield at, f"{moment.day} {moment:%b}, {words}" if span > 86400 else words
        at += step


def _in_view(frame: Frame, spans: Sequence[Span]) -> Iterator[Span]:
    return (span for span in spans if span.end >= frame.view.start and span.start <= frame.view.end)


def row_words(row: Row, at: float) -> str:
    """Return what a scoop was doing at session second `at`."""
    for span in (*row.stages, *row.places):
        if span.start <= at < span.end:
            where = "on set, " if span in row.stages else ""
            return f"{row.number} {row.flavour}: {where}{span.words}{' (assumed)' if span.assumed else ''}"
    return f"{row.number} {row.flavour}" + (f": {row.end}" if row.end else "")
