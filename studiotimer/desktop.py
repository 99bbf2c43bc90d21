"""The program in a Linux desktop's menu, with its icons and the type of its session files; put there and taken away.

All of it lies in the user's own folder, as the desktop's standards have it (Desktop Entry, Icon Theme and Shared
MIME-info specifications of freedesktop.org), so nobody else's rights are needed.
"""

from __future__ import annotations

import re
import shutil
import sys
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

import platformdirs

from studiotimer.apart import bundled
from studiotimer.errors import PlaceError
from studiotimer.files import remove, write_all
from studiotimer.places import resource

NAME = "studiotimer"
SUFFIX = ".setlog"
TYPE = "application/x-studiotimer-session"
SIZES = (16, 22, 24, 32, 48, 64, 128, 256, 512)
ENTRY = """[Desktop Entry]
Type=Application
Version=1.4
Name=Studiotimer
GenericName=Working time on set
Comment=Keeps the working time of real ice cream on a photo set
Exec={command} window %f
Icon={name}
Terminal=false
StartupNotify=true
StartupWMClass={name}
Categories=Graphics;Photography;
Keywords=ice cream;photo;shoot;food;
MimeType={type};
"""
KIND = """<?xml version="1.0" encoding="UTF-8"?>
<mime-info xmlns="http://www.freedesktop.org/standards/shared-mime-info">
  <mime-type type="{type}">
    <comment>Studiotimer session</comment>
    <sub-class-of type="text/plain"/>
    <icon name="{icon}"/>
    <magic priority="60">
      <match type="string" offset="0" value="{{&quot;format&quot;:&quot;studiotimer session&quot;"/>
    </magic>
    <glob pattern="*{suffix}"/>
  </mime-type>
</mime-info>
"""
TOLD_BY = {
    "update-mime-database": ("mime", "shared-mime-info", f"{SUFFIX} files are not known yet"),
    "update-desktop-database": (
        "applications",
        "desktop-file-utils",
        f"a double click on a {SUFFIX} file may not find it",
    ),
}
"""What tells the desktop: the folder it is told of, the Debian package that has it, and what is so without it."""
PATIENCE_S = 60.0
_PLAIN = re.compile(r"[\w./+@:,=-]+", re.ASCII)
_ICON = TYPE.replace("/", "-")


class DesktopError(PlaceError):
    """It cannot be put there or taken away; the message is one sentence."""


def command() -> list[str]:
    """Return the command line that starts the program as it is installed."""
    own = Path(sys.executable)
    if bundled():
        return [str(own)]
    beside = own.with_name(NAME)
    return [str(beside)] if beside.is_file() else [str(own), "-m", NAME]


def install(started_by: Sequence[str]) -> list[str]:
    """Put the entry, the icons and the type in their places, and return what is to be said of it, a sentence each.

    Raises DesktopError for a path that menus cannot start, and when the disk refuses; nothing half-written stays.
    """
    _only_linux("install-desktop")
    if misread := [word for word in started_by if "%" in word]:
        raise DesktopError(f"{misread[0]}: menus misread the sign % in a path; move the program and try again")
    home = _home()
    try:
        for folder, files in _files(started_by).items():
            write_all(home / folder, files)
    except OSError as error:
        with suppress(OSError):
            _take_away(home)
        raise DesktopError(f"{home} cannot be written to ({error.strerror or error}); nothing was put there") from None
    missing = _tell(home)
    return [
        f"Studiotimer is in the menu. A double click on a {SUFFIX} file opens it, or follows it where another window "
        "has it.",
        "The entry starts what lies here now: after moving it, say install-desktop once more. remove-desktop takes it "
        "away.",
        *missing,
    ]


def uninstall() -> list[str]:
    """Take the entry, the icons and the type away again, and return what is to be said of it; raises DesktopError."""
    _only_linux("remove-desktop")
    home = _home()
    try:
        gone = _take_away(home)
    except OSError as error:
        raise DesktopError(f"{error.filename}: it cannot be removed ({error.strerror})") from None
    if not gone:
        return ["Studiotimer was not in the menu."]
    _tell(home)
    return ["Studiotimer is no longer in the menu. Sessions, plans and settings are as they were."]


def quoted(words: Sequence[str]) -> str:
    """Return a command line as an entry's Exec has it."""
    return " ".join(word if _PLAIN.fullmatch(word) else _in_quotes(word) for word in words)


def _in_quotes(word: str) -> str:
    for sign in '\\"`$':
        word = word.replace(sign, "\\" + sign)
    return '"' + word.replace("\\", "\\\\") + '"'


def _only_linux(what: str) -> None:
    if sys.platform != "linux":
        raise DesktopError(f"{what} is for Linux; on macOS and Windows README says what opens {SUFFIX} files")


def _home() -> Path:
    return Path(platformdirs.user_data_dir())


def _files(started_by: Sequence[str]) -> dict[str, dict[str, bytes]]:
    """Return what is written, by folder and name."""
    files = {
        "applications": {
            f"{NAME}.desktop": ENTRY.format(command=quoted(started_by), name=NAME, type=TYPE).encode(),
        },
        "mime/packages": {f"{NAME}.xml": KIND.format(type=TYPE, icon=_ICON, suffix=SUFFIX).encode()},
    }
    for drawn, kind, name in (("program", "apps", NAME), ("session", "mimetypes", _ICON)):
        for size in SIZES:
            picture = resource("desktop", drawn, f"{size}.png").read_bytes()
            files[f"icons/hicolor/{size}x{size}/{kind}"] = {f"{name}.png": picture}
        files[f"icons/hicolor/scalable/{kind}"] = {
            f"{name}.svg": resource("desktop", drawn, "scalable.svg").read_bytes()
        }
    return files


def _take_away(home: Path) -> bool:
    """Remove what is there of it, and return whether anything was; raises OSError."""
    gone = False
    for folder, files in _files([NAME]).items():
        for name in files:
            path = home / folder / name
            if path.exists():
                remove(path)
                gone = True
    return gone


def _tell(home: Path) -> list[str]:
    """Have the desktop look at its folders anew; return a sentence for each program that is missing for it."""
    import subprocess  # the opening window does without

    missing = []
    for program, (folder, package, without) in TOLD_BY.items():
        if not (home / folder).is_dir():
            continue
        if shutil.which(program) is None:
            missing.append(f"{program} is missing ({without}); on Debian and Ubuntu: apt-get install {package}")
            continue
        try:
            subprocess.run(
                [program, str(home / folder)], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, timeout=PATIENCE_S,
                check=True,
            )  # fmt: skip
        except (OSError, subprocess.SubprocessError):
            missing.append(f"{program} did not do its work ({without}); log out and in again, and try once more")
    return missing
