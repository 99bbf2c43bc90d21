"""How likely a planned day gives every shot, what it uses, and what would help: the answer of many simulated days."""

from __future__ import annotations

import datetime as dt
import math
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from statistics import NormalDist
from typing import Any

import numpy as np
from numpy.typing import NDArray

from studiotimer.prep.found import OWN_RULE, Found, percent
from studiotimer.prep.results import Results
from studiotimer.trial.days import Days, Draws, try_days
from studiotimer.trial.figures import Setup, TrialError, setup_of
from studiotimer.trial.helps import changes
from studiotimer.trial.luck import Luck, usual_luck

FEWEST_DAYS, MOST_DAYS = 1, 100_000
MOST_WORK = 20_000_000
"""Scoops carried, of all days: what a few minutes can try."""
USUAL_DAYS, LEAST_DAYS, USUAL_WORK = 1000, 100, 200_000
"""What is tried of a plan while it is written: a few seconds' worth."""
HELPS = 5  # as many as are read
SHORT_FLAVOURS = 3  # as many as are read
WORTH = 0.005
"""A change that gives fewer days more is not named (own rule)."""
CONFIDENCE = 0.95  # of the interval shown beside a share (common practice)
TIME, LOCKS, ICE = "time", "lock waits", "dry ice"

Stopped = Callable[[], bool]


@dataclass(frozen=True)
class Help:
    """One change, and the share of days that give every shot with it."""

    what: str
    share: float


@dataclass(frozen=True)
class Answer:
    """What the days came to. Shares are of all days; masses in kg; `wrap_by` and amounts by the share of days."""

    title: str
    days: int
    seed: int
    left_out: str
    planned_wrap: dt.datetime
    share: float
    interval: tuple[float, float]
    wrap_by: Mapping[int, dt.datetime]
    short_of: Mapping[str, float]
    pulls: Mapping[str, Mapping[int, int]]
    tubs: Mapping[str, Mapping[int, int]]
    ordered: Mapping[str, int]
    dry_ice_kg: Mapping[int, float] | None
    bought_kg: float | None
    helps: tuple[Help, ...]

    @property
    def sentence(self) -> str:
        """Return the answer in one sentence, with the change that helps most."""
        best = max(self.helps, key=lambda one: one.share, default=None)
        better = best is not None and best.share - self.share >= WORTH
        of = 10
        if self.share not in (0.0, 1.0):
            shown = {round(10 * self.share), round(10 * best.share) if best is not None and better else -1}
            of = 10 if len(shown) == 2 and not shown & {0} and round(10 * self.share) != 10 else 100
        said = f"Every shot by {self.planned_wrap:%H:%M} on {self._of(self.share, of)}"
        if best is None or not better:
            return f"{said}." if self.share == 1.0 else f"{said}; nothing tried makes it more."
        much = f"{_counted(best.share, of)}" + ("" if self.share else f" of {of}")
        return f"{said}; with {best.what}, on {much}."

    def _of(self, share: float, of: int) -> str:
        if share in (0.0, 1.0):
            return f"{'every one' if share else 'none'} of {self.days:,} days"
        return f"{_counted(share, of)} of {of} days"

    @property
    def iced(self) -> bool:
        """Return whether it speaks of dry ice, beside which the cautions stand."""
        return self.dry_ice_kg is not None or any(ICE in one.what for one in self.helps)

    @property
    def found(self) -> tuple[tuple[str, Found], ...]:
        """Return how it was found, part by part."""
        low, high = self.interval
        fewer = "; ".join(f"{what} on {percent(share, 1)}" for what, share in self.short_of.items()) or "no day"
        wrapped = ", ".join(f"{at:%H:%M} on {part} %" for part, at in self.wrap_by.items())
        parts = [
            (
                "every shot",
                f"{self.days:,} simulated days, {percent(self.share, 1)} of them give every shot before the planned "
                f"wrap is over ({percent(low, 1)} to {percent(high, 1)} by chance alone, Wilson). People, pulls, "
                f"scoops and accidents are drawn{self.left_out and ', '}{self.left_out}; everything else is as planned",
            ),
            ("what ended the others", fewer),
            ("the last shot is over", f"by {wrapped} of days"),
            ("pulls", _amounts(self.pulls)),
            ("tubs opened", _amounts(self.tubs, self.ordered)),
        ]
        if self.dry_ice_kg is not None:
            half, most = (self.dry_ice_kg[part] for part in (50, 95))
            parts.append(("dry ice", f"{half:.1f} kg on half of all days, at most {most:.1f} kg on 95 %"))
        tried = "; ".join(f"{one.what}: {percent(one.share, 1)}" for one in self.helps)
        parts.append(("tried with the same luck", tried or "nothing"))
        return tuple((name, Found(None, "", how, _SOURCE)) for name, how in parts)

    def as_json(self) -> dict[str, object]:
        """Return the answer as JSON values."""
        low, high = self.interval
        ice = None
        if self.dry_ice_kg is not None:
            ice = {str(part): round(mass, 3) for part, mass in self.dry_ice_kg.items()} | {"bought": self.bought_kg}
        return {
            "title": self.title,
            "days": self.days,
            "seed": self.seed,
            "left_out": self.left_out,
            "planned_wrap": self.planned_wrap.isoformat(),
            "all_shots": {"share": self.share, "low": low, "high": high},
            "wrap_by": {str(part): at.isoformat(timespec="seconds") for part, at in self.wrap_by.items()},
            "short_of": [{"what": what, "share": share} for what, share in self.short_of.items()],
            "pulls": _texts(self.pulls),
            "tubs": {name: parts | {"ordered": self.ordered[name]} for name, parts in _texts(self.tubs).items()},
            "dry_ice_kg": ice,
            "helps": [
                {"what": one.what, "all_shots": one.share, "change": one.share - self.share} for one in self.helps
            ],
            "sentence": self.sentence,
            "source": _SOURCE,
        }


_SOURCE = f"simulated days; what people take and what goes wrong: {OWN_RULE}, resources/luck.json"


def answer_of(
    results: Results, days: int, seed: int, luck: Luck | None = None, stopped: Stopped = lambda: False
) -> Answer:
    """Return what `days` simulated days of a plan come to, and what up to five changes make of them.

    Raises TrialError when the plan cannot be shot or the number of days cannot be tried, StoppedError when `stopped`.
    """
    setup = checked(results, days)
    luck = luck or usual_luck()
    draws = Draws(luck, days, seed)
    tried = try_days(setup, draws, stopped)
    all_shots = given(setup, tried)
    lacking = Counter(tried.lacking[~all_shots & (tried.lacking >= 0)].tolist())
    short = [number for number, _ in lacking.most_common(SHORT_FLAVOURS)]
    ended = _short_of(setup, tried, all_shots)
    helps = [
        Help(what, float(given(changed, try_days(changed, draws, stopped)).mean()))
        for what, changed in ([] if all_shots.all() else changes(results, setup, short, ICE in ended))
    ]
    names = [flavour.name for flavour in setup.flavours]
    holds = np.array([[flavour.scoops_a_tub] for flavour in setup.flavours])
    call = results.day.call
    return Answer(
        results.plan.title,
        days,
        seed,
        luck.left_out,
        results.day.wrap,
        float(all_shots.mean()),
        wilson(int(all_shots.sum()), days),
        {part: call + dt.timedelta(seconds=float(_part(tried.end_s, part))) for part in (10, 50, 90)},
        ended,
        {"all": _parts(tried.pulls.sum(axis=0))} | _by_name(names, tried.pulls),
        _by_name(names, np.ceil(tried.pulls / holds)),
        {flavour.name: flavour.tubs for flavour in setup.flavours},
        {part: float(_part(tried.ice_kg, part)) for part in (50, 95)} if setup.ice else None,
        setup.ice.bought_kg if setup.ice else None,
        tuple(sorted(helps, key=lambda one: -one.share)[:HELPS]),
    )


def checked(results: Results, days: int) -> Setup:
    """Return the planned day when it can be tried so many times; raises TrialError."""
    if not FEWEST_DAYS <= days <= MOST_DAYS:
        raise TrialError(f"days: {days:,} cannot be tried; give {FEWEST_DAYS} to {MOST_DAYS:,}")
    setup = setup_of(results)
    if setup.work * days > MOST_WORK:
        fewer = MOST_WORK // setup.work
        raise TrialError(
            f"days: {days:,} days of {setup.work:,} heroes are too many to try; give at most {fewer:,}"
            if fewer
            else f"shots: a day of {setup.work:,} heroes is too much to try; want fewer takes or frames"
        )
    return setup


def days_worth(results: Results) -> int:
    """Return how many days of a plan to try while it is written: fewer of a large one."""
    shots = zip(results.shots, results.plan.shots, strict=True)
    carried = sum(int(found.groups.value or 0) * len(shot.heroes) for found, shot in shots)
    return min(USUAL_DAYS, max(LEAST_DAYS, USUAL_WORK // max(carried, 1)))


def wilson(good: int, tried: int) -> tuple[float, float]:
    """Return the 95 % interval of a share of which `good` of `tried` were seen (Wilson 1927)."""
    z = NormalDist().inv_cdf((1.0 + CONFIDENCE) / 2.0)
    share, extra = good / tried, z * z / tried
    middle = (share + extra / 2.0) / (1.0 + extra)
    half = math.sqrt(share * (1.0 - share) * extra + extra * extra / 4.0) / (1.0 + extra)
    return max(middle - half, 0.0), min(middle + half, 1.0)


def given(setup: Setup, days: Days) -> NDArray[np.bool_]:
    """Return which days gave every shot: in time, and while there was dry ice."""
    return days.got & (days.end_s <= np.minimum(setup.wrap_s, days.ice_out_s))


def _short_of(setup: Setup, days: Days, all_shots: NDArray[np.bool_]) -> dict[str, float]:
    """Return what ended the other days, most often first: the first that holds of scoops, dry ice, locks and time."""
    rest = ~all_shots
    reasons: list[tuple[str, NDArray[np.bool_]]] = [
        (f"pulls of {flavour.name}", days.lacking == number) for number, flavour in enumerate(setup.flavours)
    ]
    reasons.append((ICE, days.end_s > days.ice_out_s))
    reasons.append((LOCKS, days.got & (days.end_s - days.locks_s <= setup.wrap_s)))
    reasons.append((TIME, np.ones(rest.shape, dtype=bool)))
    shares: dict[str, float] = {}
    for what, holds in reasons:
        shares[what] = float((rest & holds).mean())
        rest = rest & ~holds
    return dict(sorted(((what, share) for what, share in shares.items() if share), key=lambda one: -one[1]))


def _part(values: NDArray[np.float64], part: int) -> Any:
    """Return the least value that so many per cent of days do not go over."""
    return np.quantile(values, part / 100.0, method="inverted_cdf")


def _parts(values: NDArray[np.float64]) -> dict[int, int]:
    return {part: int(_part(values, part)) for part in (50, 95)}


def _by_name(names: Sequence[str], rows: NDArray[np.float64]) -> dict[str, dict[int, int]]:
    return {name: _parts(row) for name, row in zip(names, rows, strict=True)}


def _texts(amounts: Mapping[str, Mapping[int, int]]) -> dict[str, dict[str, int]]:
    return {name: {str(part): value for part, value in parts.items()} for name, parts in amounts.items()}


def _amounts(amounts: Mapping[str, Mapping[int, int]], ordered: Mapping[str, int] | None = None) -> str:
    said = [
        f"{name} {parts[50]} on half of all days, at most {parts[95]} on 95 %"
        + (f", {ordered[name]} ordered" if ordered else "")
        for name, parts in amounts.items()
    ]
    return "; ".join(said)


def _counted(share: float, of: int) -> int:
    """Return how many of `of` days a share over 0 is, one at least; all of a hundred only where it is."""
    return of if share == 1.0 else min(max(round(of * share), 1), of - 1 if of == 100 else of)
