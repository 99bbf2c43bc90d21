"""The timeline's content, with no say in how it is drawn: a row a hero, and what happened around them.

Scoops that were never a hero are told in words (`waited`); they have rows where no scoop was one.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from studiotimer.session.calls.pours import Poured
from studiotimer.session.calls.shooting import Hold
from studiotimer.session.measures import Measured
from studiotimer.session.wording import entry_words
from studiotimer.wrap.aged import Aged, left_words
from studiotimer.wrap.passages import Passage
from studiotimer.wrap.review import Review, ScoopLife

AIR_POINTS = 240
WHERE = {"freezer": "in the freezer", "box": "in the box", "tray": "on the tray"}


@dataclass(frozen=True, slots=True)
class Span:
    """Something from `start` to `end` (session seconds), with its words; `assumed` when no call said so."""

    start: float
    end: float
    words: str
    assumed: bool = False


@dataclass(frozen=True, slots=True)
class Mark:
    """Something that happened at a moment (session seconds)."""

    at: float
    words: str


@dataclass(frozen=True, slots=True)
class Row:
    """One scoop: where it waited, its stages on set, when it was hero, and the looks seen."""

    number: int
    flavour: str
    places: tuple[Span, ...]
    stages: tuple[Span, ...]
    heroes: tuple[Span, ...]
    looks: tuple[Mark, ...]
    end: str

    @property
    def start(self) -> float:
        """When it was pulled."""
        return min(span.start for span in (*self.places, *self.stages))


@dataclass(frozen=True, slots=True)
class Picture:
    """A frame on the timeline."""

    at: float
    words: str
    select: bool
    length_s: float = 0.0


@dataclass(frozen=True)
class Timeline:
    """All that is drawn, in session seconds; `began` is the time of day where the set was at second 0."""

    title: str
    start: float
    end: float
    began: dt.datetime
    rows: tuple[Row, ...]
    shots: tuple[Span, ...]
    holds: tuple[Span, ...]
    swaps: tuple[Mark, ...]
    top_ups: tuple[Mark, ...]
    readings: tuple[Mark, ...]
    air: tuple[tuple[float, float], ...]
    frames: tuple[Picture, ...]
    notes: tuple[Mark, ...] = ()
    pours: tuple[Span, ...] = ()
    """Each sauce poured, as long as it ran."""
    waited: str = ""
    """The scoops that have no row, and where they were."""
    cleared: tuple[Mark, ...] = ()
    """Dry ice cleared."""

    @cached_property
    def frame_times(self) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
        """The frames' session seconds in order, and which of them are selects."""
        return np.array([one.at for one in self.frames]), np.array([one.select for one in self.frames], dtype=bool)

    @cached_property
    def clips(self) -> tuple[Picture, ...]:
        """The frames that are motion clips."""
        return tuple(one for one in self.frames if one.length_s > 0.0)

    @cached_property
    def kinds(self) -> frozenset[str]:
        """The places and stages that scoops were in."""
        return frozenset(span.words for row in self.rows for span in (*row.places, *row.stages))

    @cached_property
    def assumed(self) -> bool:
        """Whether any of them is assumed rather than logged."""
        return any(span.assumed for row in self.rows for span in (*row.places, *row.stages))

    def time_of_day(self, at: float) -> dt.datetime:
        """Return the time of day where the set was at session second `at`."""
        moved = self.began.astimezone(dt.UTC) + dt.timedelta(seconds=at)
        return moved.astimezone(self.began.tzinfo)


def timeline_of(review: Review, frames: Sequence[Aged] = ()) -> Timeline:
    """Return the timeline of a session with its frames."""
    session = review.session
    heroes = [scoop for scoop in review.scoops if scoop.hero is not None] or review.scoops
    rows = [_row(scoop, session.end) for scoop in heroes]
    start = min([session.begin, *(row.start for row in rows), *(frame.at for frame in frames)])
    end = max([session.end, start + 60.0, *(frame.at + (frame.length_s or 0.0) for frame in frames)])
    local = session.local(0.0)
    return Timeline(
        session.plan.title,
        start,
        end,
        local,
        tuple(sorted(rows, key=lambda row: (row.start, row.number))),
        _shots(review),
        _holds(review),
        _marks(review, "swap"),
        _marks(review, "top_up"),
        _marks(review, "reading"),
        _air(review, start, end),
        tuple(Picture(frame.at, frame_words(frame), frame.select, frame.length_s or 0.0) for frame in frames),
        _marks(review, "note"),
        _pours(review),
        _waited([scoop for scoop in review.scoops if scoop not in heroes]),
        _marks(review, "ice_cleared"),
    )


def _waited(scoops: Sequence[ScoopLife]) -> str:
    """Return in words what became of scoops that were never a hero: "6 and 10 stayed in the box"."""
    fates: dict[str, list[int]] = {}
    for scoop in scoops:
        place = next((stay.place for stay in reversed(scoop.stays) if stay.place != "out"), "")
        if scoop.passages:
            fate = "stood in"
        elif scoop.judged == "reject":
            fate = "was rejected|were rejected"
        else:
            fate = f"stayed {WHERE[place]}" if place in WHERE else "was not used|were not used"
        fates.setdefault(fate, []).append(scoop.number)
    told = []
    for fate, numbers in fates.items():
        one, _, several = fate.partition("|")
        first = ", ".join(str(number) for number in numbers[:-1])
        who = f"{first} and {numbers[-1]}" if first else f"{numbers[-1]}"
        told.append(f"{who} {(several or one) if first else one}")
    return "; ".join(told)


def frame_words(frame: Aged) -> str:
    """Return a frame in a line: its name, its oldest scoop's age and stage, and the working time left."""
    words = [frame.name]
    oldest = frame.oldest
    if oldest is not None:
        numbers = ", ".join(str(one.passage.stay.scoop) for one in frame.scoops)
        words += [f"scoop {numbers}", f"{oldest.age_words} on set", oldest.stage_words]
    words += [left] if (left := left_words(frame)) else []
    return ", ".join([*words, "select"] if frame.select else words)


def _row(scoop: ScoopLife, session_end: float) -> Row:
    ends = [stay.since for stay in scoop.stays[1:]] + [session_end]
    places = [
        Span(stay.since, max(end, stay.since), stay.place, stay.assumed)
        for stay, end in zip(scoop.stays, ends, strict=True)
        if stay.place not in ("set", "out")
    ]
    stages = [span for passage in scoop.passages for span in stage_spans(passage)]
    heroes = [
        Span(one.stay.hero_since, one.stay.until, one.stay.shot)
        for one in scoop.passages
        if one.stay.hero_since is not None
    ]
    parts = [part for one in scoop.passages for part in one.parts]
    looks = [Mark(one.starts[index], f"{one.stages[index]} seen") for one in parts for index in sorted(one.seen)]
    looks += [Mark(at, f"{what} wiped") for at, what in scoop.wiped]
    return Row(
        scoop.number, scoop.flavour, tuple(places), tuple(stages), tuple(heroes), tuple(looks),
        scoop.why_out or scoop.judged or "",
    )  # fmt: skip


def stage_spans(passage: Passage) -> list[Span]:
    """Return the stages a scoop went through while it was on set."""
    stay, parts = passage.stay, passage.parts
    spans = []
    for part, until in zip(parts, [*(one.starts[0] for one in parts[1:]), stay.until], strict=True):
        ends = [*part.starts[1:], float("inf")]
        spans += [
            Span(max(start, stay.since), min(end, until), part.stages[index], stay.assumed)
            for index, (start, end) in enumerate(zip(part.starts, ends, strict=True))
            if start < until and min(end, until) > start
        ]
    return spans


def _shots(review: Review) -> tuple[Span, ...]:
    begun = review.session.shots
    ends = [*(at for at, _ in begun), review.session.end][1:]
    return tuple(Span(at, end, f"{shot.name}, {shot.look} look") for (at, shot), end in zip(begun, ends, strict=True))


def _holds(review: Review) -> tuple[Span, ...]:
    spans: list[Span] = []
    begun: tuple[float, str] | None = None
    for told in review.session.ledger.told:
        if begun is None and isinstance(told.entry, Hold):
            begun = told.at, told.entry.why or "hold"
        elif told.entry.kind == "resume" and begun is not None:
            spans.append(Span(begun[0], told.at, begun[1]))
            begun = None
    if begun is not None:
        spans.append(Span(begun[0], review.session.end, begun[1]))
    return tuple(spans)


def _pours(review: Review) -> tuple[Span, ...]:
    return tuple(
        Span(told.at, told.at + told.entry.runs_s, entry_words(told.entry))
        for told in review.session.ledger.told
        if isinstance(told.entry, Poured)
    )


def _marks(review: Review, *kinds: str) -> tuple[Mark, ...]:
    told = review.session.ledger.told
    return tuple(Mark(one.at, entry_words(one.entry)) for one in told if one.entry.kind in kinds)


def _air(review: Review, start: float, end: float) -> tuple[tuple[float, float], ...]:
    """Return the air at the set [°C] over the session, with a point at each reading and top-up."""
    even = [start + (end - start) * index / AIR_POINTS for index in range(AIR_POINTS + 1)]
    kinds: tuple[Measured, ...] = ("air_c", "room_c")
    turns = [change.at for what in kinds for change in review.session.state.readings.get(what, ())]
    turns += [charge.at for charge in review.session.state.charges["set"]]
    times = sorted({*even, *turns, *(turn - 0.5 for turn in turns)})
    return tuple((at, review.session.climate.local_air_c(at)) for at in times)
