"""What the Wrap page has worked out aside: everything of a session, or the report anew after a mark."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from studiotimer.errors import StoppedError, WorkError
from studiotimer.prep.outputs import made_now
from studiotimer.prep.plan import today
from studiotimer.wrap.aged import Aged
from studiotimer.wrap.camera import CameraError
from studiotimer.wrap.carry import next_plan
from studiotimer.wrap.cued import tally
from studiotimer.wrap.export import Asked, Exported, exported, frames_of
from studiotimer.wrap.frames import FramesError, Progress, go_on
from studiotimer.wrap.marks import Marks
from studiotimer.wrap.recorded import Recorded, WrongClockError
from studiotimer.wrap.report import Gaps, Report, report_of
from studiotimer.wrap.review import Review, review_of
from studiotimer.wrap.zones import ZoneError

STOPPED = "Stopped; what was shown before stays."


@dataclass(frozen=True)
class Wrapped:
    """A session worked out, with its frames; `gaps` is what could not be used, a sentence each."""

    review: Review
    frames: tuple[Aged, ...]
    report: Report
    gaps: tuple[str, ...]


@dataclass(frozen=True)
class Marked:
    """The report after selects were marked; `match` is the number of the match whose frames they are."""

    match: int
    frames: tuple[Aged, ...]
    report: Report


def wrap_up(
    session: Recorded, asked: Asked, progress: Progress = go_on, before: Review | None = None,
    marks: Marks | None = None,
) -> Wrapped:  # fmt: skip
    """Return everything of a session, whose review may be known from before; raises WorkError with why not."""
    gaps = Gaps()
    try:
        review = before if before is not None and before.session is session else review_of(session, tally)
        frames = frames_of(review, asked, gaps, progress, marks)
    except StoppedError:
        raise WorkError(STOPPED) from None
    except (CameraError, FramesError, WrongClockError, ZoneError) as error:
        raise WorkError(f"{str(error)[:1].upper()}{str(error)[1:]}.") from None
    return Wrapped(review, tuple(frames), _report(review, frames, gaps.sentences), tuple(gaps.sentences))


def marked(review: Review, frames: Sequence[Aged], gaps: Sequence[str], match: int) -> Marked:
    """Return the report with the selects that `frames` have."""
    return Marked(match, tuple(frames), _report(review, frames, gaps))


def report_files(
    review: Review, frames: Sequence[Aged], gaps: Sequence[str], next_date: dt.date, progress: Progress = go_on
) -> Exported:
    """Return everything that is written out but the drawings; raises StoppedError."""
    return exported(review, frames, Gaps(list(gaps)), next_date, progress)


def _report(review: Review, frames: Sequence[Aged], gaps: Sequence[str]) -> Report:
    carried = next_plan(review, today())
    return report_of(review, frames, (), carried, Gaps(list(gaps)), made_now())
