"""What the shoots so far taught about each mix: kept between sessions, read, corrected, forgotten.

Each session adds what its own looks say of a mix, as a normal likelihood (a weight 1/sd² and a pull mean/sd²): the
posterior it came to less the prior it began with. Sums of those do not depend on the order in which sessions close,
and a session that is opened again replaces its own part, so no look counts twice. What a mix shares with other mixes
of one session through the set is left out (own rule).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from studiotimer.mix_table import BOOK_MEAN, BOOK_SD
from studiotimer.places import data_folder
from studiotimer.session import small_files

if TYPE_CHECKING:
    from studiotimer.prep.plan import Plan
    from studiotimer.session import learning

FILE = "learned.json"
VERSION = 1
SLOWEST, QUICKEST = 2.0, 0.5
"""The furthest from the book that a person may set a mix (own rule)."""
_WIDEST_TAU = 2.0
"""No mix lasts over seven times longer or shorter than forecast: such a figure was not learned."""


class Lesson(NamedTuple):
    """What one session's looks said of a mix."""

    looks: int
    weight: float
    pull: float


@dataclass(frozen=True, slots=True)
class Known:
    """What is held of one mix: its own part of tau, how many looks taught it, when it changed last, its lessons.

    Once a person `corrected` it, only the looks seen since count.
    """

    mean: float = BOOK_MEAN
    sd: float = BOOK_SD
    looks: int = 0
    when: str = ""
    corrected: bool = False
    lessons: Mapping[str, Lesson] = field(default_factory=dict)

    @property
    def factor(self) -> float:
        """How many times as long as in the book everything takes."""
        return math.exp(self.mean)

    @property
    def held(self) -> bool:
        """Whether anything is known that the book does not say."""
        return self.looks > 0 or self.corrected

    def said(self) -> str:
        """Return what is known as a crew would say it."""
        seen = f"{self.looks} change{'' if self.looks == 1 else 's'} seen"
        if not self.corrected:
            return f"{pace_words(self.factor)}, from {seen}"
        since = f" and {seen} since" if self.looks else ""
        return f"{pace_words(self.factor)}, corrected by hand{since}"


def pace_words(factor: float) -> str:
    """Return how a pace compares with the forecast: "lasts 12 % shorter than forecast"."""
    percent = round(100.0 * abs(1.0 - factor))
    if percent == 0:
        return "lasts as forecast"
    return f"lasts {percent} % {'longer' if factor > 1 else 'shorter'} than forecast"


@dataclass(frozen=True, slots=True)
class Memory:
    """Everything learned, by the name of the mix."""

    mixes: Mapping[str, Known] = field(default_factory=dict)

    def held(self) -> dict[str, Known]:
        """Return the mixes of which something is known, by name in order."""
        return {name: self.mixes[name] for name in sorted(self.mixes) if self.mixes[name].held}

    def taught(self, session: str, plan: Plan, found: learning.Learned, today: date) -> Memory:
        """Return this memory after what the looks of `session`, begun from `plan`, came to."""
        counts: dict[str, int] = {}
        for seen in found.seen:
            counts[seen.mix] = counts.get(seen.mix, 0) + 1
        mixes = dict(self.mixes)
        before = {name for name, known in mixes.items() if session in known.lessons}
        for mix in before | set(counts):
            known = mixes.get(mix, Known())
            lesson = _lesson(plan, found, mix, counts[mix]) if mix in counts else None
            if lesson != known.lessons.get(session):
                mixes[mix] = _replaced(known, session, lesson, today)
        return Memory(mixes)

    def corrected(self, mix: str, factor: float, today: date) -> Memory:
        """Return this memory with a person's own number for how long a mix takes, in times the book's."""
        known = self.mixes.get(mix, Known())
        mean = math.log(min(max(factor, QUICKEST), SLOWEST))
        changed = replace(known, mean=mean, looks=0, corrected=True, when=today.isoformat())
        return Memory({**self.mixes, mix: changed})

    def forgotten(self, mix: str, today: date) -> Memory:
        """Return this memory without what it knows of a mix; the looks forgotten do not come back with their session.

        Its lessons stay on file, so that only looks called afterwards teach anew.
        """
        if mix not in self.mixes:
            return self
        return Memory({**self.mixes, mix: Known(lessons=self.mixes[mix].lessons, when=today.isoformat())})

    def all_forgotten(self, today: date) -> Memory:
        """Return this memory without anything it knows."""
        gone = self
        for mix in self.mixes:
            gone = gone.forgotten(mix, today)
        return gone


def with_memory(plan: Plan, memory: Memory) -> Plan:
    """Return `plan` starting from what is remembered of the mixes it says nothing of."""
    from studiotimer.prep.parts import Learned  # brings the models of plans, which need not be there to remember

    held = memory.held()
    known = {
        name: Learned(mean=held[name].mean, sd=held[name].sd)
        for name in sorted({flavour.mix_name for flavour in plan.flavours})
        if name in held and name not in plan.learned
    }
    return plan.model_copy(update={"learned": {**plan.learned, **known}}) if known else plan


def memory_file() -> Path:
    """Return where the memory is kept."""
    return data_folder() / FILE


def load_memory() -> tuple[Memory, str | None]:
    """Return the memory, and a sentence when its file could not be used."""
    return small_files.load(memory_file(), memory_of, Memory(), "the learned mixes")


def change_memory(base: Memory, mine: Memory) -> tuple[Memory | None, str | None]:
    """Keep what differs in `mine` from `base`, on top of what is kept now; see `keeping.change`."""
    return small_files.change(
        memory_file(), memory_of, Memory(), "the learned mixes", lambda theirs: merged(base, mine, theirs), values_of
    )


def merged(base: Memory, mine: Memory, theirs: Memory) -> Memory:
    """Return `theirs` with what differs in `mine` from `base`; of a mix that both changed, both lessons count."""
    mixes = small_files.merged(base.mixes, mine.mixes, theirs.mixes)
    for name in mine.mixes:
        before, own, other = (each.mixes.get(name, Known()) for each in (base, mine, theirs))
        if own in (before, other) or other == before:
            continue
        if own.lessons == before.lessons:  # set by hand, or forgotten
            mixes[name] = replace(own, lessons={**other.lessons})
            continue
        both = other
        for session in {*own.lessons, *before.lessons}:
            if own.lessons.get(session) != before.lessons.get(session):
                both = _replaced(both, session, own.lessons.get(session), date.fromisoformat(own.when))
        mixes[name] = both
    return Memory(mixes)


def values_of(memory: Memory) -> dict[str, object]:
    """Return the memory as JSON values."""
    mixes = {}
    for name, known in memory.mixes.items():
        lessons = {one: [held.looks, held.weight, held.pull] for one, held in known.lessons.items()}
        mixes[name] = {
            "mean": known.mean, "sd": known.sd, "looks": known.looks, "when": known.when,
            "corrected": known.corrected, "sessions": lessons,
        }  # fmt: skip
    return {"version": VERSION, "mixes": mixes}


def memory_of(values: object) -> Memory:
    """Return the memory in JSON `values`; raises ValueError naming what is wrong."""
    if not isinstance(values, dict) or not isinstance(values.get("mixes"), dict):
        raise ValueError("it holds no learned mixes")
    version = values.get("version")
    if version != VERSION:
        raise ValueError(f"its version is {version!r:.20}, this program keeps {VERSION}")
    return Memory({name[:200]: _known_of(name, one) for name, one in values["mixes"].items()})


def _known_of(name: str, values: object) -> Known:
    try:
        if not isinstance(values, dict):
            raise TypeError
        lessons = {
            session: Lesson(int(looks), float(weight), float(pull))
            for session, (looks, weight, pull) in values.get("sessions", {}).items()
        }
        known = Known(
            float(values["mean"]), float(values["sd"]), int(values["looks"]), _day(values.get("when", "")),
            values.get("corrected") is True, lessons,
        )  # fmt: skip
    except (AttributeError, KeyError, TypeError, ValueError, OverflowError):
        raise ValueError(f"its numbers for {name[:40]} cannot be read") from None
    figures = [known.mean, known.sd, *(number for one in lessons.values() for number in (one.weight, one.pull))]
    if not (all(map(math.isfinite, figures)) and abs(known.mean) <= _WIDEST_TAU and 0 < known.sd <= 1):
        raise ValueError(f"its numbers for {name[:40]} cannot be true")
    if known.looks < 0 or any(one.looks < 0 for one in lessons.values()):
        raise ValueError(f"its changes of {name[:40]} cannot be true")
    return known


def _day(written: str) -> str:
    return date.fromisoformat(written).isoformat() if written else ""


def _lesson(plan: Plan, found: learning.Learned, mix: str, looks: int) -> Lesson:
    """Return what a session's looks add to what its plan held of a mix."""
    prior = plan.learned.get(mix)
    prior_mean, prior_sd = (prior.mean, prior.sd) if prior is not None else (BOOK_MEAN, BOOK_SD)
    mean, sd = found.mix_part(mix)
    return Lesson(looks, sd**-2 - prior_sd**-2, mean * sd**-2 - prior_mean * prior_sd**-2)


def _replaced(known: Known, session: str, lesson: Lesson | None, today: date) -> Known:
    """Return what is known with a session's lesson in place of its earlier one."""
    old, new = known.lessons.get(session, Lesson(0, 0.0, 0.0)), lesson or Lesson(0, 0.0, 0.0)
    weight = max(known.sd**-2 + new.weight - old.weight, BOOK_SD**-2)
    pull = known.mean * known.sd**-2 + new.pull - old.pull
    lessons = {name: one for name, one in known.lessons.items() if name != session}
    if lesson is not None:
        lessons[session] = lesson
    looks = max(known.looks + new.looks - old.looks, 0)
    mean = min(max(pull / weight, -_WIDEST_TAU), _WIDEST_TAU)
    return Known(mean, weight**-0.5, looks, today.isoformat(), known.corrected, lessons)
