"""The strip of a rehearsal: each hero drawn as it would be seen, what is told, and at the end how it compares."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPaintEvent, QPen
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QSizePolicy, QWidget

from studiotimer.trial.rehearsing import Sight
from studiotimer.window import theme
from studiotimer.window.set.flavours import Palette
from studiotimer.window.spoken import SpokenLabel

HEIGHT = 52
CELL = 170
PICTURE = 64
LINES = 2
RUFFLES = 7
NOBODY = "No hero is on set."


class Heroes(QWidget):
    """Every hero on set, drawn side by side: frost, shine, edges, drip, foot; with words beside each."""

    def __init__(self, colours: Palette) -> None:
        super().__init__()
        self._colours = colours
        self._sights: tuple[Sight, ...] = ()
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Expanding)
        self.show_sights([])

    @property
    def sights(self) -> tuple[Sight, ...]:
        """What is drawn."""
        return self._sights

    def show_sights(self, sights: Sequence[Sight]) -> None:
        """Draw these heroes."""
        if tuple(sights) == self._sights and self.accessibleName():
            return
        self._sights = tuple(sights)
        said = "; ".join(f"scoop {one.number}, {one.spot}: {one.words}" for one in sights)
        self.setAccessibleName(f"what is seen: {said or NOBODY}")
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(CELL * max(len(self._sights), 1), HEIGHT)

    def minimumSizeHint(self) -> QSize:
        return QSize(CELL, HEIGHT)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(theme.font(theme.SMALL))
        painter.setPen(QColor(theme.DARK.quiet))
        if not self._sights:
            painter.drawText(self.rect(), Qt.AlignmentFlag.AlignCenter, NOBODY)
            return
        width = self.width() / len(self._sights)
        for place, sight in enumerate(self._sights):
            cell = QRectF(place * width, 0, width, self.height())
            picture = QRectF(cell.left(), 2, PICTURE, cell.height() - 6)
            _draw(painter, picture, sight, QColor(self._colours.colour(sight.flavour)))
            painter.setPen(QColor(theme.DARK.text))
            beside = cell.adjusted(PICTURE + 4, 0, -2, 0)
            flags = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
            painter.drawText(beside, flags | Qt.TextFlag.TextWordWrap, f"{sight.number} {sight.spot}: {sight.words}")


class SightStrip(QWidget):
    """The heroes, the last things told, and what can be done with the session."""

    keep_wanted = Signal()

    def __init__(self, colours: Palette, about: str) -> None:
        super().__init__()
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setStyleSheet(theme.style(theme.DARK))
        self.setAccessibleName("rehearsal")
        self._lines: list[str] = []
        self.heroes = Heroes(colours)
        self.told = SpokenLabel("told", news=True)
        self.compared = SpokenLabel("how it compares")
        self.about = SpokenLabel("rehearsal", about)
        for label in (self.told, self.compared, self.about):
            label.setTextFormat(Qt.TextFormat.PlainText)
            label.setWordWrap(True)
            label.setMinimumWidth(1)
            label.setStyleSheet(f"font-size: {theme.SMALL}px;")
        self.about.setProperty("role", "quiet")
        self.keep = QPushButton("Keep the session")
        self.keep.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.keep.setAutoDefault(True)
        self.keep.clicked.connect(self.keep_wanted)
        row = QHBoxLayout(self)
        row.setContentsMargins(theme.MARGIN, 2, theme.MARGIN, 2)
        row.setSpacing(2 * theme.GAP)
        row.addWidget(self.heroes)
        row.addWidget(self.told, 3)
        row.addWidget(self.compared, 5)
        row.addWidget(self.about, 2)
        row.addWidget(self.keep)
        self.setFixedHeight(HEIGHT + 4)
        self.compare("")

    def tell(self, words: str) -> None:
        """Show something that is seen or happens, after the last few."""
        self._lines = [*self._lines[1 - LINES :], words]
        self.told.setText("\n".join(self._lines))

    def compare(self, words: str) -> None:
        """Show how the rehearsal compares, in place of the heroes; them again when there are no words."""
        self.compared.setText(words)
        self.compared.setVisible(bool(words))
        for widget in (self.heroes, self.told):
            widget.setVisible(not words)


def _draw(painter: QPainter, room: QRectF, sight: Sight, colour: QColor) -> None:
    """Draw one scoop in `room`."""
    size = min(room.height(), room.width() * 0.8)
    base, middle = room.bottom(), room.center().x()
    if sight.fallen:
        painter.setPen(QPen(QColor(theme.DARK.danger), 2))
        painter.drawLine(QPointF(middle - size / 3, base - size), QPointF(middle + size / 3, base - size / 3))
        painter.drawLine(QPointF(middle + size / 3, base - size), QPointF(middle - size / 3, base - size / 3))
        return
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(colour.darker(125))
    if sight.foot:
        painter.drawEllipse(QPointF(middle, base - 2), size * 0.85, 4)
    painter.setBrush(colour)
    painter.drawPath(_outline(middle, base, size, 1.0 - sight.rounded))
    if sight.drips:
        for side in (-0.45, 0.3):
            painter.drawRoundedRect(QRectF(middle + side * size, base - size * 0.35, 5, size * 0.35), 2.5, 2.5)
    if sight.shine > 0.0:
        light = QColor("#FFFFFF")
        light.setAlphaF(0.75 * sight.shine)
        painter.setPen(QPen(light, 4, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
        painter.drawArc(QRectF(middle - size * 0.38, base - size * 0.88, size * 0.76, size * 0.9), 100 * 16, 50 * 16)
    if sight.frost > 0.0:
        rime = QColor("#FFFFFF")
        rime.setAlphaF(0.25 + 0.5 * sight.frost)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(rime)
        for speck in range(40):
            across, up = (speck * 0.618034) % 1.0 - 0.5, (speck * 0.381966 + 0.1) % 0.8
            if across**2 * 4 + up**2 < 0.8:
                painter.drawEllipse(QPointF(middle + across * size * 0.9, base - 4 - up * size), 1.5, 1.5)


def _outline(middle: float, base: float, size: float, ruffled: float) -> QPainterPath:
    """Return the outline of a scoop: a dome over its ruffle, whose teeth are `ruffled` (1 to 0) as deep as at first."""
    path = QPainterPath(QPointF(middle - size / 2, base - size * 0.2))
    path.arcTo(QRectF(middle - size / 2, base - size, size, size * 1.6), 180, -180)
    wide, tooth = size * 1.16, size * 1.16 / RUFFLES
    path.lineTo(middle + wide / 2 - (1 - ruffled) * size * 0.08, base - size * 0.18)
    for place in range(RUFFLES):
        right = middle + wide / 2 - place * tooth
        path.quadTo(right - tooth / 2, base + ruffled * size * 0.12 - size * 0.04, right - tooth, base - size * 0.08)
    path.closeSubpath()
    return path
