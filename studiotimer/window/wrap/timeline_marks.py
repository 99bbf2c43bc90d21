"""What the timeline's bands and marks look like, each told apart without colour, and what they are called."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPen, QPolygonF

from studiotimer.window import theme
from studiotimer.window.chart import upright
from studiotimer.window.ribbon import PACK_COLOURS, STAGE_COLOURS, paint_stage
from studiotimer.wrap.timeline import WHERE, Mark, Timeline

PLACES = {
    "freezer": Qt.BrushStyle.Dense4Pattern,
    "box": Qt.BrushStyle.NoBrush,
    "tray": Qt.BrushStyle.BDiagPattern,
}
"""How the thin band of a scoop that waits is filled, by where it does: told apart without colour."""
STRENGTH = 60
"""How strong the stages' textures are, of 255."""
HERO, SEEN, ASSUMED, HELD = "hero", "change seen", "assumed", "on hold"
WAITING = WHERE
SWAP, ICE, CLEARED, READING = "swap", "dry ice put out", "cleared", "reading"
SHAPE = 4.5
"""Half the size of a mark's shape."""


def paint_place(painter: QPainter, box: QRectF, place: str, colours: theme.Theme, assumed: bool = False) -> None:
    """Draw a place where a scoop waited."""
    painter.setPen(QPen(colours.colour("quiet"), 1, Qt.PenStyle.DashLine if assumed else Qt.PenStyle.SolidLine))
    painter.setBrush(QBrush(colours.colour("quiet"), PLACES.get(place, Qt.BrushStyle.NoBrush)))
    painter.drawRect(box.adjusted(0.5, 0.5, -0.5, -0.5))
    painter.setBrush(Qt.BrushStyle.NoBrush)


def calls_of(timeline: Timeline) -> tuple[tuple[str, tuple[Mark, ...]], ...]:
    """Return what the track of calls has, by the name of its shape."""
    return (
        (READING, timeline.readings), (SWAP, timeline.swaps), (ICE, timeline.top_ups), (CLEARED, timeline.cleared),
    )  # fmt: skip


def hold_shade(colours: theme.Theme) -> QColor:
    """Return what the time on hold is shaded with."""
    shade = QColor(colours.line)
    shade.setAlpha(110)
    return shade


def paint_shape(painter: QPainter, at: QPointF, name: str, colours: theme.Theme) -> None:
    """Draw what stands for a call: told apart by shape, not by colour alone."""
    one = SHAPE
    painter.setPen(QPen(colours.colour("accent" if name in (ICE, CLEARED) else "text"), 1.5))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    if name == READING:
        painter.drawEllipse(at, one - 0.5, one - 0.5)
    elif name == SWAP:
        painter.drawLine(at + QPointF(-one, -one), at + QPointF(one, one))
        painter.drawLine(at + QPointF(-one, one), at + QPointF(one, -one))
    else:
        down = one if name == ICE else -one
        points = (QPointF(-one, -down * 0.8), QPointF(one, -down * 0.8), QPointF(0, down))
        if name == ICE:
            painter.setBrush(colours.colour("accent"))
        painter.drawPolygon(QPolygonF([at + point for point in points]))
        painter.setBrush(Qt.BrushStyle.NoBrush)


def paint_swatch(painter: QPainter, box: QRectF, name: str, colours: theme.Theme) -> None:
    """Draw what the legend has beside a name."""
    if name in (SWAP, ICE, CLEARED, READING):
        paint_shape(painter, box.center(), name, colours)
        return
    if name in (HERO, SEEN):
        painter.setPen(QPen(colours.colour("text"), 2))
        if name == HERO:
            painter.drawLine(box.bottomLeft(), box.bottomRight())
        else:
            upright(painter, box.center().x(), box.top(), box.bottom(), painter.pen())
        return
    if name == HELD:
        painter.fillRect(box, hold_shade(colours))
        return
    if name == ASSUMED:
        painter.setPen(QPen(colours.colour("quiet"), 1, Qt.PenStyle.DashLine))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(box.adjusted(0.5, 0.5, -0.5, -0.5))
        return
    place = next((place for place, words in WAITING.items() if words == name), "")
    if place:
        third = box.height() / 3
        paint_place(painter, box.adjusted(0, third, 0, -third), place, colours)
        return
    paint_stage(painter, box, name, STRENGTH)


def legend(timeline: Timeline) -> list[str]:
    """Return what a day's rows have to be explained: where scoops waited, the stages there were, and the marks."""
    marks = (
        (HERO, any(row.heroes for row in timeline.rows)),
        (SEEN, any(row.looks for row in timeline.rows)),
        (ASSUMED, timeline.assumed),
        (HELD, bool(timeline.holds)),
        *((name, bool(there)) for name, there in calls_of(timeline)),
    )
    return [
        *(words for place, words in WAITING.items() if place in timeline.kinds),
        *(stage for stage in STAGE_COLOURS | PACK_COLOURS if stage in timeline.kinds),
        *(name for name, there in marks if there),
    ]
