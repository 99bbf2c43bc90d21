"""The crew's settings: units, sounds, size, folder, and the colours of the pages before and after a shoot."""

from __future__ import annotations

from dataclasses import asdict, dataclass, fields
from pathlib import Path
from typing import Literal, get_args

from studiotimer.files import small_json
from studiotimer.places import config_folder
from studiotimer.session import small_files
from studiotimer.units import Style
from studiotimer.window import shelf

FILE = "settings.json"
VERSION = 1

Sound = Literal["accepted", "refused", "pull", "thirty", "swap"]
Colours = Literal["dark", "light"]
Board = Literal["", "QWERTY", "QWERTZ", "AZERTY"]

SOUNDS: tuple[Sound, ...] = get_args(Sound)
SIZES = (1.0, 1.25, 1.5, 2.0)
"""How many times as large as usual everything can be drawn."""


@dataclass(frozen=True, slots=True)
class Settings:
    """What a crew chooses once; `volume` runs from 0 to 1, `silenced` names the sounds turned off.

    `keyboard` is how the person's letters lie, guessed from the language of what is typed when empty;
    `size` is how many times as large as usual everything is drawn from the next start on; `sessions` is the folder of
    new sessions, the usual one when empty.
    """

    units: Style = "metric"
    colours: Colours = "light"
    volume: float = 0.6
    mute: bool = False
    silenced: tuple[Sound, ...] = ()
    size: float = 1.0
    sessions: str = ""
    keyboard: Board = ""

    def sounds(self, name: str) -> bool:
        """Whether a sound is wanted."""
        return not self.mute and name not in self.silenced


def settings_file() -> Path:
    """Return where the settings are kept."""
    return config_folder() / FILE


def load_settings() -> tuple[Settings, str | None]:
    """Return the settings, and a sentence when their file could not be used."""
    return small_files.load(settings_file(), settings_of, Settings(), "the settings")


def size_kept() -> float:
    """Return the size that is kept; the usual one when the file cannot be used, which `load_settings` tells."""

    def size() -> float:
        try:
            return settings_of(small_json(settings_file())).size
        except (OSError, ValueError):
            return Settings().size

    return shelf.read(size, Settings().size)


def change_settings(base: Settings, mine: Settings) -> tuple[Settings | None, str | None]:
    """Keep what differs in `mine` from `base`, on top of what is kept now; see `keeping.change`."""
    return small_files.change(
        settings_file(), settings_of, Settings(), "the settings", lambda theirs: merged(base, mine, theirs), _values_of
    )


def merged(base: Settings, mine: Settings, theirs: Settings) -> Settings:
    """Return `theirs` with what differs in `mine` from `base`."""
    return Settings(**small_files.merged(asdict(base), asdict(mine), asdict(theirs)))


def _values_of(settings: Settings) -> dict[str, object]:
    return {"version": VERSION, **asdict(settings)}


def settings_of(values: object) -> Settings:
    """Return the settings in JSON `values`, what is left out as usual; raises ValueError naming what is wrong."""
    if not isinstance(values, dict):
        raise ValueError("it holds no settings")
    given = {name: value for name, value in values.items() if name != "version"}
    known = [field.name for field in fields(Settings)]
    for name, value in given.items():
        if name not in known:
            raise ValueError(f"there is no setting {name[:40]!r}; the settings are {', '.join(known)}")
        if not _RULES[name](value):
            raise ValueError(f"{name} cannot be {value!r:.40}; it must be {_WANTED[name]}")
    silenced = tuple(name for name in SOUNDS if name in given.get("silenced", ()))
    return Settings(**{**given, "silenced": silenced})


_RULES = {
    "units": lambda value: value in get_args(Style),
    "colours": lambda value: value in get_args(Colours),
    "volume": lambda value: isinstance(value, int | float) and not isinstance(value, bool) and 0 <= value <= 1,
    "mute": lambda value: isinstance(value, bool),
    "silenced": lambda value: isinstance(value, list) and all(name in SOUNDS for name in value),
    "size": lambda value: not isinstance(value, bool) and value in SIZES,
    "sessions": lambda value: isinstance(value, str) and (not value or Path(value).is_absolute()),
    "keyboard": lambda value: value in get_args(Board),
}
_WANTED = {
    "units": "metric or US",
    "colours": "dark or light",
    "volume": "from 0 to 1",
    "mute": "true or false",
    "silenced": f"a list of {', '.join(SOUNDS)}",
    "size": f"one of {', '.join(f'{size:g}' for size in SIZES)}",
    "sessions": "the whole path of a folder, or empty",
    "keyboard": "QWERTY, QWERTZ or AZERTY, or empty",
}
