"""What people take and what goes wrong on a simulated day: the shipped table of medians and rates (own rules)."""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from pydantic import BaseModel, ConfigDict, Field

from studiotimer.places import resource
from studiotimer.plain import plain
from studiotimer.trial.figures import TrialError

ACCIDENTS = {
    "dropped": "dropped heroes",
    "late_lock": "late locks",
    "one_take_more": "one take more",
    "freezer_door": "an open freezer door",
}
"""What of the table of rates goes wrong by itself, and how it is said."""
ALL = "accidents"
JUDGED_AFTER_S = 3.0
"""How long after its pull it is seen whether a scoop is good (own rule)."""


class _Person(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)

    what: str
    median: float = Field(gt=0)
    spread: float = Field(ge=0)
    source: str = Field(min_length=1)


class _Rate(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)

    what: str
    rate: float = Field(ge=0, le=1)
    source: str = Field(min_length=1)


@dataclass(frozen=True)
class Luck:
    """Medians [s, or a share of a planned time] and spreads (of the logarithm) by name, and rates by name."""

    people: Mapping[str, tuple[float, float]]
    rates: Mapping[str, float]

    def without(self, names: Iterable[str]) -> "Luck":
        """Return the luck with some accidents (by name, or all of them: "accidents") set to none.

        Raises TrialError, naming it, for what is no accident.
        """
        left_out: set[str] = set()
        for name in names:
            known = name.strip().lower().replace(" ", "_").replace("-", "_")
            if known not in (*ACCIDENTS, ALL):
                may_be = ", ".join(one.replace("_", " ") for one in ACCIDENTS)
                raise TrialError(
                    f"without: “{plain(name)[:40]}” is nothing that goes wrong on a trial day; write one of {may_be}, "
                    f"or {ALL} for all of them"
                )
            left_out |= set(ACCIDENTS) if known == ALL else {known}
        return replace(self, rates={what: 0.0 if what in left_out else rate for what, rate in self.rates.items()})

    @property
    def left_out(self) -> str:
        """Return in words what never goes wrong; empty where everything may."""
        none = [words for what, words in ACCIDENTS.items() if not self.rates[what]]
        if len(none) == len(ACCIDENTS):
            return "without accidents"
        return f"without {', '.join(none)}" if none else ""


@cache
def usual_luck() -> Luck:
    """Return the shipped table."""
    table = json.loads(resource("luck.json").read_text(encoding="utf-8"))
    people = [_Person.model_validate(row) for row in table["people"]]
    rates = [_Rate.model_validate(row) for row in table["rates"]]
    return Luck({one.what: (one.median, one.spread) for one in people}, {one.what: one.rate for one in rates})


class Dice:
    """Draws of one day, each by its purpose and number, so that policies on one seed meet the same luck."""

    def __init__(self, luck: Luck, seed: int) -> None:
        self.luck = luck
        self._seed = seed
        self._times: dict[str, int] = {}

    def normal(self, purpose: str, number: int) -> float:
        """Return the standard normal draw of a purpose and number; the same whenever it is asked for."""
        return float(self._stream(purpose, number).standard_normal())

    def takes(self, what: str, number: int | None = None, planned: float | None = None) -> float:
        """Return how long something takes a person, lognormal about its median or what is planned [s].

        The next draw of its purpose when not numbered.
        """
        median, spread = self.luck.people[what]
        normal = self.normal(what, self._next(what) if number is None else number)
        return (median if planned is None else planned) * float(np.exp(spread * normal))

    def happens(self, what: str, number: int | None = None) -> bool:
        """Return whether something of the table of rates happens; the next draw when not numbered."""
        return self.chance(what, self.luck.rates[what], self._next(what) if number is None else number)

    def chance(self, purpose: str, share: float, number: int) -> bool:
        """Return whether a draw of a purpose and number falls within `share`."""
        return bool(self._stream(purpose, number).random() < share)

    def _next(self, what: str) -> int:
        self._times[what] = self._times.get(what, 0) + 1
        return self._times[what]

    def _stream(self, purpose: str, number: int) -> np.random.Generator:
        return np.random.default_rng([self._seed, number, *purpose.encode()])
