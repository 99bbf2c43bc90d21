"""Short sounds for calls taken and refused; without an audio device the program says so once and goes on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from studiotimer.places import resource

if TYPE_CHECKING:
    from PySide6.QtMultimedia import QSoundEffect

NAMES = ("accepted", "refused", "pull", "thirty", "swap")
NO_SOUND = "No sound: this machine has no audio device, or its library is missing ({why}). Everything else works."


class Sounds:
    """The program's sounds, loaded when the first one is wanted."""

    def __init__(self, volume: float = 0.6) -> None:
        self._volume = volume
        self._effects: dict[str, QSoundEffect] = {}
        self.trouble: str | None = None

    def load(self) -> str | None:
        """Make the sounds ready, and return a sentence when there can be none."""
        try:
            from PySide6.QtCore import QUrl
            from PySide6.QtMultimedia import QMediaDevices, QSoundEffect
        except ImportError as error:
            library = str(error).split(":")[0]
            self.trouble = NO_SOUND.format(why=f"{library}; on Debian and Ubuntu: apt-get install libpulse0")
            return self.trouble
        if QMediaDevices.defaultAudioOutput().isNull():
            self.trouble = NO_SOUND.format(why="no device")
            return self.trouble
        for name in NAMES:
            effect = QSoundEffect()
            effect.setSource(QUrl.fromLocalFile(str(resource("sounds", f"{name}.wav"))))
            effect.setVolume(self._volume)
            self._effects[name] = effect
        return None

    def play(self, name: str) -> None:
        """Play a sound by name if there is sound."""
        if (effect := self._effects.get(name)) is not None:
            effect.play()
