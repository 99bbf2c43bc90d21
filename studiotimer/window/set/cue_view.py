"""The cue on the Set page, read from four metres; its words are the label's text for readers."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Signal
from PySide6.QtGui import QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy

from studiotimer.window.set.cue_face import CueFace
from studiotimer.window.set.cue_large import lock_boxes
from studiotimer.window.set.cue_paint import paint_cue
from studiotimer.window.set.cue_parts import CUE_SHARE, Setting
from studiotimer.window.set.lettering import Drawn
from studiotimer.window.spoken import SpokenLabel


class CueView(SpokenLabel):
    """Draws a cue; large while there is no hero. The locks' cards can be pressed."""

    lock_wanted = Signal(str)

    def __init__(self) -> None:
        super().__init__("cue")
        self.cue = CueFace()
        self.drawn: list[Drawn] = []
        """The words that were drawn last."""
        self._large, self._share = False, CUE_SHARE
        self.setMinimumWidth(1)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)

    @property
    def large(self) -> bool:
        """Whether the cue stands where the hero's time would."""
        return self._large

    def show_cue(self, cue: CueFace, words: str, large: bool) -> None:
        """Show a cue; `words` are what readers have."""
        if words != self.text():
            self.setText(words)
        if (cue, large) != (self.cue, self._large):
            self.cue, self._large = cue, large
            self.setAccessibleDescription("; ".join(line.said for line in cue.lines))
            self.update()

    def set_share(self, share: float) -> None:
        """Draw capitals that are this share of the window's height."""
        if share != self._share:
            self._share = share
            self.update()

    def clear_cue(self) -> None:
        """Show nothing."""
        self.show_cue(CueFace(), "", self._large)

    def setting(self) -> Setting:
        """Return where and how it is drawn."""
        return Setting(QRectF(self.rect()), float(self.window().height()), self._large, share=self._share)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        self.drawn = paint_cue(painter, self.cue, self.setting())
        painter.end()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if self._large and self.cue.locks:
            for card, box in zip(self.cue.locks, lock_boxes(self.setting()), strict=True):
                if box.contains(event.position()):
                    self.lock_wanted.emit(card.name)
                    return
        super().mousePressEvent(event)
