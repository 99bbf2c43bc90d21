"""Where things are: the resources shipped with the program and the user's own folders."""

import contextlib
import errno
import os
import stat
import sys
import warnings
from functools import cache
from pathlib import Path

import platformdirs

from studiotimer.errors import PlaceError
from studiotimer.files import PRIVATE_FOLDER, make_folder

_PACKAGE = Path(__file__).parent
LONGEST_NAME = 160
"""Bytes of a name of 255, the most that file systems take; the rest is for a date, a number and what stands beside."""
_APP = "studiotimer"
_HOMES = ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_CACHE_HOME")
_sessions: Path | None = None
_set_apart: tuple[Path, Path, Path] | None = None
"""The user's own folders, where libraries are told of others."""
_documents: dict[tuple[str | None, ...], Path] = {}
"""The folder of documents, by what in the environment says where it is."""


class MissingResourceError(PlaceError, FileNotFoundError):
    """A file the program ships with is not there; the installation is incomplete."""


def _shipped(folder: str) -> Path:
    """Return a shipped folder: inside the package when installed, beside it in a checkout."""
    for base in (_PACKAGE, _PACKAGE.parent):
        if (base / folder).is_dir():
            return base / folder
    raise MissingResourceError(f"the folder {folder!r} is missing from this installation; install studiotimer again")


@cache
def resource(*parts: str) -> Path:
    """Return the path of a shipped resource, for example ``resource("mixes.json")``.

    Raises MissingResourceError when the installation lacks it.
    """
    path = _shipped("resources").joinpath(*parts)
    if not path.exists():
        raise MissingResourceError(
            f"the resource {'/'.join(parts)!r} is missing from this installation; install studiotimer again"
        )
    return path


def demo_sessions() -> Path:
    """Return the folder of invented shoots shipped with the program."""
    return _shipped("demo_sessions")


def _made(path: Path) -> Path:
    """Return a folder of the user's, made where the disk lets us; where not, what is read or written in it fails."""
    with contextlib.suppress(OSError):
        make_folder(path, PRIVATE_FOLDER)
    return path


def data_folder() -> Path:
    """Return (and make) the user's folder for things kept between sessions."""
    return _made(where_kept()[1])


def demo_copies() -> Path:
    """Return the folder of the demos' copies that calls can be made on (made when first needed)."""
    return data_folder() / "demos"


def where_kept() -> tuple[Path, Path, Path]:
    """Return the user's folders for settings, for things kept and for faults, without a look at them."""
    if _set_apart is not None:
        return _set_apart
    folders = platformdirs.user_config_dir, platformdirs.user_data_dir, platformdirs.user_state_dir
    config, data, state = (Path(folder(_APP, appauthor=False)) for folder in folders)
    return config, data, state


def set_apart(instead: Path) -> None:
    """Have libraries look for the user's own files in the folder `instead` from now on: their disk does not answer.

    Fonts, cursors and keyboards are looked for there by what Qt is made of, before anything is shown.
    """
    global _set_apart
    guess_documents()
    documents = usual_sessions_folder().parent
    _set_apart = where_kept()
    for name in (*_HOMES, "HOME"):
        os.environ[name] = str(instead)
    _documents[_asked_documents()] = documents


def config_folder() -> Path:
    """Return (and make) the user's folder for settings."""
    return _made(where_kept()[0])


def state_folder() -> Path:
    """Return (and make) the user's folder for the program's own log of faults."""
    return _made(where_kept()[2])


def usual_sessions_folder() -> Path:
    """Return the folder of new shoots where nobody chose another; a file of the user's may say where, read once."""
    asked = _asked_documents()
    if asked not in _documents:
        _documents[asked] = Path(platformdirs.user_documents_dir())
    return _documents[asked] / "Studiotimer"


def guess_documents() -> None:
    """Take the folder of documents to be where it usually is, as long as nobody could read where."""
    _documents.setdefault(_asked_documents(), Path.home() / "Documents")


def _asked_documents() -> tuple[str | None, ...]:
    return tuple(os.environ.get(name) for name in ("HOME", "XDG_CONFIG_HOME", "XDG_DOCUMENTS_DIR"))


def sessions_folder() -> Path:
    """Return the folder where a new shoot is kept unless told otherwise (made when first needed)."""
    return _sessions or usual_sessions_folder()


def keep_sessions_in(folder: str) -> None:
    """Keep new shoots in this folder from now on; in the usual one when it is empty."""
    global _sessions
    _sessions = Path(folder) if folder else None


def file_name(title: str) -> str:
    """Return what the files of a shoot are called by its title: words of any script with dashes between."""
    words = "".join(ch if ch.isalnum() else " " for ch in title.lower()).split()
    return shortened("-".join(words) or "shoot")


def shortened(name: str, most: int = 60) -> str:
    """Return the start of a file's name: so many letters at most, and bytes enough left for what is put after it."""
    return name[:most].encode()[:LONGEST_NAME].decode(errors="ignore")


def path_of(text: str) -> Path:
    """Return the path a person wrote, ``~`` being their own folder; of a user that is not there it stays as it is."""
    path = Path(text.strip())
    try:
        return path.expanduser()
    except RuntimeError:
        return path


def runtime_folder() -> Path:
    """Return (and make) the folder for the call socket, closed to other users.

    One of ours that stands open is closed. Raises OSError when it cannot be made, is a link or belongs to another.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it warns of taking a folder of its own where the system names none
        path = Path(platformdirs.user_runtime_dir(_APP, appauthor=False))
    make_folder(path, PRIVATE_FOLDER)
    _closed_to_others(path)
    return path


def _closed_to_others(folder: Path) -> None:
    """Close a folder of ours to other users (Windows does); raises PermissionError for one that is not ours."""
    if sys.platform == "win32":
        return
    about = folder.lstat()
    if not stat.S_ISDIR(about.st_mode):
        raise PermissionError(errno.EPERM, f"{folder} is not a folder")
    if about.st_uid != os.getuid():
        raise PermissionError(errno.EPERM, f"{folder} belongs to another user")
    above = folder.parent.stat()
    if above.st_uid not in (0, os.getuid()) or (above.st_mode & 0o022 and not above.st_mode & stat.S_ISVTX):
        raise PermissionError(errno.EPERM, f"{folder.parent} lets other users put another in its place")
    if about.st_mode & 0o077:
        folder.chmod(PRIVATE_FOLDER)
        if folder.lstat().st_mode & 0o077:
            raise PermissionError(errno.EPERM, f"{folder} stands open to other users")
