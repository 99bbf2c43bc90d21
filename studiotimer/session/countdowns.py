"""Countdowns: what a forecast says of each scoop, in session seconds; reading it is arithmetic."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import ClassVar

from studiotimer.prep.looks import PACK_STAGES, STAGES
from studiotimer.session.entries import WALL_SEEN
from studiotimer.session.scoops import Pour
from studiotimer.session.state import State

AHEAD_S = (0.0, 15.0, 30.0, 60.0, 120.0, 240.0, 480.0, 900.0, 1800.0, 3600.0)
"""How long after its forecast a waiting scoop may be placed on set: what happens then is worked out for each."""


@dataclass(frozen=True, slots=True)
class Band:
    """A time: the median and the 10 % and 90 % points; infinite where it does not come within 3 h."""

    early: float
    likely: float
    late: float

    @staticmethod
    def of(times: Iterable[float]) -> Band:
        """Return the band of three times in any order."""
        return Band(*sorted(float(time) for time in times))

    def __add__(self, seconds: float) -> Band:
        """Return the band that many seconds later."""
        return Band(self.early + seconds, self.likely + seconds, self.late + seconds)

    def earlier_of(self, other: Band) -> Band:
        """Return the band of the earlier of both, point by point."""
        return Band(min(self.early, other.early), min(self.likely, other.likely), min(self.late, other.late))

    def later_of(self, other: Band) -> Band:
        """Return the band of the later of both, point by point."""
        return Band(max(self.early, other.early), max(self.likely, other.likely), max(self.late, other.late))


NEVER = Band(math.inf, math.inf, math.inf)
CHANGES = ("crisp", "sheen", "edges", "first_drip", "slump")
"""What a scoop goes through on set, each no sooner than the one before it; the names of the bands of `Changes`."""


@dataclass(frozen=True, slots=True)
class Changes:
    """When a scoop on set shows each of CHANGES, in session seconds."""

    crisp: Band
    sheen: Band
    edges: Band
    first_drip: Band
    slump: Band
    stages: ClassVar[tuple[str, ...]] = STAGES

    @property
    def begun(self) -> tuple[Band, ...]:
        """When each of its stages but the first begins."""
        return self.crisp, self.sheen, self.edges, self.first_drip, self.slump

    def of(self, name: str) -> Band:
        """Return the band of a change, by its name here or as it is called ("first drip")."""
        band: Band = getattr(self, name.replace(" ", "_"))
        return band


@dataclass(frozen=True, slots=True)
class WallChanges:
    """When frost shows on a closed pack on set, dew beads and dew runs, in session seconds.

    `clear` is since when: it came on set, or was wiped last.
    """

    frost: Band
    dew: Band
    runs: Band
    clear: float
    stages: ClassVar[tuple[str, ...]] = PACK_STAGES

    @property
    def begun(self) -> tuple[Band, ...]:
        """When each of its stages but the first begins."""
        return self.frost, self.dew, self.runs

    def of(self, name: str) -> Band:
        """Return the band of a change, as it is called."""
        return self.begun[[str(one) for one in WALL_SEEN].index(name)]


@dataclass(frozen=True, slots=True)
class HeroForecast:
    """A scoop on set since `since`: its changes, and the window of the shot's look (session seconds)."""

    scoop: int
    flavour: str
    spot: str
    hero: bool
    since: float
    changes: Changes | WallChanges
    start: Band
    end: Band
    edge_c: float
    foot: Band | None = None
    """When liquid shows round its base; None where that is not told or not worked out yet."""
    on_something: bool = False
    """Whether it is told what it stands on."""
    pours: tuple[Pour, ...] = ()
    """The sauces poured on it there."""


@dataclass(frozen=True, slots=True)
class LineForecast:
    """A waiting scoop: the window it would have on set, by how long after `at` it is placed there."""

    scoop: int
    flavour: str
    at: float
    start_s: tuple[float, ...]
    end_s: tuple[float, ...]
    edge_c: float
    temper_s: float = 0.0
    """How long it should stand on the tray first, so that its window opens as its dressing ends [s]."""

    def placed(self, at: float) -> tuple[float, float]:
        """Return the window (seconds on set: start, end) if the scoop were placed on set at `at`."""
        ahead = min(max(at - self.at, 0.0), AHEAD_S[-1])
        return _between(ahead, self.start_s), _between(ahead, self.end_s)


@dataclass(frozen=True, slots=True)
class ShotWindow:
    """The span in which every hero is in its own window; `ended_by` is the scoop that ends it."""

    start: Band
    end: Band
    ended_by: int


@dataclass(frozen=True, slots=True)
class ClimateNow:
    """The climate at the time of the forecast: °C, fraction, kg, W, session seconds, K/W, ppm.

    `top_up_at` is when the air at the set will have risen to the plan's target (None: no target, or not within 1 h);
    `top_up_kg` holds it until the plan's next top-up (None: no target, or nothing tells).
    """

    room_c: float
    humidity: float
    local_air_c: float
    box_c: float
    ice_set_kg: float
    ice_box_kg: float
    ice_gone_at: float | None
    gain_k_per_w: float
    co2_ppm: float | None
    top_up_at: float | None
    top_up_kg: float | None = None


@dataclass(frozen=True, slots=True)
class Pace:
    """How many times longer things take on this set than the model says, and how many looks that rests on."""

    factor: float = 1.0
    seen: int = 0

    def leap_since(self, before: Pace) -> float:
        """Return how many times longer one more look made things than they were `before`; 1 when it is not one more."""
        return self.factor / before.factor if self.seen == before.seen + 1 else 1.0


@dataclass(frozen=True)
class Forecast:
    """Every countdown as of session second `at`; between changes a tick is arithmetic on it."""

    at: float
    climate: ClimateNow
    heroes: tuple[HeroForecast, ...] = ()
    line: tuple[LineForecast, ...] = ()
    window: ShotWindow | None = None
    pace: Pace = Pace()

    @property
    def best(self) -> list[int]:
        """The waiting scoops, best first."""
        return [one.scoop for one in self.line]

    def standing(self, state: State) -> Forecast:
        """Return what of it holds in `state`: nothing of a scoop that does not stand, or wait, where it did.

        There is no window but that of the heroes it was worked out for.
        """
        there = {(scoop.number, scoop.since, scoop.hero) for scoop in state.in_play if scoop.on_set}
        heroes = tuple(one for one in self.heroes if (one.scoop, one.since, one.hero) in there)
        waiting = {scoop.number for scoop in state.in_play if scoop.waiting}
        line = tuple(one for one in self.line if one.scoop in waiting)
        same = {one.scoop for one in self.heroes if one.hero} == {one.number for one in state.heroes()}
        window = self.window if same and heroes == self.heroes else None
        if (heroes, line, window) == (self.heroes, self.line, self.window):
            return self
        return replace(self, heroes=heroes, line=line, window=window)

    def on_set(self, scoop: int) -> HeroForecast | None:
        """Return the forecast of a scoop on set."""
        return next((one for one in self.heroes if one.scoop == scoop), None)

    def waiting(self, scoop: int) -> LineForecast | None:
        """Return the forecast of a waiting scoop."""
        return next((one for one in self.line if one.scoop == scoop), None)


def _between(ahead: float, values: Sequence[float]) -> float:
    """Return the value at `ahead`, linear between the points of AHEAD_S; never comes if it does not on either side."""
    index = bisect_right(AHEAD_S, ahead) - 1
    if index >= len(AHEAD_S) - 1:
        return values[-1]
    low, high = values[index], values[index + 1]
    share = (ahead - AHEAD_S[index]) / (AHEAD_S[index + 1] - AHEAD_S[index])
    if share == 0.0 or not math.isfinite(low):
        return low
    return low + share * (high - low) if math.isfinite(high) else math.inf
