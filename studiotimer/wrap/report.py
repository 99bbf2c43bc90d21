"""The report's content, the same for the page and the printed sheet, with no say in how it is drawn."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from statistics import median

from studiotimer.prep.cautions import LIMITS
from studiotimer.prep.found import Fact, counted, percent
from studiotimer.prep.looks import PACK_STAGES, STAGES
from studiotimer.session.calls.seen import SEEN_WORDS
from studiotimer.session.measures import reading_words
from studiotimer.thermal.charge import CAUTIONS
from studiotimer.thermal.horizon import HORIZON_S
from studiotimer.units import date_words, duration, mass
from studiotimer.wrap.aged import Aged, OnFrame, all_series
from studiotimer.wrap.carry import Carried
from studiotimer.wrap.cells import Table
from studiotimer.wrap.findings import findings_of, next_words
from studiotimer.wrap.review import Review, ShotReview
from studiotimer.wrap.selects import ByAge, selects_by_age
from studiotimer.wrap.timeline import Timeline, timeline_of
from studiotimer.wrap.yielded import deliveries, tubs

NEXT_TIME = "Next time"


@dataclass(frozen=True)
class Shown:
    """A frame shown small: its name, age and what else is said, and the picture where one could be made."""

    name: str
    age: str
    words: str
    select: bool
    picture: bytes | None


@dataclass(frozen=True)
class Report:
    """All of one report, in the order it is read."""

    title: str
    subtitle: str
    findings: tuple[str, ...]
    """What the day showed and what to do about it, a sentence or two each."""
    facts: tuple[Fact, ...]
    timeline: Timeline
    ages: tuple[ByAge, ...]
    tables: tuple[Table, ...]
    shown: tuple[Shown, ...]
    shown_note: str
    lists: tuple[tuple[str, tuple[str, ...]], ...]
    cautions: tuple[str, ...]
    footer: str
    made: dt.datetime
    """When it was made (aware)."""

    @property
    def next_time(self) -> str:
        """What the next plan has from this day, in one line; all of it is among the lists."""
        return next_words(dict(self.lists).get(NEXT_TIME, ()))


@dataclass
class Gaps:
    """What could not be used, a sentence each."""

    sentences: list[str] = field(default_factory=list)


def report_of(
    review: Review, frames: Sequence[Aged], shown: Sequence[Shown], carried: Carried, gaps: Gaps, made: dt.datetime
) -> Report:
    """Return the report's content; `made` is the date it states it was made."""
    session = review.session
    began = session.local(session.begin)
    selects = sum(frame.select for frame in frames)
    others = len(frames) - len(shown)
    ages = tuple(selects_by_age(frames))
    lists = [
        (NEXT_TIME, (*carried.short, *carried.changed, *(f"unchanged, {words}" for words in carried.left))),
        ("Notes", review.notes),
        ("Amended in the log", review.mended),
        ("Left out or doubtful", (*gaps.sentences, *session.doubts, *_doubtful(review))),
    ]
    return Report(
        session.plan.title,
        f"{date_words(began)}, {began:%H:%M} to {session.local(session.end):%H:%M} "
        f"({began:%Z}), session {session.name}",
        findings_of(review, frames, ages, carried.plan),
        _facts(review, frames, selects, ages),
        timeline_of(review, frames),
        ages,
        tuple(table for table in _tables(review, frames) if table.rows),
        tuple(shown),
        f"{others} more in frames.csv" if others else "",
        tuple((title, tuple(lines)) for title, lines in lists if lines),
        (*CAUTIONS, f"CO₂ limits: {LIMITS}.") if review.ice_kg or session.plan.dry_ice.used else (),
        "Stages and working times are as seen where a change was called, else estimated with all that the session "
        f"taught. Made {date_words(made, False)}, {made:%H:%M}.",
        made,
    )


def _doubtful(review: Review) -> list[str]:
    return [
        f"run {run.number} began {review.session.local(run.began):%H:%M:%S} by the machine's clock, which may have "
        "been set since the run before"
        for run in review.session.runs
        if run.doubtful
    ]


def _facts(review: Review, frames: Sequence[Aged], selects: int, ages: Sequence[ByAge]) -> tuple[Fact, ...]:
    plan = review.session.plan
    found = [
        Fact(f"{duration(one.start_s)} to {duration(one.end_s)}", f"best age, {one.look} look", one.rests)
        for one in ages
        if one.start_s is not None and one.end_s is not None
    ]
    if review.working_s is not None:
        planned = review.planned_working_s
        found.append(
            Fact(span(review.working_s), "working time, median", f"planned {span(planned)}" if planned else "")
        )
    good, known = review.judged
    heroes = len({hero.stay.scoop for hero in review.heroes})
    rejects = sum(scoop.judged == "reject" for scoop in review.scoops)
    counts = f"{counted(heroes, 'hero', 'heroes')}, {counted(rejects, 'reject')}"
    if known:
        found.append(Fact(f"{good} of {known}", "pulls were good", f"planned {percent(plan.good_share)}; {counts}"))
    else:
        found.append(Fact(counted(len(review.scoops), "pull"), "none was judged", counts))
    if frames:
        stills = sum(one.length_s is None for one in frames)
        clips = f", {counted(len(frames) - stills, 'clip')}" if stills < len(frames) else ""
        found.append(
            Fact(f"{selects:,} of {len(frames):,}", "frames are selects", f"{counted(stills, 'frame')}{clips}")
        )
    else:
        found.append(Fact("none", "frames", "none were given"))
    locks = sum(shot.spent.any_lock_s for shot in review.shots)
    holds = sum(shot.spent.hold_s for shot in review.shots)
    found.append(Fact(duration(locks), "lost waiting for locks", f"{duration(holds)} on hold" if holds else "no holds"))
    if walks := review.pull_to_set_s:
        planned_s = duration(plan.pull_to_set_s)
        found.append(Fact(duration(median(walks)), "pull to set", f"{len(walks)} measured; planned {planned_s}"))
    return tuple(found)


def _tables(review: Review, frames: Sequence[Aged]) -> list[Table]:
    return [
        _shots(review),
        _scoops(review),
        _foretold(review),
        _measured(review),
        _ice(review),
        deliveries(review),
        tubs(review),
        _stacks(frames),
        _clips(review, frames),
    ]


def _shots(review: Review) -> Table:
    rows = []
    for shot in review.shots:
        spent = shot.spent
        locks = ", ".join(f"{name} {duration(at)}" for name, at in spent.lock_s.items() if at >= 1)
        gaps = f"{len(spent.gaps)}, {duration(sum(spent.gaps))} in all" if spent.gaps else "none"
        rows.append(
            (
                shot.shot.name, shot.shot.look, _against(len(shot.heroes), shot.planned_heroes), str(spent.swaps),
                duration(spent.hero_s), gaps, locks or "none", duration(spent.hold_s) if spent.hold_s else "none",
                _working(shot), "got it" if shot.got else "not called",
            )
        )  # fmt: skip
    columns = (
        "shot", "look", "heroes", "swaps", "with a hero", "gaps without", "waiting for locks", "on hold",
        "working time", "",
    )  # fmt: skip
    note = (
        "A hero that stays on for the next shot counts in both. Gaps lie between two heroes of a shot. Waiting "
        "for a lock counts while light, set or camera is not locked and a scoop is ready."
    )
    return Table("Shots", columns, tuple(rows), note)


def _working(shot: ShotReview) -> str:
    if shot.working_s is None:
        return "no hero"
    planned = "" if shot.planned_working_s is None else f", planned {span(shot.planned_working_s)}"
    seen = f", end seen on {shot.ended_seen} of {len(shot.heroes)}"
    return f"{span(shot.working_s)}{planned}{seen}"


_CHANGES = {
    STAGES: tuple(enumerate(("sheen", "edges gone", "first drip", "slump"), 2)),
    PACK_STAGES: tuple(enumerate(("frost", "dew beads", "dew runs"), 1)),
}


def _scoops(review: Review) -> Table:
    rows = []
    for scoop in review.scoops:
        places = []
        ends = [stay.since for stay in scoop.stays[1:]] + [review.session.end]
        for stay, end in zip(scoop.stays, ends, strict=True):
            if stay.place != "out":
                places.append(f"{stay.place} {duration(end - stay.since)}{' (assumed)' if stay.assumed else ''}")
        last = scoop.passages[-1] if scoop.passages else None
        looks = [
            f"{stage} {duration(one.starts[index] - one.stay.since)} {'seen' if index in one.seen else 'estimated'}"
            for whole in scoop.passages
            for one in whole.parts
            for index, stage in _CHANGES[one.stages]
            if one.starts[index] <= one.stay.until
        ]
        looks += [
            f"{what} wiped {duration(at - one.stay.since)}"
            for one in scoop.passages
            for at, what in scoop.wiped
            if one.stay.since <= at <= one.stay.until
        ]
        looks += [
            f"{pour.what} poured {duration(pour.at - one.stay.since)}, ran to {duration(pour.until - one.stay.since)}"
            for one in scoop.passages
            for pour in scoop.pours
            if one.stay.since <= pour.at <= one.stay.until
        ]
        role = "" if last is None else f"{'hero' if last.stay.hero else 'stand-in'} {last.stay.spot}".strip()
        rows.append(
            (
                str(scoop.number), scoop.flavour, f"{review.session.local(scoop.pulled):%H:%M:%S}",
                scoop.judged or "not judged", ", ".join(places), role, ", ".join(looks), scoop.why_out or "still there",
                "; ".join(scoop.marks),
            )
        )  # fmt: skip
    columns = ("", "flavour", "pulled", "judged", "places", "as", "changes, since on set", "out", "amended")
    return Table("Scoops", columns, tuple(rows))


def _foretold(review: Review) -> Table:
    rows = tuple(
        (
            f"{one.scoop} {one.flavour}",
            SEEN_WORDS[one.what],
            duration(one.seen_s),
            _band(one.placed.likely, one.placed.early, one.placed.late),
            span(one.before.likely),
            "within" if one.within else _off(one.late_s),
        )
        for one in review.foretold
    )
    within = sum(one.within for one in review.foretold)
    cues = ""
    if review.cues is not None:
        cues = (
            f" {counted(review.cues[0], 'call')} followed a cue; {counted(review.cues[1], 'cue')} "
            f"{'was' if review.cues[1] == 1 else 'were'} missed."
        )
    note = f"{within} of {len(rows)} changes came within the forecast range (10 to 90 %).{cues}"
    columns = ("scoop", "change", "seen after", "forecast when placed", "forecast just before", "")
    return Table("Forecast against seen", columns, rows, note)


def _off(late_s: float) -> str:
    if not math.isfinite(late_s):
        return "not foreseen within 3 h"
    return f"{duration(abs(late_s))} {'later' if late_s > 0 else 'sooner'}"


def _band(likely: float, early: float, late: float) -> str:
    return f"{span(likely)} ({span(early)} to {span(late)})"


def _measured(review: Review) -> Table:
    rows = []
    for one in review.measures:
        between = [reading_words(one.what, value) for value in dict.fromkeys((one.low, one.high))]
        planned = "" if one.planned is None else reading_words(one.what, one.planned)
        rows.append((one.name, str(one.count), " to ".join(between), reading_words(one.what, one.last), planned))
    return Table("Climate", ("read", "readings", "between", "last", "planned"), tuple(rows))


def _ice(review: Review) -> Table:
    ice = review.planned.ice if review.planned else None
    planned = "none" if ice is None else mass(ice.bought_kg, digits=0)
    total = sum(review.ice_kg.values())
    rows = [
        (where, mass(kg), f"{mass(review.ice_left_kg.get(where, 0.0))} (estimated)")
        for where, kg in review.ice_kg.items()
    ]
    return Table("Dry ice", ("", "put out", "left at the end"), tuple(rows), f"{mass(total)} in all; planned {planned}")


def _stacks(frames: Sequence[Aged]) -> Table:
    rows = tuple(
        (series.frames[0].name, series.frames[-1].name, str(len(series.frames)), series.change)
        for series in all_series(frames)
        if series.change
    )
    note = "Frames less than 2 s apart are one series; these changed within it."
    return Table("Series that changed", ("from", "to", "frames", "change"), rows, note)


def _clips(review: Review, frames: Sequence[Aged]) -> Table:
    rows = [
        (
            clip.name, f"{review.session.local(clip.at):%H:%M:%S}", duration(clip.length_s),
            f"{scoop.passage.stay.scoop} {scoop.passage.stay.flavour}", scoop.age_words, _stages(scoop),
        )
        for clip in frames
        if clip.length_s is not None
        for scoop in clip.scoops
    ]  # fmt: skip
    note = "Ages are time on set (min:s) from where the scoop is in the clip to where it no longer is."
    return Table("Motion clips", ("clip", "began", "length", "scoop", "age", "stages"), tuple(rows), note)


def _stages(scoop: OnFrame) -> str:
    first, last = (scoop.passage.stages[stage] for stage in (scoop.stage, scoop.stage_until))
    return first if first == last else f"{first} to {last}"


def _against(value: int, planned: int | None) -> str:
    return str(value) if planned is None else f"{value}, planned {planned}"


def span(seconds: float) -> str:
    """Return a span, or that it lasted past what the model looks ahead."""
    return duration(seconds) if seconds < HORIZON_S else "over 3 h"
