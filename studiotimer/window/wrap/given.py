"""What is given beside a session: its frames, each place with a way to take it off again, and the camera's clock."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import replace
from functools import partial
from pathlib import Path

from PySide6.QtWidgets import QPushButton, QWidget

from studiotimer.prep.found import counted
from studiotimer.window.aside import is_there
from studiotimer.window.capture import watched_for
from studiotimer.window.file_bar import FileBar
from studiotimer.window.flow import FlowLayout
from studiotimer.window.places_kept import alter, kept
from studiotimer.window.style import button, label
from studiotimer.window.wrap.camera_bar import CameraLine
from studiotimer.wrap.export import Asked
from studiotimer.wrap.zones import Zone, ZoneError, zone_named

NO_SESSION = "Open a session first."
NO_FRAMES = "Give the frames first: a folder of pictures, or a list with a name and a time in each row."
ZONES = "camera/zones"
MOST_KEPT = 50
NONE = "No frames yet"
CALLED = "{frames} called, no pictures yet"
LONGEST = 60
"""Figures of a zone's longest name that is taken back."""


class Given(QWidget):
    """A row of the places frames were given from, before what can be done with frames; `asked` is all that was given.

    `changed` is called when that is another. The zone a camera was set to is kept with the session it was given for.
    """

    def __init__(self, bar: FileBar, changed: Callable[[], None], say: Callable[[str], None]) -> None:
        super().__init__()
        self._bar, self._changed, self._say = bar, changed, say
        self.asked = Asked()
        self.session: Path | None = None
        self.camera = CameraLine(self._camera_given, say)
        self.places: list[QPushButton] = []
        self._row = FlowLayout(8)
        self.setLayout(self._row)
        self.words = label(NONE, "quiet")
        self.words.setWordWrap(False)
        self._row.addWidget(self.words)
        self._deeds: Sequence[QPushButton] = ()
        self._called = 0

    def offer(self, *deeds: QPushButton) -> None:
        """Have these buttons behind the places."""
        self._deeds = deeds
        for deed in deeds:
            self._row.addWidget(deed)

    def take(self, session: Path) -> None:
        """Begin with what is kept of a session, unless it is the one that is shown."""
        if session != self.session:
            self.session = session
            self.camera.leave()
            self.asked = Asked(camera_zone=zone_kept(session))
            self._show_places()

    def say_called(self, count: int) -> None:
        """Say how many frames there are that were called, while none were given."""
        self._called = count
        self._say_none()

    def give(self) -> None:
        """Ask for the frames."""
        if self.session is None:
            self._say(NO_SESSION)
            return
        frames = self.asked.frames
        usual = watched_for(self.session) or self.session.parent / "frames"
        at = frames[-1] if frames else usual
        words = "Frames: a folder or a list, besides those here" if frames else "Frames: a folder or a list: name, time"
        self._bar.ask("folder", words, "Add", at, self.add)

    def add(self, path: Path) -> str | None:
        """Take the frames of a folder or a list, besides those that are there; return what was wrong."""
        if not is_there(path):
            words = f"{path} is not there; give a folder of pictures or a list"
            self._say(f"{words}.")
            return words
        self._have((*self.asked.frames, path))
        return None

    def take_off(self, path: Path) -> None:
        """Take the frames of a folder or a list off again; nothing of theirs is touched."""
        asked = self.asked
        if asked.pair is not None or asked.screen is not None:  # the frame they name may go with it
            self.asked = replace(asked, pair=None, screen=None)
        self._have([each for each in asked.frames if each != path])

    def match(self, frame: str) -> None:
        """Ask how the camera's clock stands; `frame` is the one chosen."""
        if not self.asked.frames:
            self._say(NO_FRAMES)
            return
        self.camera.ask(self.asked, frame)

    def _have(self, frames: Sequence[Path]) -> None:
        self.asked = replace(self.asked, frames=tuple(dict.fromkeys(frames)))
        self._show_places()
        self._changed()

    def _show_places(self) -> None:
        for place in self.places:
            self._row.removeWidget(place)
            place.deleteLater()
        self.places = []
        for path in self.asked.frames:
            deed = partial(self.take_off, path)
            name = f"take the frames of {path} off"
            self.places.append(button(f"{path.name or path}  ✕", deed, "", name, f"{path}: take its frames off"))
            self._row.addWidget(self.places[-1])
        self._say_none()
        for each in self._deeds:
            self._row.removeWidget(each)
            self._row.addWidget(each)

    def _say_none(self) -> None:
        none = CALLED.format(frames=counted(self._called, "frame")) if self._called else NONE
        self.words.setText("Frames of" if self.places else none)

    def _camera_given(self, asked: Asked) -> None:
        self.asked = asked
        self.camera.hide()
        if self.session is not None:
            keep_zone(self.session, asked.camera_zone)
        self._changed()


def keep_zone(session: Path, zone: Zone | None) -> None:
    """Keep the zone the camera of a session was set to, or that none was given."""

    def changed(zones: object) -> object:
        held = (dict(zones) if isinstance(zones, dict) else {}) | {str(session): None if zone is None else str(zone)}
        return dict([(path, text) for path, text in held.items() if text is not None][-MOST_KEPT:])

    alter(ZONES, changed)


def zone_kept(session: Path) -> Zone | None:
    """Return the zone that the camera of a session was set to, as it was given before."""
    zones = kept(ZONES)
    text = zones.get(str(session)) if isinstance(zones, dict) else None
    if isinstance(text, str) and len(text) <= LONGEST:
        with suppress(ZoneError):
            return zone_named(text)
    return None
