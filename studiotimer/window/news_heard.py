"""What an open session gets that no key here made: what another window writes, or what a recorded day has next."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal

if TYPE_CHECKING:
    from studiotimer.window.running import Running
    from studiotimer.window.set.playbar import PlayBar

REHEARSAL_MS = 40  # a picture of the screen's clock
FOLLOW_MS = 250  # below what is felt as late


class NewsHeard(QObject):
    """Looks again and again while there is something to hear. `came` has an entry, `stands` that warnings changed."""

    came = Signal()
    stands = Signal()

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._running: Running | None = None
        self._play: PlayBar | None = None
        self._over = False
        self._timer = QTimer(self)
        self._timer.timeout.connect(self._hear)

    def begin(self, running: Running, play: PlayBar | None = None) -> None:
        """Hear what a session that is followed gets, or the recorded day that `play` plays."""
        self._running, self._play = running, play
        self._timer.start(FOLLOW_MS if play is None else REHEARSAL_MS)

    def end(self) -> None:
        """Hear nothing more."""
        self._timer.stop()
        self._running = self._play = None

    def _hear(self) -> None:
        if self._running is None:
            return
        session = self._running.session
        trouble = session.trouble
        for entry in session.catch_up() if self._play is None else self._play.due():
            self._running.told(entry)
            self.came.emit()
        if self._play is not None:
            self._play.show_state()
            over, self._over = self._over, self._play.over
            if over != self._over:
                self.stands.emit()
        elif session.following or session.trouble != trouble:
            self.stands.emit()
