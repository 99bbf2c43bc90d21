"""One line that says how the camera's clock stands to the session's: an offset, a paired call, or the crew screen."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from PySide6.QtWidgets import QComboBox, QFrame, QHBoxLayout, QLineEdit, QWidget

from studiotimer.units import UnitError
from studiotimer.window.style import button, label
from studiotimer.wrap.export import Asked
from studiotimer.wrap.zones import ZoneError, clock_span, zone_named

WAYS = ("camera ahead by", "this frame is call", "this frame shows")
HINTS = ("-3 s or 1:02:00", "number: 27", "time: 10:32:05")


class CameraLine(QFrame):
    """Asks for the camera's clock; `wanted` is called with what was given, laid over what was asked before."""

    def __init__(self, wanted: Callable[[Asked], None], say: Callable[[str], None]) -> None:
        super().__init__()
        self._wanted, self._say = wanted, say
        self._asked = Asked()
        self.frame = ""
        self.setProperty("role", "how")
        row = QHBoxLayout(self)
        row.setContentsMargins(14, 8, 14, 8)
        row.setSpacing(8)
        self.way = QComboBox()
        self.way.addItems(WAYS)
        self.way.setAccessibleName("how the camera's clock is matched")
        self.way.currentIndexChanged.connect(self._hint)
        self.value = _line("value")
        self.zone = _line("zone the camera was set to")
        self.zone.setPlaceholderText("+02:00")
        self.zone.setToolTip("Wanted where the frames do not say it.")
        self.set_zone = _line("zone the set was in")
        self.set_zone.setPlaceholderText("Europe/Berlin")
        for widget in (self.value, self.zone, self.set_zone):
            widget.returnPressed.connect(self._match)
        parts: tuple[QWidget, ...] = (
            label("Match camera clock"), self.way, self.value, label("its zone"), self.zone, label("the set's zone"),
            self.set_zone, button("Match", self._match, "main"), button("Cancel", self.hide),
        )  # fmt: skip
        for part in parts:
            row.addWidget(part, 1 if isinstance(part, QLineEdit) else 0)
        self._hint()
        self.hide()

    def ask(self, asked: Asked, frame: str) -> None:
        """Ask, with what is known so far; `frame` is the one that a pair is made with."""
        self._asked, self.frame = asked, frame
        if asked.camera_zone is not None and not self.zone.text():
            self.zone.setText(str(asked.camera_zone))
        self.show()
        self.value.setFocus()
        self.value.selectAll()

    def leave(self) -> None:
        """Put the line away, and forget what was written for another session."""
        self.hide()
        for line in (self.value, self.zone, self.set_zone):
            line.clear()

    def _hint(self) -> None:
        self.value.setPlaceholderText(HINTS[self.way.currentIndex()])

    def _match(self) -> None:
        way, value = self.way.currentIndex(), self.value.text().strip()
        if way and not self.frame:
            self._say("Choose the frame first that was taken then.")
            return
        try:
            zone = zone_named(self.zone.text()) if self.zone.text().strip() else None
            there = zone_named(self.set_zone.text()) if self.set_zone.text().strip() else self._asked.zone
            ahead = clock_span(value, "camera's clock") if way == 0 and value else None
        except (UnitError, ZoneError) as error:
            self._say(f"{error}.")
            return
        pair = (self.frame, value)
        self._wanted(
            replace(
                self._asked, camera_ahead_s=ahead, camera_zone=zone, zone=there,
                pair=pair if way == 1 else None, screen=pair if way == 2 else None,
            )
        )  # fmt: skip


def _line(name: str) -> QLineEdit:
    line = QLineEdit()
    line.setAccessibleName(name)
    line.setMinimumWidth(90)
    return line
