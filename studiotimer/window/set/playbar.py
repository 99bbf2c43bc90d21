"""The bar of a rehearsal in the call bar's place: pause, jump, speed."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QWidget

from studiotimer.session.entries import Entry
from studiotimer.session.rehearsal import Rehearsal
from studiotimer.units import duration
from studiotimer.window.set.buttons import CallButton

JUMP_S = 30.0
PLAY_KEYS = (
    ("space", "Pause, go on"),
    ("← →", f"{JUMP_S:.0f} s back, forward"),
    ("enter", "Next call"),
    ("↓ ↑", "Slower, faster"),
)
SPEEDS = (1.0, 2.0, 5.0, 10.0, 20.0, 40.0, 60.0)


class PlayBar(QWidget):
    """Plays a rehearsal: each target has its key."""

    jumped = Signal()

    def __init__(self, rehearsal: Rehearsal, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._rehearsal = rehearsal
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(0, 0, 0, 0)
        self._row.setSpacing(8)
        self.pause = self._add(self.toggle)
        self.back = self._add(lambda: self.jump(-JUMP_S))
        self.on = self._add(lambda: self.jump(JUMP_S))
        self.next = self._add(self.to_next)
        self.slower = self._add(lambda: self.change_speed(-1))
        self.faster = self._add(lambda: self.change_speed(1))
        self.show_state()

    def toggle(self) -> None:
        """Stand still, or go on; a day that is over begins again."""
        again = self._rehearsal.done
        if again:
            self.jump(-self._rehearsal.length_s)
        self._rehearsal.pause(not again and not self._rehearsal.paused)
        self.show_state()

    def jump(self, seconds: float) -> None:
        """Go back or on by so many seconds of the day."""
        self._rehearsal.jump(self._rehearsal.time() + seconds)
        self.jumped.emit()
        self.show_state()

    @property
    def over(self) -> bool:
        """Whether all of the day was played."""
        return self._rehearsal.done

    def due(self) -> list[Entry]:
        """Play what is due of the day, and return it."""
        return self._rehearsal.due()

    def to_next(self) -> None:
        """Go on to the next call."""
        if (at := self._rehearsal.next_at) is not None:
            self._rehearsal.jump(at)
            self.jumped.emit()
        self.show_state()

    def change_speed(self, steps: int) -> None:
        """Play slower or faster, between 1 and 60 times."""
        wanted = self._next_speeds()[steps > 0]
        if wanted is not None:
            self._rehearsal.set_speed(wanted)
        self.show_state()

    def _next_speeds(self) -> tuple[float | None, float | None]:
        """Return the next slower and the next faster speed, None at either end."""
        now = self._rehearsal.speed
        slower = max((speed for speed in SPEEDS if speed < now), default=None)
        return slower, min((speed for speed in SPEEDS if speed > now), default=None)

    def key(self, event: QKeyEvent) -> bool:
        """Act on a key; return whether it was one of the bar's."""
        deeds: dict[int, Callable[[], None]] = {
            Qt.Key.Key_Space: self.toggle,
            Qt.Key.Key_Left: lambda: self.jump(-JUMP_S),
            Qt.Key.Key_Right: lambda: self.jump(JUMP_S),
            Qt.Key.Key_Return: self.to_next,
            Qt.Key.Key_Enter: self.to_next,
            Qt.Key.Key_Down: lambda: self.change_speed(-1),
            Qt.Key.Key_Up: lambda: self.change_speed(1),
        }
        deed = deeds.get(event.key())
        if deed is not None:
            deed()
        return deed is not None

    def show_state(self) -> None:
        """Show where the rehearsal is."""
        here = duration(max(self._rehearsal.time() - self._rehearsal.began, 0.0))
        whole = duration(self._rehearsal.length_s)
        slower, faster = self._next_speeds()
        stands = self._rehearsal.paused or self._rehearsal.done
        self.pause.show_call(
            "Play again" if self._rehearsal.done else "Go on" if stands else "Pause",
            f"{here} of {whole}, {self._rehearsal.speed:g}×",
            "space",
            "resume" if stands else "hold",
        )
        self.back.show_call("Back", f"{JUMP_S:.0f} s", "←")
        self.on.show_call("Forward", f"{JUMP_S:.0f} s", "→", enabled=not self._rehearsal.done)
        self.next.show_call("Next call", "", "enter", enabled=not self._rehearsal.done)
        for button, words, speed, key in ((self.slower, "Slower", slower, "↓"), (self.faster, "Faster", faster, "↑")):
            button.show_call(words, "" if speed is None else f"to {speed:g}×", key, enabled=speed is not None)

    def _add(self, deed: Callable[[], None]) -> CallButton:
        button = CallButton("", self)
        button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        button.clicked.connect(deed)
        self._row.addWidget(button, 1)
        return button
