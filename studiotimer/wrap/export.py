"""From a session, its frames and what is known of the camera to everything that is written out but the drawings."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from studiotimer.prep.outputs import made_now
from studiotimer.prep.plan import plan_text, today
from studiotimer.units import duration
from studiotimer.wrap.aged import Aged, aged, all_series, dated, left_words, unknown
from studiotimer.wrap.camera import Anchor, CameraClock, CameraError, Taken, paired, showing
from studiotimer.wrap.carry import next_plan
from studiotimer.wrap.cued import tally
from studiotimer.wrap.decoding import NoThumbnailError
from studiotimer.wrap.frames import (
    Found,
    Gathered,
    Progress,
    clips_logged,
    gather_all,
    go_on,
    heed,
    logged,
    names_in,
    watched,
)
from studiotimer.wrap.marks import Marks
from studiotimer.wrap.recorded import Recorded, load
from studiotimer.wrap.report import Gaps, Report, Shown, report_of
from studiotimer.wrap.review import Review, review_of
from studiotimer.wrap.tables import frames_csv, scoops_csv
from studiotimer.wrap.thumbs import chosen_for_show, thumbnail
from studiotimer.wrap.zones import Zone


@dataclass(frozen=True)
class Asked:
    """What was given beside the session; `pair` and `screen` are a frame's name and what it is paired with.

    `frames` are folders of pictures and lists, all of which count.
    """

    frames: tuple[Path, ...] = ()
    selects: Path | None = None
    camera_ahead_s: float | None = None
    camera_zone: Zone | None = None
    pair: tuple[str, str] | None = None
    screen: tuple[str, str] | None = None
    zone: Zone | None = None
    next_date: dt.date | None = None


@dataclass(frozen=True)
class Exported:
    """The report, the other files by name, the figures as JSON values, and what could not be used."""

    review: Review
    frames: tuple[Aged, ...]
    report: Report
    files: dict[str, bytes]
    values: dict[str, object]
    gaps: tuple[str, ...]


def export(path: Path, asked: Asked, progress: Progress = go_on) -> Exported:
    """Return everything for the session at `path`.

    Raises SessionFileError, FramesError, CameraError, ZoneError or WrongClockError with what to give, and
    StoppedError when `progress` says so.
    """
    review = review_of(load(path, asked.zone), tally)
    gaps = Gaps()
    frames = frames_of(review, asked, gaps, progress)
    return exported(review, frames, gaps, asked.next_date or today(), progress)


def exported(
    review: Review, frames: Sequence[Aged], gaps: Gaps, next_date: dt.date, progress: Progress = go_on
) -> Exported:
    """Return everything for a session that was reviewed and its frames; raises StoppedError."""
    shown = shown_of(frames, gaps, progress)
    carried = next_plan(review, next_date)
    report = report_of(review, frames, shown, carried, gaps, made_now())
    files = {
        "scoops.csv": scoops_csv(review),
        "frames.csv": frames_csv(review, frames),
        "next_plan.json": plan_text(carried.plan).encode("utf-8"),
    }
    return Exported(review, tuple(frames), report, files, _values(review, frames, report), tuple(gaps.sentences))


def frames_of(
    review: Review, asked: Asked, gaps: Gaps, progress: Progress = go_on, marks: Marks | None = None
) -> list[Aged]:
    """Return the frames given, else those logged on set, each with what it shows.

    Selects are those of the list given, and those marked before.
    """
    gathered = gather_all(asked.frames, progress) if asked.frames else logged(review.session)
    clock = clock_of(review.session, gathered, asked)
    moments = with_clips(dated(review.session, gathered, clock), clips_logged(review.session))
    names = names_in(asked.selects) if asked.selects is not None else []
    marked = marks.names() if marks is not None else []
    frames = aged(review, moments, [*names, *marked])
    gaps.sentences += gathered.sentences()
    if missing := unknown(names, frames):
        gaps.sentences.append(f"selects that no frame is called by: {len(missing)} ({', '.join(missing[:3])})")
    return frames


def with_clips(moments: list[tuple[Found, float]], called: list[tuple[Found, float]]) -> list[tuple[Found, float]]:
    """Return frames and clips in order of time; a clip that was called is left out where a file has the same.

    It is the same when one begins while the other runs (own rule).
    """
    files = [(at, at + one.length_s) for one, at in moments if one.length_s is not None]
    kept = [
        (one, at)
        for one, at in called
        if not any(at < until and begin < at + (one.length_s or 0.0) for begin, until in files)
    ]
    return sorted([*moments, *kept], key=lambda one: (one[1], one[0].name))


def clock_of(session: Recorded, gathered: Gathered, asked: Asked) -> CameraClock:
    """Return what is known of the camera's clock, where nothing is given by the pictures that were logged as they came.

    Raises CameraError when too much or too little was given.
    """
    given = [asked.camera_ahead_s is not None, asked.pair is not None, asked.screen is not None]
    if sum(given) > 1:
        raise CameraError("give one of --camera-offset, --pair and --screen; each says all there is to say")
    anchor: Anchor | None = None if any(given) else watched(session, gathered)
    if asked.pair is not None:
        frame, entry = _called(gathered, asked.pair[0]), asked.pair[1]
        if not entry.isdecimal():
            raise CameraError(f"pair: “{entry[:20]}” is not the number of an entry; see the log for it")
        anchor = paired(session, *frame, int(entry))
    if asked.screen is not None:
        anchor = showing(session, *_called(gathered, asked.screen[0]), asked.screen[1])
    return CameraClock(asked.camera_ahead_s or 0.0, asked.camera_zone, anchor)


def _called(gathered: Gathered, name: str) -> tuple[str, Taken]:
    def same(frame: Found) -> bool:
        return frame.name.casefold() == name.casefold() or frame.name.casefold().endswith("/" + name.casefold())

    found = [(frame.name, frame.taken) for frame in gathered.frames if same(frame) and frame.taken is not None]
    if len(found) != 1:
        how = "is the name of several frames; give its folder too" if found else "is not one of the frames with a time"
        raise CameraError(f"“{name[:60]}” {how}")
    return found[0]


def shown_of(frames: Sequence[Aged], gaps: Gaps, progress: Progress = go_on) -> list[Shown]:
    """Return the frames to show small, with their pictures where those can be made."""
    wanted = chosen_for_show(frames)
    change = {series.frames[0].name: series for series in all_series(frames)}
    shown, failed = [], Gathered()
    for done, frame in enumerate(wanted):
        heed(progress, done, len(wanted))
        picture = None
        if frame.path is not None:
            try:
                picture = thumbnail(frame.path)
            except NoThumbnailError as error:
                failed.leave(frame.name, str(error))
        series = change.get(frame.name)
        shown.append(Shown(frame.name, *words_of(frame, series.change if series else ""), frame.select, picture))
    gaps.sentences += [f"no thumbnail, {sentence}" for sentence in failed.sentences()]
    return shown


def words_of(frame: Aged, change: str = "") -> tuple[str, str]:
    """Return a frame's age on set and what else it shows; `change` is its series's change of stage."""
    oldest = frame.oldest
    if oldest is None:
        return "no scoop", "nothing on set"
    words = [change or oldest.stage_words]
    words += [left] if (left := left_words(frame)) else []
    if frame.of_series > 1:
        words.append(f"series of {frame.of_series}")
    if not frame.heroes:
        words.append("stand-in")
    if frame.length_s is not None:
        words.insert(0, f"clip of {duration(frame.length_s)}")
    return oldest.age_words, ", ".join([*words, "select"] if frame.select else words)


def _values(review: Review, frames: Sequence[Aged], report: Report) -> dict[str, object]:
    good, known = review.judged
    return {
        "session": review.session.name,
        "pulled": len(review.scoops),
        "good": good,
        "judged": known,
        "heroes": len({hero.stay.scoop for hero in review.heroes}),
        "working_s": _finite(review.working_s),
        "frames": sum(frame.length_s is None for frame in frames),
        "clips": sum(frame.length_s is not None for frame in frames),
        "selects": sum(frame.select for frame in frames),
        "best_ages": [
            {"look": one.look, "start_s": one.start_s, "end_s": one.end_s, "words": one.words} for one in report.ages
        ],
        "left_out": [line for title, lines in report.lists if title.startswith("Left out") for line in lines],
    }


def _finite(value: float | None) -> float | None:
    return value if value is not None and math.isfinite(value) else None
