"""What an open session has to do with the world outside its window: sleep, calls of other programs, pictures."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal

from studiotimer.plain import shown
from studiotimer.session.supplies import Told, supplies
from studiotimer.window.running import Running
from studiotimer.window.shown_first import SHOWN_FIRST_MS
from studiotimer.working import Worker

if TYPE_CHECKING:
    from studiotimer.session.heart import Heart
    from studiotimer.window.awake import Awake
    from studiotimer.window.call_socket import CallSocket
    from studiotimer.window.capture import Capture
    from studiotimer.window.phones import PhoneServer
    from studiotimer.window.set.page import SetPage

SUPPLIES_EVERY_MS = 15_000
NO_PHONES = "Phones pair with the window that writes a session and takes the calls of other programs."


class SessionServices(QObject):
    """Beats beside the log of a session that is written, keeps the machine awake and takes calls for it.

    It watches a capture folder when asked.

    `said` has a line for the crew, `added` one that must not take the place of what opening had to say.
    """

    said = Signal(str)
    added = Signal(str)
    _short_of = Signal(object)
    camera_off = Signal(float)
    """By how many seconds the camera seems to be ahead."""

    def __init__(self, running: Running, page: SetPage) -> None:
        super().__init__(running)
        self._running, self._page = running, page
        self._heart: Heart | None = None
        self._awake: Awake | None = None
        self.socket: CallSocket | None = None
        self._capture: Capture | None = None
        self.phones: PhoneServer | None = None
        """The phones' server; None until somebody asks for it."""
        page.asked.connect(lambda action: self.show_phones() if action == "phones" else None)
        self._supplies: Worker | None = None
        self._told = Told()
        self._again = QTimer(self)
        self._again.setSingleShot(True)
        self._again.setInterval(SUPPLIES_EVERY_MS)
        self._again.timeout.connect(self._look_at_supplies)
        self._short_of.connect(self._say_short)
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(SHOWN_FIRST_MS)
        self._soon.timeout.connect(self._begin)

    def begin(self) -> None:
        """Begin, soon, what the page does not have to wait for, unless the session is only read."""
        if not self._running.session.read_only:
            self._soon.start()

    def watch(self, folder: str, ahead_s: float) -> None:
        """Watch a folder for new pictures, an empty one: none.

        The camera's clock is `ahead_s` seconds ahead; 0 for a folder not watched so far leaves it to be found out.
        """
        if self._capture is not None and folder and Path(folder) == self._capture.folder:
            from studiotimer.wrap.dating import off_words

            self._capture.confirm(ahead_s)
            self.said.emit(f"The camera's clock is taken to be {off_words(ahead_s)}; pictures have the camera's time.")
            return
        if self._capture is not None:
            self._capture.end()
            self._capture = None
        if not folder:
            self.said.emit("No capture folder is watched.")
        else:
            from studiotimer.window.capture import Capture, keep_watched

            keep_watched(self._running.session.path, folder)
            self._capture = Capture(self._running, Path(folder), ahead_s or None, self)
            self._capture.said.connect(self.said)
            self._capture.asked.connect(self._ask)
            self.said.emit(f"Watching {shown(folder)} for new pictures.")

    def show_phones(self, keep: bool = False) -> None:
        """Show the phones, and let them in from the first time on; or put the page back, unless it is to be kept."""
        if self.socket is None or not self.socket.listening:
            self.said.emit(NO_PHONES)
            return
        from studiotimer.window.phones import PhoneServer
        from studiotimer.window.set.phones_panel import PhonesPanel

        below = self._page.below
        if self.phones is None:
            server = self.phones = PhoneServer(self._running, self._page, self)
            server.said.connect(self.said)
            server.changed.connect(lambda: self._page.header.phones.say(*server.words))
            server.asks.connect(lambda: self.show_phones(keep=True))
            self.socket.phones = server.take
        if keep and below.name == "phones":
            return
        if below.turn("phones", partial(PhonesPanel, self.phones)) is not None:
            self.phones.open(self.phones.address)

    def _ask(self, question: str, ahead_s: float) -> None:
        self.camera_off.emit(ahead_s)
        self.said.emit(f"{question} It is filled in where the picture folder is chosen, Enter uses it.")

    def end(self) -> None:
        """Let the machine sleep, take no more calls, look for no more pictures."""
        self._soon.stop()
        self._again.stop()
        if self._supplies is not None:
            self._supplies.end()
        if self._heart is not None:
            self._heart.end()
        if self._awake is not None:
            self._awake.end()
        if self._capture is not None:
            self._capture.end()
        if self.phones is not None:
            self.phones.close()
        if self.socket is not None:
            self.socket.close()

    def _begin(self) -> None:
        """Begin what the page did not wait for."""
        from studiotimer.session.heart import Heart
        from studiotimer.window.awake import Awake
        from studiotimer.window.call_socket import CallSocket

        self._heart = Heart(self._running.session, self._running.taken_over.emit)
        self._heart.begin()
        self._awake = Awake()
        self._awake.begin()
        self.socket = CallSocket(self._running, self)
        self.socket.said.connect(self.added)
        if (words := self.socket.open()) is not None:
            self.added.emit(words)
        self._supplies = Worker("battery and disk")
        self._look_at_supplies()

    def _say_short(self, words: list[str]) -> None:
        if words:
            self.said.emit(" ".join(words))

    def _look_at_supplies(self) -> None:
        """Look at battery and disk now, and again four times a minute."""
        folder, told = self._running.session.path.parent, self._told
        if self._supplies is not None:
            self._supplies.ask("look", lambda: told.news(supplies(folder)), self._short_of.emit, lambda _: None)
            self._again.start()
