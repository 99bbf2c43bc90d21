"""Freezers and flavours as cards, in the tiles' place while nothing waits."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from studiotimer.session.freezers import WARM_K
from studiotimer.units import temperature
from studiotimer.window import theme
from studiotimer.window.set.cold_cards import Card, FlavourCard, FreezerCard
from studiotimer.window.set.lettering import least, paint_number, scoop_path
from studiotimer.window.set.tiles import TILE_GAP, TILE_HEIGHT
from studiotimer.window.theme import DARK

LONG, SHORT = 292.0, 196.0
SPAN_K = 8.0
"""How far either side of its planned setting a freezer's scale reaches."""
MOST_DOTS = 14


class ColdView(QWidget):
    """As many cards as there is room for; readers have them all."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._cards: list[Card] = []
        self.cut: list[str] = []
        """What had no room whole when the cards were drawn last."""
        self._scale = 1.0
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("freezers and flavours")

    @property
    def cards(self) -> list[Card]:
        """What is shown."""
        return self._cards

    def show_cards(self, cards: list[Card]) -> None:
        """Show freezers and flavours."""
        if cards != self._cards:
            self._cards = cards
            said = "; ".join(card.words for card in cards)
            self.setAccessibleName(f"freezers and flavours: {said}" if said else "freezers and flavours")
            self.update()

    def set_scale(self, scale: float) -> None:
        """Draw everything `scale` times as large."""
        self._scale = scale
        self.update()

    def minimumSizeHint(self) -> QSize:
        return QSize(round(theme.unzoomed(SHORT)), round(theme.unzoomed(40)))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self.cut = []
        cards, gap = self._cards, float(TILE_GAP)
        wanted = [(LONG if isinstance(card, FreezerCard) else SHORT) * self._scale for card in cards]
        least_wide = 0.78 * SHORT * self._scale
        while cards and sum(max(one * 0.8, least_wide) + gap for one in wanted) > self.width() + gap:
            cards, wanted = cards[:-1], wanted[:-1]
        room = self.width() - gap * max(len(cards) - 1, 0)
        share = room / max(sum(wanted), 1.0)
        height, left = min(float(self.height()), TILE_HEIGHT * self._scale), 0.0
        for card, width in zip(cards, wanted, strict=True):
            self._paint(painter, card, QRectF(left, 0, width * share, height))
            left += width * share + gap

    def _paint(self, painter: QPainter, card: Card, place: QRectF) -> None:
        box = place.adjusted(1.5, 1.5, -1.5, -1.5)
        outlined = isinstance(card, FreezerCard) and card.alarm
        painter.setPen(QPen(QColor(DARK.warning), 3 * self._scale) if outlined else Qt.PenStyle.NoPen)
        painter.setBrush(QColor(DARK.panel))
        painter.drawRoundedRect(box, theme.RADIUS * self._scale, theme.RADIUS * self._scale)
        inner = box.adjusted(12 * self._scale, box.height() * 0.07, -12 * self._scale, -box.height() * 0.07)
        if isinstance(card, FreezerCard):
            self._freezer(painter, card, inner)
        else:
            self._flavour(painter, card, inner)

    def _font(self, pixels: float, weight: theme.Weight = "regular") -> QFont:
        return theme.font(max(pixels * self._scale, least()), weight)

    def _write(self, painter: QPainter, box: QRectF, words: str, font: QFont, colour: str, right: bool = False) -> None:
        painter.setFont(font)
        painter.setPen(QColor(colour))
        shown = QFontMetricsF(font).elidedText(words, Qt.TextElideMode.ElideRight, box.width())
        self.cut += [words] if shown != words else []
        side = Qt.AlignmentFlag.AlignRight if right else Qt.AlignmentFlag.AlignLeft
        painter.drawText(box, side | Qt.AlignmentFlag.AlignVCenter, shown)

    def _freezer(self, painter: QPainter, card: FreezerCard, inner: QRectF) -> None:
        row = inner.height() / 10
        top = QRectF(inner.x(), inner.y(), inner.width(), 2.1 * row)
        self._write(painter, top, card.name, self._font(15, "strong"), theme.CREAM)
        self._write(painter, top, f"plan {temperature(card.planned_c)}", self._font(15), DARK.quiet, right=True)
        read = "–" if card.read_c is None else temperature(card.read_c, digits=1)
        large = QRectF(inner.x(), inner.y() + 2.1 * row, inner.width(), 3.4 * row)
        figures = theme.font(min(30 * self._scale, 3.3 * row), "strong")
        self._write(
            painter, large, f"▲ {read}" if card.warm else read, figures, DARK.warning if card.warm else theme.CREAM
        )
        left = QFontMetricsF(figures).horizontalAdvance(f"▲ {read} " if card.warm else f"{read} ")
        beside = large.adjusted(left, 0, 0, 0)
        said_by = DARK.warning if card.alarm else DARK.quiet
        self._write(painter, beside, card.beside, self._font(14), said_by, right=True)
        said = QRectF(inner.x(), inner.y() + 5.6 * row, inner.width(), 2.0 * row)
        self._write(painter, said, card.said, self._font(14), theme.CREAM if card.alarm else DARK.quiet)
        scale = QRectF(inner.x(), inner.bottom() - 1.2 * row, inner.width(), 0.55 * row)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(DARK.line))
        painter.drawRoundedRect(scale, scale.height() / 2, scale.height() / 2)
        per_kelvin, middle = scale.width() / (2 * SPAN_K), scale.center().x()
        painter.fillRect(
            QRectF(middle - WARM_K * per_kelvin, scale.y(), 2 * WARM_K * per_kelvin, scale.height()),
            QColor(theme.FROST),
        )
        if card.read_c is not None:
            off = min(max(card.read_c - card.planned_c, -SPAN_K), SPAN_K)
            radius = 0.62 * row
            painter.setPen(QPen(QColor(theme.INK), 2 * self._scale))
            painter.setBrush(QColor(DARK.warning if card.warm else theme.CREAM))
            painter.drawEllipse(QPointF(middle + off * per_kelvin, scale.center().y()), radius, radius)

    def _flavour(self, painter: QPainter, card: FlavourCard, inner: QRectF) -> None:
        row = inner.height() / 10
        chip = QRectF(inner.x(), inner.y(), 4.6 * row * 1.1, 4.6 * row)
        paint_number(painter, chip, str(max(card.needs - card.pulled, 0)), card.colour)
        left = chip.right() + 8 * self._scale
        name = QRectF(left, inner.y(), inner.right() - left, 2.3 * row)
        font = self._font(15, "strong")
        metrics = QFontMetricsF(font)
        form = next((one for one in card.forms if metrics.horizontalAdvance(one) <= name.width()), card.forms[-1])
        self._write(painter, name, form, font, theme.CREAM)
        small = self._font(13)
        under = _longest((f"to pull, {card.where}", card.where), small, name.width()) if card.tub else "still to pull"
        self._write(painter, name.translated(0, 2.3 * row), under, small, DARK.quiet)
        dots = min(card.needs, MOST_DOTS)
        step = inner.width() / max(dots, 1)
        wide, top = min(step - 2 * self._scale, 12 * self._scale), inner.y() + 5.4 * row
        painter.setPen(Qt.PenStyle.NoPen)
        for index in range(dots):
            done = index < round(card.pulled * dots / max(card.needs, 1))
            painter.setBrush(QColor(card.colour if done else DARK.line))
            painter.drawPath(scoop_path(QRectF(inner.x() + index * min(step, wide + 4), top, wide, 1.3 * row)))
        said = QRectF(inner.x(), inner.y() + 7.6 * row, inner.width(), 2.2 * row)
        mark = "▲ " if card.alarm else ""
        words = _longest([f"{mark}{form}" for form in card.tub or (f"{card.said}, {card.where}",)], small, said.width())
        self._write(painter, said, words, small, DARK.warning if card.alarm else DARK.quiet)


def _longest(forms: Sequence[str], font: QFont, room: float) -> str:
    """Return the first of some words, ever shorter, that has room; else the last."""
    metrics = QFontMetricsF(font)
    return next((form for form in forms if metrics.horizontalAdvance(form) <= room), forms[-1])
