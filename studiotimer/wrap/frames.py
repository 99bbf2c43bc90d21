"""Frames gathered: those logged on set, those of a folder of pictures, or those of a list."""

from __future__ import annotations

import csv
import datetime as dt
import io
import os
from collections.abc import Callable, Container, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path, PurePath
from statistics import median

from studiotimer.errors import ContentError, StoppedError
from studiotimer.files import small_bytes
from studiotimer.plain import plain, shown
from studiotimer.session.calls.clips import Clip
from studiotimer.session.calls.notes import Frame
from studiotimer.wrap.camera import Anchor, Taken, read_time
from studiotimer.wrap.cells import as_written
from studiotimer.wrap.exif import PICTURES, RAWS, NoTimeError, taken_of
from studiotimer.wrap.movie import CLIPS, clip_of
from studiotimer.wrap.recorded import Recorded

MOST_FRAMES = 100_000  # ten days of a camera that never rests; more is no shoot's folder
LONGEST_SENDING_S = 120.0
"""A picture was taken at most this long before it arrived; further off, another camera took it (own rule)."""
LARGEST_LIST = 64 << 20  # more than 600 bytes for each of those
_NAMES = ("name", "frame", "file", "filename")
_TIMES = ("time", "taken", "date", "datetime", "datetimeoriginal")
_SELECTS = ("select", "selected", "selects")
_YES = frozenset({"1", "x", "y", "yes", "true", "select"})

Progress = Callable[[int, int], bool]
"""Told how many of how many are done; returns whether to go on."""


class FramesError(ContentError):
    """The frames cannot be used at all; the message is one sentence."""


@dataclass(frozen=True, slots=True)
class Found:
    """A frame with the camera's time (or its session second, when it was logged), and its file where there is one.

    A motion clip is a frame that has a length: its time is its begin.
    """

    name: str
    taken: Taken | None
    at: float | None = None
    path: Path | None = None
    select: bool = False
    length_s: float | None = None


@dataclass
class Gathered:
    """The frames that can be used, and the others with why not, in a few words."""

    frames: list[Found] = field(default_factory=list)
    left_out: dict[str, list[str]] = field(default_factory=dict)

    def leave(self, name: str, why: str) -> None:
        """Count a frame that cannot be used."""
        self.left_out.setdefault(why, []).append(name)

    def sentences(self) -> list[str]:
        """Return a line for each reason: how many frames, and the first of their names."""
        return [f"{why}: {_counted(names)}" for why, names in self.left_out.items()]


def _counted(names: Sequence[str], most: int = 3) -> str:
    named = ", ".join(shown(name) for name in names[:most])
    return f"{len(names)} left out ({named}{', …' if len(names) > most else ''})"


def go_on(*_: int) -> bool:
    """Go on, whatever is done."""
    return True


def logged(session: Recorded) -> Gathered:
    """Return the frames logged while the session ran.

    One that was logged at its arrival is dated by its camera, once other frames say how that camera stood.
    """
    frames = [(told.entry, told.at) for told in session.ledger.told if isinstance(told.entry, Frame)]
    known = [
        at - _seconds(taken)
        for one, at in frames
        if one.timed == "camera" and (taken := _camera_of(one)) is not None
    ]  # fmt: skip
    off_s = median(known) if known else None
    return Gathered([Found(one.name, None, _dated(one, at, off_s)) for one, at in frames])


def watched(session: Recorded, gathered: Gathered) -> Anchor | None:
    """Return the last of these that was logged by its camera's time as it came: it says how that clock stood."""
    came = {
        (told.entry.name, told.entry.camera): told.at
        for told in session.ledger.told
        if isinstance(told.entry, Frame) and told.entry.timed == "camera"
    }
    for frame in reversed(gathered.frames):
        key = PurePath(frame.name).name, str(frame.taken)
        if frame.taken is not None and key in came:
            return Anchor(frame.name, frame.taken, came[key])
    return None


def clips_logged(session: Recorded) -> list[tuple[Found, float]]:
    """Return the clips called on set with their begins; one that was never ended runs until the log does."""
    begun: dict[str, float] = {}
    found = []
    for told in session.ledger.told:
        if isinstance(told.entry, Clip) and told.entry.on:
            begun[told.entry.name] = told.at
        elif isinstance(told.entry, Clip) and told.entry.name in begun:
            at = begun.pop(told.entry.name)
            found.append((Found(told.entry.name, None, at, length_s=told.at - at), at))
    found += [(Found(name, None, at, length_s=session.end - at), at) for name, at in begun.items()]
    return found


def _camera_of(frame: Frame) -> Taken | None:
    return read_time(frame.camera) if frame.camera is not None else None


def _seconds(taken: Taken) -> float:
    """Return a camera's time as seconds, which tell only by how much two of its times differ."""
    local = taken.local.replace(tzinfo=dt.UTC)
    return (local - (taken.offset or dt.timedelta()) - dt.datetime(2000, 1, 1, tzinfo=dt.UTC)).total_seconds()


def _dated(frame: Frame, at: float, off_s: float | None) -> float:
    taken = _camera_of(frame)
    if off_s is None or taken is None or frame.timed != "arrival":
        return at
    by_camera = _seconds(taken) + off_s
    return by_camera if abs(by_camera - at) <= LONGEST_SENDING_S else at


def gather(source: Path, progress: Progress = go_on) -> Gathered:
    """Return the frames of a folder of pictures or of a CSV list.

    Raises FramesError when nothing can be read there, StoppedError when `progress` says so.
    """
    try:
        if source.is_dir():
            return from_folder(source, progress)
        if source.is_file():
            return from_list(source)
    except OSError as error:
        raise FramesError(f"{source.name} cannot be read: {error.strerror}") from None
    raise FramesError(f"{shown(str(source), 120)}: there is no such folder or list of frames")


def gather_all(sources: Sequence[Path], progress: Progress = go_on) -> Gathered:
    """Return the frames of several folders and lists, as `gather` does; a file that two of them hold counts once.

    Where a name comes again, as on a second card, the name of its folder stands before it.
    """
    together, names, paths = Gathered(), set[str](), set[Path]()
    for source in sources:
        found = gather(source, progress)
        for why, left in found.left_out.items():
            together.left_out.setdefault(why, []).extend(left)
        for frame in found.frames:
            if frame.path is not None and frame.path in paths:
                continue
            name = _another(frame.name, source, names)
            names.add(name)
            together.frames.append(replace(frame, name=name))
        paths |= {frame.path for frame in found.frames if frame.path is not None}
    _take_raws_with_others(together)
    if len(together.frames) > MOST_FRAMES:
        raise FramesError(f"these are {len(together.frames)} frames; at most {MOST_FRAMES} can be matched at a time")
    return together


def _take_raws_with_others(gathered: Gathered) -> None:
    """Make one frame of a raw file and the JPEG or HEIC of its name and second, or beside it and without a time."""
    others = {_bare(frame.name) for frame in gathered.frames}
    for why, names in list(gathered.left_out.items()):
        gathered.left_out[why] = [name for name in names if _bare(name) not in others]
        if not gathered.left_out[why]:
            del gathered.left_out[why]
    kept: dict[tuple[str, object], Found] = {}
    for frame in gathered.frames:
        key = PurePath(frame.name.casefold()).stem, frame.taken and frame.taken.local.replace(microsecond=0)
        before = kept.get(key)
        if before is None:
            kept[key] = frame
        elif before.path is None or frame.path is None or _is_raw(before.name) == _is_raw(frame.name):
            kept[frame.name, None] = frame
        elif _is_raw(before.name):
            kept[key] = frame
    gathered.frames = list(kept.values())


def _is_raw(name: str) -> bool:
    return PurePath(name.casefold()).suffix in RAWS


def _bare(name: str) -> str:
    path = PurePath(name.casefold())
    return str(path.with_suffix("")) if path.suffix in PICTURES else str(path)


def _another(name: str, source: Path, taken: Container[str]) -> str:
    """Return a frame's name, with as many of the folders above its own before it as make it another than those."""
    for folder in (source, *source.parents):
        if name not in taken:
            return name
        name = f"{plain(folder.name)}/{name}"
    count = 2
    while f"{name} ({count})" in taken:
        count += 1
    return f"{name} ({count})" if name in taken else name


def heed(progress: Progress, done: int, total: int) -> None:
    """Tell how far it is; raises StoppedError when that says to stop."""
    if not progress(done, total):
        raise StoppedError


def from_folder(folder: Path, progress: Progress = go_on) -> Gathered:
    """Return the frames of the pictures in `folder` and the folders in it, in order of name."""
    gathered = Gathered()
    paths = sorted(_pictures(folder, gathered))
    if len(paths) > MOST_FRAMES:
        raise FramesError(f"{folder.name} holds {len(paths)} pictures; at most {MOST_FRAMES} can be matched at a time")
    for done, path in enumerate(paths):
        heed(progress, done, len(paths))
        name = plain(path.relative_to(folder).as_posix())
        try:
            gathered.frames.append(_found(name, path))
        except NoTimeError as error:
            gathered.leave(name, str(error))
        except OSError as error:
            gathered.leave(name, f"not readable ({error.strerror or 'gone'})")
    progress(len(paths), len(paths))
    return gathered


def _found(name: str, path: Path) -> Found:
    if path.suffix.lower() in CLIPS:
        taken, length = clip_of(path)
        return Found(name, taken, path=path, length_s=length)
    return Found(name, taken_of(path), path=path)


def _pictures(folder: Path, gathered: Gathered) -> Iterator[Path]:
    """Yield the pictures and clips below `folder`; no link to a folder is followed."""
    for here, folders, names in os.walk(folder, onerror=lambda error: _lost(error, folder, gathered)):
        folders[:] = [name for name in folders if not name.startswith(".")]
        for name in names:
            path = Path(here) / name
            if name.startswith(".") or path.suffix.lower() not in PICTURES | CLIPS:
                continue
            if path.is_file():
                yield path
            else:
                gathered.leave(plain(path.relative_to(folder).as_posix()), "not a file")


def _lost(error: OSError, folder: Path, gathered: Gathered) -> None:
    where = Path(error.filename or folder)
    gathered.leave(plain(where.name), f"folder not readable ({error.strerror or 'gone'})")


def from_list(path: Path) -> Gathered:
    """Return the frames of a CSV: a name and a time a row, with or without a heading; a select column counts."""
    rows = _rows(path)
    if not rows:
        raise FramesError(f"{path.name} is empty; it must have a name and a time in each row")
    name, time, select = _columns(rows[0])
    gathered = Gathered()
    for number, row in enumerate(rows if name is None else rows[1:], 1 if name is None else 2):
        cells = [cell.strip() for cell in row]
        if not any(cells):
            continue
        called = plain(as_written(cells[name or 0])) if len(cells) > (name or 0) else ""
        written = cells[time] if len(cells) > time else ""
        taken = read_time(written)
        if not called:
            gathered.leave(f"row {number}", "no name")
        elif taken is None:
            gathered.leave(called, "its time is not like 2026-06-14 10:32:05.12+02:00")
        else:
            chosen = select is not None and len(cells) > select and cells[select].lower() in _YES
            gathered.frames.append(Found(called, taken, select=chosen))
    if len(gathered.frames) > MOST_FRAMES:
        raise FramesError(f"{path.name} has {len(gathered.frames)} frames; at most {MOST_FRAMES} can be matched")
    return gathered


def _columns(first: Sequence[str]) -> tuple[int | None, int, int | None]:
    """Return the columns of the name, the time and the select; the name's is None when there is no heading."""
    heads = [cell.strip().lower() for cell in first]
    name = next((heads.index(one) for one in _NAMES if one in heads), None)
    time = next((heads.index(one) for one in _TIMES if one in heads), None)
    if name is None or time is None:
        return None, 1, 2
    return name, time, next((heads.index(one) for one in _SELECTS if one in heads), None)


def names_in(path: Path) -> list[str]:
    """Return the names in a list of selects: the first cell of each row, or those a select column marks."""
    rows = _rows(path)
    if not rows:
        return []
    heads = [cell.strip().lower() for cell in rows[0]]
    name = next((heads.index(one) for one in _NAMES if one in heads), None)
    chosen = next((heads.index(one) for one in _SELECTS if one in heads), None)
    named = [row for row in (rows[1:] if name is not None else rows) if len(row) > (name or 0)]
    if name is not None and chosen is not None:
        named = [row for row in named if len(row) > chosen and row[chosen].strip().lower() in _YES]
    return [called for row in named if (called := plain(as_written(row[name or 0])))]


def _rows(path: Path) -> list[list[str]]:
    """Return the cells of a CSV file, commas or semicolons; raises FramesError."""
    try:
        if path.stat().st_size > LARGEST_LIST:
            raise FramesError(f"{path.name} is larger than any list of frames")
        text = small_bytes(path, LARGEST_LIST).decode("utf-8-sig", errors="replace")
        text = text.replace("\0", "").replace("\r\n", "\n").replace("\r", "\n")
        semicolons = text.split("\n", 1)[0].count(";") > text.split("\n", 1)[0].count(",")
        return [row for row in csv.reader(io.StringIO(text), delimiter=";" if semicolons else ",") if row]
    except OSError as error:
        raise FramesError(f"{path.name} cannot be read: {error.strerror}") from None
    except csv.Error as error:
        raise FramesError(f"{path.name} is not a list of frames: {error}") from None
