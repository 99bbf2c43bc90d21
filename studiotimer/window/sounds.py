"""Short sounds for calls taken and refused; without an audio device the program says so once and goes on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from studiotimer.places import resource
from studiotimer.window.settings.values import SOUNDS, Settings

if TYPE_CHECKING:
    from PySide6.QtMultimedia import QSoundEffect

NO_SOUND = "No sound: this machine has no audio device, or its library is missing ({why}). Everything else works."


class Sounds:
    """The program's sounds, loaded when the first one is wanted."""

    def __init__(self, settings: Settings | None = None) -> None:
        self._settings = settings or Settings()
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
        for name in SOUNDS:
            effect = QSoundEffect()
            effect.setSource(QUrl.fromLocalFile(str(resource("sounds", f"{name}.wav"))))
            effect.setVolume(self._settings.volume)
            self._effects[name] = effect
        return None

    def follow(self, settings: Settings) -> None:
        """Play as the settings say from now on."""
        self._settings = settings
        for effect in self._effects.values():
            effect.setVolume(settings.volume)
            if settings.mute:
                effect.stop()

    def play(self, name: str) -> None:
        """Play a sound by name if there is sound and it is wanted."""
        if self._settings.sounds(name):
            self.hear(name)

    def hear(self, name: str) -> None:
        """Play a sound by name, wanted or not."""
        if (effect := self._effects.get(name)) is not None:
            effect.play()
