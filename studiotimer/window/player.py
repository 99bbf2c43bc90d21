"""Plays the program's sounds, one at a time, in a process of its own: whatever happens to it, the window goes on.

Run as `python player.py FOLDER` with a folder of 16-bit mono WAV files. A line on standard input is a command, answered
with its number once it is carried out:

    NUMBER play NAME VOLUME alarm|click
    NUMBER stop

Other lines it writes: `device NAME` when it has one, `played NAME` when all of a sound went to the device, and as its
last, when it cannot play: `missing LIBRARY`, `none` (no device) or `stalled` (a device that takes no sound). It also
ends when its input does and when it hangs. The window starts it again.
"""

from __future__ import annotations

import array
import faulthandler
import os
import sys
import threading
import time
import wave
from pathlib import Path
from typing import NoReturn

CHANNELS = (1, 2, 4, 6, 8)
BUFFER_S = 0.08  # short against an alarm's first beep, long against a busy machine's gaps
FEED_MS = 10  # an eighth of the buffer
FADE_S = 0.004
"""How long a sound that is cut short takes to fade: shorter than a click of the loudspeaker, longer than none."""
TAIL_S = 0.15
"""Silence after a sound, so that its end is not kept back in a buffer."""
REST_S = 2.0
"""How long after a sound the device is let go."""
STALLED_S = 4.0
"""A device that takes nothing for so long has gone; one that wakes up, or plays 2 s at once, has not."""
HANGS_S = 5.0  # longer than a device takes to wake
LOOK_MS = 1000  # a fifth of it

try:
    from PySide6.QtCore import QCoreApplication, QIODevice, QObject, QTimer, Signal
    from PySide6.QtMultimedia import QAudioDevice, QAudioFormat, QAudioSink, QMediaDevices, QtAudio
except ImportError as error:
    print("missing", str(error).split(":")[0], flush=True)
    sys.exit(1)

Samples = array.array  # of signed 16-bit numbers, one a moment


def leave(words: str) -> NoReturn:
    """Say why, and end at once: the sound library may be in no state to be left in order."""
    print(words, flush=True)
    os._exit(1)


def samples_of(file: Path) -> tuple[Samples[int], int]:
    """Return a WAV file's samples and how many there are a second."""
    with wave.open(str(file)) as sound:
        samples = array.array("h", sound.readframes(sound.getnframes()))
        if sys.byteorder == "big":
            samples.byteswap()
        return samples, sound.getframerate()


def faded(samples: Samples[int]) -> Samples[int]:
    """Return samples that go down to nothing."""
    many = len(samples)
    return array.array("h", (round(one * (many - at) / many) for at, one in enumerate(samples)))


class Player(QObject):
    """One stream to the default device, and what is still to be written to it."""

    told = Signal(str)

    def __init__(self, folder: Path) -> None:
        super().__init__()
        read = {file.stem: samples_of(file) for file in folder.glob("*.wav")}
        self._sounds = {name: samples for name, (samples, _) in read.items()}
        self._rate = max((rate for _, rate in read.values()), default=44_100)
        self._left: Samples[int] = array.array("h")
        self._now: tuple[str, float, bool] | None = None
        """The sound that plays: its name, its volume, whether it is an alarm."""
        self._after: tuple[str, float, bool] | None = None
        """An alarm that a click cut short: it comes again."""
        self._silence = 0
        self._sink: QAudioSink | None = None
        self._stream: QIODevice | None = None
        self._channels = 1
        self._device = QAudioDevice()
        self._taken = (0, 0.0)
        self._busy_until = 0.0
        self._devices = QMediaDevices()
        self._devices.audioOutputsChanged.connect(self._follow)
        self._feed = QTimer(self)
        self._feed.setInterval(FEED_MS)
        self._feed.timeout.connect(self._write)
        self._alive = QTimer(self)
        self._alive.timeout.connect(self._still_here)
        self._alive.start(LOOK_MS)
        self._still_here()
        self.told.connect(self._obey)
        self._follow()

    def _still_here(self) -> None:
        """Put off the end that comes to a player that hangs, whatever it hangs in."""
        faulthandler.dump_traceback_later(HANGS_S, exit=True)

    def _follow(self) -> None:
        """Go to the default device when that is another one."""
        device = QMediaDevices.defaultAudioOutput()
        if device.isNull():
            leave("none")
        if device == self._device:
            return
        self._let_go()
        self._device = device
        print("device", device.description(), flush=True)

    def _open(self) -> None:
        """Open a stream to the device."""
        form = QAudioFormat()
        form.setSampleRate(self._rate)
        form.setSampleFormat(QAudioFormat.SampleFormat.Int16)
        for channels in (*CHANNELS, self._device.preferredFormat().channelCount()):
            form.setChannelCount(channels)
            if self._device.isFormatSupported(form):
                break
        else:
            leave("none")
        self._channels = form.channelCount()
        self._sink = QAudioSink(self._device, form, self)
        self._sink.setBufferSize(form.bytesForDuration(round(BUFFER_S * 1e6)))
        self._stream = self._sink.start()
        if self._stream is None:
            leave("stalled")
        self._taken = (0, time.monotonic())
        self._feed.start()

    def _let_go(self) -> None:
        """Close the stream."""
        self._feed.stop()
        if self._sink is not None:
            self._sink.stop()
            self._sink.deleteLater()
        self._sink = self._stream = None

    def _obey(self, line: str) -> None:
        number, what, *rest = line.split()
        if what == "play" and rest[0] in self._sounds:
            self._play((rest[0], float(rest[1]), rest[2] == "alarm"))
        elif what == "stop":
            self._after = None
            self._begin(None)
        print(number, flush=True)

    def _play(self, wanted: tuple[str, float, bool]) -> None:
        """Play a sound in the place of the one before; an alarm that a click cuts short comes again after it."""
        if self._now is not None and self._now[2]:
            self._after = self._now
        if wanted[2]:
            self._after = None
        self._begin(wanted)

    def _begin(self, wanted: tuple[str, float, bool] | None) -> None:
        cut = faded(self._left[: round(FADE_S * self._rate)])
        self._now = wanted
        self._left = cut
        if wanted is not None:
            name, volume, _ = wanted
            self._left.extend(round(one * volume) for one in self._sounds[name])
            if self._sink is None:
                self._open()
        self._silence = round(TAIL_S * self._rate)

    def _write(self) -> None:
        """Give the device what it has room for; end when it takes nothing."""
        if self._sink is None or self._stream is None:
            return
        now = time.monotonic()
        if self._sink.error() in (QtAudio.Error.OpenError, QtAudio.Error.IOError, QtAudio.Error.FatalError):
            leave("stalled")
        room = self._sink.bytesFree() // (2 * self._channels)
        if room > 0:
            self._give(room)
        heard = self._sink.processedUSecs()
        if heard != self._taken[0] or not self._waiting():
            self._taken = (heard, now)
        elif now - self._taken[1] > STALLED_S:
            leave("stalled")
        if self._waiting():
            self._busy_until = now + REST_S
        elif now > self._busy_until:
            self._let_go()

    def _waiting(self) -> bool:
        """Whether something is still to be given to the device."""
        return bool(self._left) or self._silence > 0

    def _give(self, room: int) -> None:
        """Write samples, or the silence after them, for so many moments."""
        assert self._stream is not None
        if not self._left and self._now is not None:
            print("played", self._now[0], flush=True)
            self._now = None
            if self._after is not None:
                after, self._after = self._after, None
                self._begin(after)
        if self._left:
            part, self._left = self._left[:room], self._left[room:]
        else:
            part = array.array("h", bytes(2 * min(room, self._silence)))
            self._silence -= len(part)
        if part:
            wide = array.array("h", (one for one in part for _ in range(self._channels)))
            self._stream.write(wide.tobytes())


def listen(player: Player) -> None:
    """Hand on the commands as they come, and end with them."""
    for line in sys.stdin:
        player.told.emit(line)
    os._exit(0)


def main() -> int:
    """Play what is asked for until nobody asks any more."""
    app = QCoreApplication(sys.argv)
    player = Player(Path(sys.argv[1]))
    threading.Thread(target=listen, args=(player,), daemon=True).start()
    return app.exec()


if __name__ == "__main__":
    sys.exit(main())
