"""What each frame shows: its shot, its scoops, their age and stage, the working time left, the air at the set."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from studiotimer.session.entries import Shot
from studiotimer.thermal.horizon import HORIZON_S
from studiotimer.units import duration
from studiotimer.wrap.called import Called
from studiotimer.wrap.camera import CameraClock
from studiotimer.wrap.frames import Found, Gathered
from studiotimer.wrap.passages import Passage
from studiotimer.wrap.recorded import Recorded, WrongClockError
from studiotimer.wrap.review import Review
from studiotimer.wrap.zones import ZoneError

STACK_S = 2.0
"""Frames less than this apart are one series, of focus or exposure (own rule)."""

OUTSIDE_S = 3600.0
"""A frame further than this from the session is left out as not of it (own rule)."""


@dataclass(frozen=True, slots=True)
class OnFrame:
    """A scoop in a frame: seconds since its pull and on set, its stage, until its window opens and until it ends."""

    passage: Passage
    since_pull_s: float
    on_set_s: float
    stage: int
    opens_s: float
    left_s: float
    until_s: float | None = None
    """How long it was on set when a clip ended, or when it left during it; None in a picture."""

    @property
    def stage_until(self) -> int:
        """Its stage then."""
        return self.stage if self.until_s is None else self.passage.stage_at(self.passage.stay.since + self.until_s)

    @property
    def age_words(self) -> str:
        """Its age on set, of a clip from and to."""
        return duration(self.on_set_s) + ("" if self.until_s is None else f" to {duration(self.until_s)}")

    @property
    def stage_words(self) -> str:
        """The stage by name."""
        return self.passage.stages[self.stage]

    @property
    def seen(self) -> bool:
        """Whether a person called that stage, rather than the model."""
        return self.stage in self.passage.then(self.passage.stay.since + self.on_set_s).seen


@dataclass(frozen=True, slots=True)
class Aged:
    """A frame and what it shows; `at` is its session second. `series` counts from 1, `of_series` is how many it has."""

    name: str
    at: float
    shot: Shot | None
    scoops: tuple[OnFrame, ...]
    local_air_c: float
    select: bool
    path: Path | None
    series: int = 0
    of_series: int = 1
    length_s: float | None = None
    """How long a motion clip is; None for a picture."""

    @property
    def heroes(self) -> list[OnFrame]:
        """The heroes in it."""
        return [one for one in self.scoops if one.passage.stay.hero]

    @property
    def oldest(self) -> OnFrame | None:
        """The hero that had been on set the longest, else the stand-in that had."""
        return max(self.heroes or self.scoops, key=lambda one: one.on_set_s, default=None)

    @property
    def opens_s(self) -> float | None:
        """How long until every hero is in its window [s], negative once they are; None without heroes."""
        return max((one.opens_s for one in self.heroes), default=None)

    @property
    def left_s(self) -> float | None:
        """The working time left of all heroes together [s]; None without heroes."""
        return min((one.left_s for one in self.heroes), default=None)


def dated(session: Recorded, gathered: Gathered, clock: CameraClock) -> list[tuple[Found, float]]:
    """Return each frame with its session second, in order of time.

    Those far outside the session, or whose time came twice, are counted in `gathered`. Raises CameraError when the
    camera's clock needs more to be given, or when every frame's time is ambiguous.
    """
    found, first_doubt = [], None
    for frame in gathered.frames:
        try:
            at = frame.at if frame.taken is None else clock.second(session, frame.taken, frame.name)
        except (ZoneError, WrongClockError) as error:
            first_doubt = first_doubt or error
            gathered.leave(frame.name, "its time came twice or not at all")
            continue
        assert at is not None
        if session.begin - OUTSIDE_S <= at <= session.end + OUTSIDE_S:
            found.append((frame, at))
        else:
            gathered.leave(frame.name, "more than an hour outside the session")
    if first_doubt is not None and not found:
        raise first_doubt
    return sorted(found, key=lambda one: (one[1], one[0].name))


def aged(review: Review, frames: Sequence[tuple[Found, float]], selects: Iterable[str] = ()) -> list[Aged]:
    """Return what each frame shows; `selects` are the names of those that were chosen."""
    called = Called(frame.name for frame, _ in frames)
    chosen = {one for name in selects for one in called.by(name)}
    stays = sorted(review.passages.values(), key=lambda one: one.stay.since)
    begins = [one.stay.since for one in stays]
    until, longest = [], float("-inf")
    for one in stays:
        longest = max(longest, one.stay.until)
        until.append(longest)
    found = []
    for frame, at in frames:
        shot = review.session.shot_at(at)
        there = stays[bisect_left(until, at) : bisect_right(begins, at)]
        scoops = tuple(_on_frame(one, at, shot) for one in there if one.stay.since <= at < one.stay.until)
        if frame.length_s is not None:
            ends = at + frame.length_s
            scoops = tuple(
                _on_clip(one, at, ends, shot) for one in stays if one.stay.since < ends and at < one.stay.until
            )
        select = frame.select or frame.name in chosen
        found.append(
            Aged(
                frame.name,
                at,
                shot,
                scoops,
                review.session.climate.local_air_c(at),
                select,
                frame.path,
                length_s=frame.length_s,
            )
        )
    return _stacked(found)


def unknown(names: Iterable[str], frames: Sequence[Aged]) -> list[str]:
    """Return the names that no frame has."""
    called = Called(frame.name for frame in frames)
    return [name for name in names if not called.by(name)]


def _on_frame(passage: Passage, at: float, shot: Shot | None) -> OnFrame:
    stay = passage.stay
    start, end = passage.window(shot, at)
    return OnFrame(passage, at - stay.pulled, at - stay.since, passage.stage_at(at), start - at, end - at)


def _on_clip(passage: Passage, at: float, until: float, shot: Shot | None) -> OnFrame:
    """Return a scoop in a clip: its ages from when it was in it, to when it no longer was."""
    stay = passage.stay
    first = _on_frame(passage, max(at, stay.since), shot)
    return replace(first, until_s=min(until, stay.until) - stay.since)


def _stacked(frames: Sequence[Aged]) -> list[Aged]:
    found: list[list[Aged]] = []
    for frame in frames:
        before = found[-1][-1] if found else None
        single = before is None or before.length_s is not None or frame.length_s is not None
        if before is not None and not single and frame.at - before.at < STACK_S and _same(before, frame):
            found[-1].append(frame)
        else:
            found.append([frame])
    return [
        replace(frame, series=number, of_series=len(series))
        for number, series in enumerate(found, 1)
        for frame in series
    ]  # fmt: skip


def _same(one: Aged, other: Aged) -> bool:
    return [each.passage for each in one.scoops] == [each.passage for each in other.scoops]


def left_words(frame: Aged) -> str:
    """Return how a frame stands to the working time: when it opens, what is left, or how long it is over."""
    opens, left = frame.opens_s, frame.left_s
    if opens is None or left is None:
        return ""
    if left < 0:
        return f"{duration(-left)} past"
    if opens > 0:
        return f"window opens in {duration(opens)}" if opens < HORIZON_S else ""
    return f"{duration(left)} left" if left < HORIZON_S else ""


@dataclass(frozen=True)
class Series:
    """Frames taken in one go, and how their oldest scoop changed from the first to the last."""

    frames: tuple[Aged, ...]

    @property
    def change(self) -> str:
        """Return the change of stage in words, empty when there was none."""
        first, last = self.frames[0].oldest, self.frames[-1].oldest
        if first is None or last is None or first.stage == last.stage:
            return ""
        return f"{first.stage_words} to {last.stage_words}"

    @property
    def select(self) -> bool:
        """Whether any of its frames was chosen."""
        return any(frame.select for frame in self.frames)


def all_series(frames: Sequence[Aged]) -> list[Series]:
    """Return the series in order of time; a frame alone is a series of one."""
    found: dict[int, list[Aged]] = {}
    for frame in frames:
        found.setdefault(frame.series, []).append(frame)
    return [Series(tuple(each)) for each in found.values()]
