"""A heading that says in one line what stands under it, and folds and unfolds that."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFontMetricsF, QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QVBoxLayout, QWidget

from studiotimer.window import theme
from studiotimer.window.tab_order import in_order
from studiotimer.window.theme import BODY, BUTTON, DARK, LIGHT, SMALL, Theme
from studiotimer.window.tips import tip

CHEVRON, GAP = 22.0, 10.0
MIDDLE = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter


def shown_in(widget: QWidget) -> Theme:
    """Return the theme a widget is shown in, by the words it inherits."""
    return DARK if widget.palette().windowText().color().lightness() > 128 else LIGHT


class Heading(QAbstractButton):
    """The title, what stands below in one line, and whether it is unfolded. Return unfolds and goes in."""

    entered = Signal()

    def __init__(self, title: str) -> None:
        super().__init__()
        self.title, self.summary, self.wrong = title, "", ""
        self.unfolded = False
        self.setFixedHeight(BUTTON)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def show_state(self, unfolded: bool, summary: str, wrong: str) -> None:
        """Show whether it is unfolded, what it says, and what is wrong in it."""
        self.unfolded, self.summary, self.wrong = unfolded, summary, wrong
        words = wrong or ("" if unfolded else summary)
        self.setAccessibleName(", ".join(filter(None, (self.title, words, "unfolded" if unfolded else "folded"))))
        self.setToolTip(tip(words))
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(160, BUTTON)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
            if self.unfolded:
                self.entered.emit()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        colours = shown_in(self)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(colours.colour("line"), 1.0))
        painter.drawLine(QPointF(0, 0.5), QPointF(self.width(), 0.5))
        box = QRectF(self.rect()).adjusted(1, 3, -1, -2)
        if self.underMouse() or self.hasFocus():
            painter.setPen(QPen(colours.colour("accent"), 2.0) if self.hasFocus() else Qt.PenStyle.NoPen)
            painter.setBrush(colours.colour("raised") if self.underMouse() else Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(box, 8, 8)
        strong = theme.font(BODY, "strong")
        painter.setFont(strong)
        painter.setPen(colours.colour("text"))
        left = 3.0
        painter.drawText(QRectF(left, 0, self.width(), BUTTON), MIDDLE, self.title)
        left += QFontMetricsF(strong).horizontalAdvance(self.title) + GAP
        words = self.wrong or ("" if self.unfolded else self.summary)
        small = theme.font(SMALL, "medium" if self.wrong else "regular")
        painter.setFont(small)
        painter.setPen(colours.colour("danger" if self.wrong else "quiet"))
        room = self.width() - left - CHEVRON - 4
        fitted = QFontMetricsF(small).elidedText(words, Qt.TextElideMode.ElideRight, room)
        painter.drawText(QRectF(left, 1, room, BUTTON), MIDDLE, fitted)
        self._chevron(painter, colours)

    def _chevron(self, painter: QPainter, colours: Theme) -> None:
        painter.setPen(QPen(colours.colour("quiet"), 1.8))
        x, y, tall = self.width() - 14.0, BUTTON / 2 + 1.0, -3.0 if self.unfolded else 3.0
        painter.drawPolyline([QPointF(x - 4, y - tall), QPointF(x, y + tall), QPointF(x + 4, y - tall)])


class Fold(QWidget):
    """A heading that folds and unfolds what stands under it: a widget, or what makes one when it is first wanted."""

    toggled = Signal(bool)
    made = Signal()

    def __init__(self, title: str, inside: QWidget | Callable[[], QWidget], unfolded: bool = True) -> None:
        super().__init__()
        self._make = inside
        self._inside: QWidget | None = None
        self._summary = self._wrong = ""
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(4)
        self.heading = Heading(title)
        self.heading.clicked.connect(self._turn)
        self.heading.entered.connect(self._go_in)
        self._column.addWidget(self.heading)
        if isinstance(inside, QWidget):
            self._put(inside)
        self.unfold(unfolded)

    @property
    def inside(self) -> QWidget:
        """What stands under the heading, made when there is none yet."""
        if self._inside is not None:
            return self._inside
        assert not isinstance(self._make, QWidget)
        inside = self._make()
        inside.hide()
        self._put(inside)
        self.made.emit()
        return inside

    @property
    def unfolded(self) -> bool:
        """Whether what stands under the heading is shown."""
        return self._inside is not None and not self._inside.isHidden()

    def say(self, summary: str, wrong: str = "") -> None:
        """Say in one line what stands below, or what is wrong there."""
        self._summary, self._wrong = summary, wrong
        self.heading.show_state(self.unfolded, summary, wrong)

    def unfold(self, unfolded: bool) -> None:
        """Show what stands under the heading, or hide it."""
        if unfolded or self._inside is not None:
            self.inside.setVisible(unfolded)
        self.heading.show_state(unfolded, self._summary, self._wrong)
        self.toggled.emit(unfolded)

    def _put(self, inside: QWidget) -> None:
        self._inside = inside
        self._column.addWidget(inside)

    def _turn(self) -> None:
        self.unfold(not self.unfolded)

    def _go_in(self) -> None:
        first = next((each for each in in_order(self.inside) if each.isEnabled()), None)
        if first is not None:
            first.setFocus(Qt.FocusReason.TabFocusReason)
