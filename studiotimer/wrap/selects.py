"""Selects against age: at which ages on set frames were chosen, and whether an age stands out (own rule).

A series counts once. The best span is the run of ages in which the selects most exceed their share of all frames; it
is told only with at least 8 selects from at least 3 heroes, and only if such a run comes up in fewer than 1 in 20
random hands of as many selects over the same frames (a permutation test of the scan statistic: Kulldorff,
Communications in Statistics 26, 1997).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from studiotimer.prep.looks import Look
from studiotimer.units import duration
from studiotimer.wrap.aged import Aged, all_series

LEAST_SELECTS, LEAST_OTHERS, LEAST_HEROES = 8, 8, 3
HANDS, RARE = 999, 0.05
BIN_S = 15.0  # own rule: shorter than any window is told apart by, longer than a burst
_FIXED = 20  # the seed of the hands dealt, so that a day is judged alike each time


@dataclass(frozen=True)
class Bin:
    """The series whose oldest hero was on set from `start_s` to `end_s` seconds."""

    start_s: float
    end_s: float
    count: int
    selects: int


@dataclass(frozen=True)
class ByAge:
    """Selects of one look by age; `start_s` to `end_s` is the best span, None when no age can be said to stand out."""

    look: Look
    bins: tuple[Bin, ...]
    count: int
    selects: int
    heroes: int
    start_s: float | None
    end_s: float | None
    inside: int
    why: str

    @property
    def words(self) -> str:
        """The finding in one line, with what it rests on."""
        heroes = f"{self.heroes} hero{'' if self.heroes == 1 else 'es'}"
        rests = f"{self.selects:,} select{'' if self.selects == 1 else 's'}"
        of = f"{heroes}, {self.count} frame{'' if self.count == 1 else 's'}"
        if self.start_s is None or self.end_s is None:
            return f"{self.why} ({rests}, {of})"
        return f"best age {duration(self.start_s)} to {duration(self.end_s)}: {self.inside} of {rests} ({of})"

    @property
    def rests(self) -> str:
        """What the best span rests on."""
        heroes = f"{self.heroes} hero{'' if self.heroes == 1 else 'es'}"
        return f"{self.inside} of {self.selects:,} selects, {heroes}"


def selects_by_age(frames: Sequence[Aged]) -> list[ByAge]:
    """Return selects against age for each look that has frames of a hero."""
    found: dict[Look, list[tuple[float, bool, tuple[int, float]]]] = {}
    for series in all_series(frames):
        first = series.frames[0]
        oldest = first.oldest
        if first.length_s is not None or first.shot is None or oldest is None or not oldest.passage.stay.hero:
            continue
        stay = oldest.passage.stay
        found.setdefault(first.shot.look, []).append((oldest.on_set_s, series.select, (stay.scoop, stay.since)))
    return [_by_age(look, sorted(each)) for look, each in found.items()]


def at_best_age(frames: Sequence[Aged], by_age: ByAge, most: int) -> list[Aged]:
    """Return frames of heroes at the best age of a look, `most` of them spread evenly, by age.

    Where no age stands out, those in the window of the look; of a series the select, else the first.
    """
    found: list[tuple[float, Aged]] = []
    for series in all_series(frames):
        one = next((frame for frame in series.frames if frame.select), series.frames[0])
        oldest = one.oldest
        if one.length_s is not None or one.shot is None or one.shot.look != by_age.look or oldest is None:
            continue
        opens, left = one.opens_s, one.left_s
        if opens is None or left is None:
            continue
        best = opens <= 0.0 <= left
        if by_age.start_s is not None and by_age.end_s is not None:
            best = by_age.start_s <= oldest.on_set_s <= by_age.end_s
        if best:
            found.append((oldest.on_set_s, one))
    found.sort(key=lambda one: (one[0], one[1].at))
    if len(found) <= most:
        return [one for _, one in found]
    places = np.linspace(0, len(found) - 1, most).round().astype(int)
    return [found[place][1] for place in dict.fromkeys(places.tolist())]


def _by_age(look: Look, series: Sequence[tuple[float, bool, tuple[int, float]]]) -> ByAge:
    ages = np.array([age for age, _, _ in series])
    chosen = np.array([select for _, select, _ in series])
    heroes = len({hero for _, select, hero in series if select})
    selects = int(chosen.sum())
    bins = tuple(
        Bin(start, start + BIN_S, int(inside.sum()), int(chosen[inside].sum()))
        for start in np.arange(0.0, float(ages.max()) + 1e-9, BIN_S).tolist()
        for inside in [(ages >= start) & (ages < start + BIN_S)]
    )
    none = ByAge(look, bins, len(series), selects, heroes, None, None, 0, "")
    why = _too_few(selects, len(series) - selects, heroes)
    if why:
        return ByAge(**{**none.__dict__, "why": why})
    most, first, last = _best_run(chosen)
    random = np.random.default_rng(_FIXED)
    as_good = sum(_best_run(random.permutation(chosen))[0] >= most - 1e-9 for _ in range(HANDS))
    if (as_good + 1) / (HANDS + 1) >= RARE:
        return ByAge(**{**none.__dict__, "why": "no age stands out"})
    inside = int(chosen[first : last + 1].sum())
    return ByAge(look, bins, len(series), selects, heroes, float(ages[first]), float(ages[last]), inside, "")


def _too_few(selects: int, others: int, heroes: int) -> str:
    if selects < LEAST_SELECTS:
        return f"not enough yet: {LEAST_SELECTS} selects are needed"
    if others < LEAST_OTHERS:
        return f"not enough yet: {LEAST_OTHERS} frames that were not chosen are needed"
    if heroes < LEAST_HEROES:
        return f"not enough yet: selects of {LEAST_HEROES} heroes are needed"
    return ""


def _best_run(chosen: np.ndarray[tuple[int], np.dtype[np.bool_]]) -> tuple[float, int, int]:
    """Return the run in which the selects most exceed their share: by how many, its first and its last."""
    excess = np.concatenate(([0.0], np.cumsum(chosen - chosen.mean())))
    lowest = np.minimum.accumulate(excess[:-1])
    gain = excess[1:] - lowest
    last = int(np.argmax(gain))
    first = int(np.argmin(excess[: last + 1]))
    return float(gain[last]), first, last
