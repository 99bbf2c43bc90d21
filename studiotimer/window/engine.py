"""Keeps the process that plays the sounds: starts it, ends it when it hangs or babbles, and starts it again."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence

from PySide6.QtCore import QObject, QProcess, QTimer, Signal

from studiotimer.apart import script_line
from studiotimer.places import resource

NO_SOUND = "No sound: {why}. Everything else works."
NO_DEVICE = "this machine has no audio device; one that comes later is found"
NO_LIBRARY = "the sound library is missing ({what}; on Debian and Ubuntu: apt-get install libpulse0)"
NO_USE = "what plays it {how}; it is tried again each half minute"
BACK = "There is sound now."

ANSWER_MS = 4_000
"""A player that has not answered for so long hangs; a device that is opened takes less."""
STARTS_MS = 20_000
"""How long a player may take to find its device, on a machine that is busy."""
MUCH = 4096
"""More characters than this between two rounds of the event loop are no answers."""
UNASKED = 50
"""So many answers more than were asked for are no answers either, however slowly they come; each asking gets two."""
AGAIN_S = (1.0, 2.0, 5.0, 10.0, 30.0)
"""How long after its end the player is started again: the first time, the second, and so on."""
SOON_S = 3.0
"""A sound that is wanted starts the player before that, unless it was started so short a while ago."""
TRIES = 3
"""A player that was of no use so often, with no sound between, is given up, and the crew told."""
STILL_S = 10.0
"""How late an alarm may be heard that could not be played at once."""


def command() -> list[str]:
    """Return the command line of the player."""
    return script_line("window/player.py", str(resource("sounds")))


class Engine(QObject):
    """Hands sounds to the player. `said` has a sentence when there is no sound any more, and when there is again."""

    said = Signal(str)

    def __init__(self, parent: QObject | None = None, line: Sequence[str] = ()) -> None:
        super().__init__(parent)
        self.trouble: str | None = None
        self._line = line
        self._process: QProcess | None = None
        self._started: float | None = None
        self._device = False
        self._why = ""
        self._waits = 0
        """How often in a row it ended without a device."""
        self._faults = 0
        """How often in a row it ended without a sound."""
        self._sent = self._answered = self._replies = 0
        self._asked: set[str] = set()
        """The sounds that this player was told to play."""
        self._text = ""
        self._alarm: tuple[str, float, float] | None = None
        """The alarm not heard yet: its name, its volume, when it was wanted."""
        self._patience = _once(self, lambda: self._kill("does not answer"))
        self._again = _once(self, self.start)

    @property
    def ready(self) -> bool:
        """Whether there is a player that has a device."""
        return self._device

    def start(self) -> None:
        """Start the player, unless there is one."""
        if self._process is not None:
            return
        self._again.stop()
        self._device, self._why, self._text = False, "", ""
        self._sent = self._answered = self._replies = 0
        self._asked = set()
        self._started = time.monotonic()
        process = self._process = QProcess(self)
        process.setStandardErrorFile(QProcess.nullDevice())
        process.readyReadStandardOutput.connect(self._read)
        process.finished.connect(self._ended)
        process.errorOccurred.connect(self._failed)
        self._patience.start(STARTS_MS)
        program, *rest = self._line or command()
        process.start(program, rest)

    def play(self, name: str, volume: float, alarm: bool) -> None:
        """Play a sound instead of the one before; when the player has ended try another, so that an alarm is heard."""
        if alarm:
            self._alarm = (name, volume, time.monotonic())
        if self._device:
            self._ask(name, volume, alarm)
        elif self._started is not None and self._faults < TRIES and time.monotonic() - self._started > SOON_S:
            self.start()

    def hush(self) -> None:
        """Stop what plays, and forget what was to be played."""
        self._alarm = None
        if self._device:
            self._send("stop")

    def end(self) -> None:
        """End the player for good."""
        self._again.stop()
        self._patience.stop()
        self._process, self._device, self._started = None, False, None
        for process in self.findChildren(QProcess):
            process.blockSignals(True)
            process.kill()
            process.waitForFinished(1000)

    def _ask(self, name: str, volume: float, alarm: bool) -> None:
        self._asked.add(name)
        self._send(f"play {name} {volume:.3f} {'alarm' if alarm else 'click'}")

    def _send(self, words: str) -> None:
        assert self._process is not None
        self._sent += 1
        self._process.write(f"{self._sent} {words}\n".encode())
        if not self._patience.isActive():
            self._patience.start(ANSWER_MS)

    def _read(self) -> None:
        """Take in what the player says; one that says too much is ended."""
        if self._process is None:
            return
        self._text += bytes(self._process.readAllStandardOutput().data()).decode("utf-8", "replace")
        wild = len(self._text) > MUCH
        *lines, self._text = self._text.split("\n")
        self._replies += len(lines)
        if wild or self._replies > 2 * self._sent + UNASKED:
            self._kill("went wild")
            return
        for line in lines:
            what, _, rest = line.strip().partition(" ")
            if what.isdecimal():
                self._answer(int(what))
            elif what == "device":
                self._found()
            elif what == "played":
                self._heard(rest)
            elif what in ("missing", "none", "stalled"):
                self._why = line.strip()

    def _answer(self, number: int) -> None:
        if self._answered < number <= self._sent:
            self._answered = number
            self._patience.stop()
            if number < self._sent:
                self._patience.start(ANSWER_MS)

    def _found(self) -> None:
        """There is a device: play the alarm that waited for one."""
        first, self._device = not self._device, True
        self._waits = 0
        if not first:
            return
        self._patience.stop()
        if self._faults < TRIES:
            self._well()
        if self._alarm is not None and time.monotonic() - self._alarm[2] < STILL_S:
            name, volume, _ = self._alarm
            self._ask(name, volume, alarm=True)

    def _heard(self, name: str) -> None:
        """A sound was played: all is well, unless nobody asked for it."""
        if name not in self._asked:
            return
        self._faults = 0
        if self._alarm is not None and self._alarm[0] == name:
            self._alarm = None
        self._well()

    def _well(self) -> None:
        if self.trouble is not None:
            self.trouble = None
            self.said.emit(BACK)

    def _kill(self, how: str) -> None:
        """End a player that is of no use, and wait for nothing it does."""
        process = self._process
        if process is not None:
            process.readyReadStandardOutput.disconnect(self._read)
            process.finished.disconnect(self._ended)
            process.finished.connect(process.deleteLater)
            process.closeReadChannel(QProcess.ProcessChannel.StandardOutput)
            process.kill()
            self._why = how
            self._over()

    def _failed(self, error: QProcess.ProcessError) -> None:
        if error == QProcess.ProcessError.FailedToStart:
            self._why = "cannot be started"
            self._over()

    def _ended(self) -> None:
        self._read()
        if self._process is not None:
            self._process.deleteLater()
            self._over()

    def _over(self) -> None:
        """The player has ended: say so when that is news, and start it again after a while."""
        self._process, self._device = None, False
        self._patience.stop()
        what, _, rest = self._why.partition(" ")
        if what == "missing":
            self._tell(NO_LIBRARY.format(what=rest))
            return
        if what == "none":
            self._waits += 1
            self._tell(NO_DEVICE)
        else:
            self._faults += 1
            if self._faults >= TRIES:
                how = {"stalled": "has a device that takes nothing", "": "ended by itself"}.get(what, self._why)
                self._tell(NO_USE.format(how=how))
        self._again.start(round(1000 * AGAIN_S[min(max(self._waits, self._faults), len(AGAIN_S)) - 1]))

    def _tell(self, why: str) -> None:
        before, self.trouble = self.trouble, NO_SOUND.format(why=why)
        if before is None:
            self.said.emit(self.trouble)


def _once(engine: QObject, then: Callable[[], None]) -> QTimer:
    """Return a timer that does something once."""
    timer = QTimer(engine)
    timer.setSingleShot(True)
    timer.timeout.connect(then)
    return timer
