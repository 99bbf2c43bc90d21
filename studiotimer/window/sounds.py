"""Short sounds for calls taken and refused, and alarms; without an audio device the program says so and goes on."""

from __future__ import annotations

from studiotimer.window.engine import Engine
from studiotimer.window.settings.values import SOUNDS, Settings

ALARMS = ("pull", "thirty", "swap")
"""The sounds that ask for something; the others answer a key."""


class Sounds:
    """The program's sounds: which are wanted and how loud. `engine` plays them."""

    def __init__(self, settings: Settings | None = None, engine: Engine | None = None) -> None:
        self._settings = settings or Settings()
        self.engine = engine or Engine()

    @property
    def trouble(self) -> str | None:
        """A sentence when there is no sound."""
        return self.engine.trouble

    def load(self) -> None:
        """Make ready for the first sound; the engine says when there can be none."""
        self.engine.start()

    def follow(self, settings: Settings) -> None:
        """Play as the settings say from now on."""
        self._settings = settings
        if settings.mute:
            self.engine.hush()

    def play(self, name: str) -> None:
        """Play a sound by name if it is wanted."""
        if self._settings.sounds(name):
            self.hear(name)

    def hear(self, name: str) -> None:
        """Play a sound by name, wanted or not."""
        if name in SOUNDS:
            self.engine.play(name, self._settings.volume, alarm=name in ALARMS)

    def end(self) -> None:
        """Let sound go."""
        self.engine.end()
