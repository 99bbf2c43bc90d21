"""The scoops in one shot's frame, and a picture of where they stand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from studiotimer.prep.draft import Values, value_at
from studiotimer.window import theme
from studiotimer.window.prep.fold import shown_in
from studiotimer.window.prep.input_forms import Rows
from studiotimer.window.prep.questions import SCOOP
from studiotimer.window.prep.spots import one_more, places
from studiotimer.window.set.flavours import COLOURS
from studiotimer.window.style import label
from studiotimer.window.theme import SMALL

HEIGHT, SCOOP_WIDE, SCOOP_HIGH = 92, 30.0, 25.0
TOP_ROUND, FOOT_ROUND = 0.44, 0.14
"""How round a scoop's corners are, in shares of its height."""


class FramePicture(QWidget):
    """The scoops at their spots, each in its flavour's colour."""

    def __init__(self) -> None:
        super().__init__()
        self.setFixedHeight(HEIGHT)
        self._scoops: list[tuple[int, str]] = []
        self.setAccessibleName("the scoops at their spots")

    def show_scoops(self, scoops: Sequence[tuple[int, str]]) -> None:
        """Show scoops, each the number of its flavour and its spot."""
        self._scoops = list(scoops)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter, colours = QPainter(self), shown_in(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        frame = QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5)
        painter.setPen(QPen(colours.colour("line"), 1.0))
        painter.setBrush(colours.colour("ground"))
        painter.drawRoundedRect(frame, 6, 6)
        middle, at = frame.center(), places([spot for _, spot in self._scoops])
        deep = any(down for _, down in at)
        reach = max(min(frame.width() / 2 - 60, 46.0 * max(len(at), 2)), 30.0)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawEllipse(middle + QPointF(0, 4), min(reach + 46, frame.width() / 2 - 8), 34.0 if deep else 26.0)
        painter.setFont(theme.font(SMALL))
        order = sorted(range(len(at)), key=lambda number: at[number][1])
        for number in order:
            (across, down), (flavour, spot) = at[number], self._scoops[number]
            centre = middle + QPointF(across * reach, down * 22.0 - (0 if deep else 6))
            paint_scoop(painter, centre, flavour)
            painter.setPen(colours.colour("quiet"))
            words = QRectF(centre.x() + SCOOP_WIDE / 2 + 4, centre.y() - 9, 70, 18)
            flags = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
            if not deep:
                words = QRectF(centre.x() - 45, centre.y() + SCOOP_HIGH / 2 + 2, 90, 18)
                flags = Qt.AlignmentFlag.AlignCenter
            elided = painter.fontMetrics().elidedText(spot, Qt.TextElideMode.ElideRight, int(words.width()))
            painter.drawText(words, flags, elided)


def paint_scoop(painter: QPainter, centre: QPointF, flavour: int, scale: float = 1.0) -> None:
    """Draw a scoop in its flavour's colour: round above, nearly square below."""
    wide, high = SCOOP_WIDE * scale, SCOOP_HIGH * scale
    box = QRectF(centre.x() - wide / 2, centre.y() - high / 2, wide, high)
    top, foot = high * TOP_ROUND, high * FOOT_ROUND
    path = QPainterPath(QPointF(box.left(), box.bottom() - foot))
    path.lineTo(box.left(), box.top() + top)
    path.quadTo(box.topLeft(), QPointF(box.left() + top, box.top()))
    path.lineTo(box.right() - top, box.top())
    path.quadTo(box.topRight(), QPointF(box.right(), box.top() + top))
    path.lineTo(box.right(), box.bottom() - foot)
    path.quadTo(box.bottomRight(), QPointF(box.right() - foot, box.bottom()))
    path.lineTo(box.left() + foot, box.bottom())
    path.quadTo(box.bottomLeft(), QPointF(box.left(), box.bottom() - foot))
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(COLOURS[flavour % len(COLOURS)]))
    painter.drawPath(path)


class Heroes(Rows):
    """The scoops in one shot's frame: each a flavour and a spot."""

    def __init__(self, draft: Values, shot: int) -> None:
        self.draft = draft
        flavours = self._flavours()
        asks = [replace(SCOOP[0], choices=flavours), *SCOOP[1:]]
        super().__init__(draft, ("shots", shot, "heroes"), "scoop", asks, least=1)
        self.picture = FramePicture()
        self.column.insertWidget(0, self.picture)
        self.column.insertSpacing(1, 8)
        self.message = label("", "danger", "scoops in the frame, what is wrong")
        self.column.addWidget(self.message)
        self.message.hide()
        self.edited.connect(self._draw)
        self._draw()

    def show_draft(self) -> None:
        super().show_draft()
        for path, field in self.fields.items():
            if path[-1] == "flavour":
                field.offer(self._flavours(), value_at(self.draft, path))
        self._draw()

    def new_item(self) -> Values:
        """Return the flavour that is not in the frame yet, on the next of the usual spots."""
        items = self.items
        used = [hero["flavour"] for hero in items]
        free = next((n for n in range(len(self.draft["flavours"])) if n not in used), used[-1])
        spots = one_more([str(hero.get("spot", "")) for hero in items])
        for hero, spot in zip(items, spots, strict=False):
            hero["spot"] = spot
        return {"flavour": free, "spot": spots[-1]}

    def say(self, sentence: str) -> None:
        """Say what is wrong with the scoops together."""
        self.message.setText(sentence)
        self.message.setVisible(bool(sentence))

    def _draw(self) -> None:
        scoops = [(int(hero["flavour"]), str(hero.get("spot", ""))) for hero in self.items]
        self.picture.show_scoops(scoops)
        self.picture.setAccessibleName(f"the scoops at their spots: {', '.join(spot for _, spot in scoops)}")

    def _flavours(self) -> tuple[tuple[int, str], ...]:
        names = enumerate(one.get("name") for one in self.draft["flavours"])
        return tuple((number, str(name or f"flavour {number + 1}")) for number, name in names)
