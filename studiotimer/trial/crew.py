"""A simulated crew: it shoots a plan through the real session, blind to the truth but for what it sees."""

from __future__ import annotations

import heapq
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Literal, Protocol

from studiotimer.prep.plan import Plan, Shot
from studiotimer.session.countdowns import Changes, Forecast
from studiotimer.session.desk import is_pack
from studiotimer.session.fields import Given
from studiotimer.session.forecast import Forecaster
from studiotimer.session.live import Choice, new_session
from studiotimer.session.scoops import Scoop
from studiotimer.trial.luck import JUDGED_AFTER_S, Dice, Luck
from studiotimer.trial.tally import Tally
from studiotimer.trial.truth import TrueWindow, Truth

Person = Literal["stylist", "assistant"]

LONGEST_SHOT_S = 3600.0  # own rule: by then a producer stops it
FORECAST_EVERY_S = 15.0  # own rule: half of the window's own, a hand's time
OUT_S = 3.0  # own rule: a scoop is off the set in a moment
_BEGAN = datetime(2026, 1, 5, 8, 0, tzinfo=UTC)


class HandClock:
    """A clock that stands until it is moved."""

    def __init__(self) -> None:
        self.seconds = 0.0

    def anchor(self) -> None:
        """Return None: this clock is no machine's."""

    def stands(self) -> bool:
        """Return False: it stands as it is meant to."""
        return False

    def tick(self) -> float:
        """Return seconds since the run began."""
        return self.seconds

    def now(self) -> datetime:
        """Return the wall clock's time, in UTC."""
        return _BEGAN + timedelta(seconds=self.seconds)


class Policy(Protocol):
    """How a crew decides; called once a second."""

    forecasts: bool
    """Whether it looks at forecasts at all."""

    def act(self, crew: Crew) -> None:
        """Begin what is to be done now."""

    def shooting(self, crew: Crew) -> bool:
        """Whether the photographer takes frames of the heroes that stand."""


class Crew:
    """Three people, one session. `run` shoots every shot of the plan and returns what it came to."""

    def __init__(self, plan: Plan, policy: Policy, seed: int, luck: Luck, folder: Path) -> None:
        self.plan = plan
        self.policy = policy
        self.dice = Dice(luck, seed)
        self.truth = Truth(plan, self.dice)
        self.clock = HandClock()
        self.session = new_session(folder / "trial.setlog", plan, self.clock)
        self.tally = Tally()
        self.forecast: Forecast | None = None
        self.seen_gone: set[int] = set()
        """Heroes whose edges somebody saw gone."""
        self.shot: Shot = plan.shots[0]
        self._forecaster = Forecaster(plan)
        self._known = 0
        self._forecast_at = -FORECAST_EVERY_S
        self._busy: dict[Person, float] = {"stylist": 0.0, "assistant": 0.0}
        self._ahead: list[tuple[float, int, Callable[[], None]]] = []
        self._order = 0
        self._dressed: dict[int, float] = {}
        self._windows: dict[int, TrueWindow] = {}
        self._notice: dict[int, float] = {}
        self._used: set[int] = set()
        self._good_frames = self._needed = 0
        self._next_frame = 0.0
        self.locked_at = 0.0

    @property
    def at(self) -> float:
        """The session second."""
        return self.session.time()

    @property
    def carry_s(self) -> float:
        """How long the way to the set usually takes."""
        return float(self.plan.carried_s)

    @property
    def looked_over_s(self) -> float:
        """How long after its pull a scoop is fit to be carried: what the plan has from pull to set, without the way."""
        return float(self.plan.pull_to_set_s) - self.carry_s

    @property
    def wanted(self) -> int:
        """How many good frames are still wanted of the shot."""
        return max(self._needed - self._good_frames, 0)

    def run(self) -> Tally:
        """Shoot the whole plan and return the tally."""
        try:
            for number, shot in enumerate(self.plan.shots):
                self._shoot(shot, number)
            self._count_lost()
        finally:
            self.session.close()
        return self.tally

    def call(self, kind: str, given: Given | None = None) -> bool:
        """Make a call now and return whether it was taken."""
        best = self.forecast.best if self.forecast else ()
        ending = self.forecast.window.ended_by if self.forecast and self.forecast.window else None
        outcome = self.session.call(kind, given, Choice(best, ending))
        if outcome.refused:
            self.tally.refused[f"{kind}: {outcome.refused}"] += 1
        return outcome.entry is not None and not outcome.repeated

    def later(self, seconds: float, what: Callable[[], None]) -> None:
        """Have something happen after some seconds."""
        self._order += 1
        heapq.heappush(self._ahead, (self.at + seconds, self._order, what))

    def free(self, person: Person) -> bool:
        """Whether a person's hands are free."""
        return self.at >= self._busy[person]

    def begin(self, people: tuple[Person, ...], seconds: float, done: Callable[[], None]) -> None:
        """Have people busy for some seconds, then `done`."""
        for person in people:
            self._busy[person] = self.at + seconds
        self.later(seconds, done)

    def pull(self, given: Given) -> None:
        """Have the assistant pull a scoop; a bad one is judged so."""
        seconds = self.dice.takes("pull_s", planned=float(self.plan.pull_s))
        self.begin(("assistant",), seconds, lambda: self._pulled(given))

    def _pulled(self, given: Given) -> None:
        number = self.session.state.next_number()
        if not self.call("pull", {**given, "scoop": number}):
            return
        self.tally.pulls += 1
        good = self.truth.good(number)
        self.tally.good_pulls += good
        self.later(JUDGED_AFTER_S, lambda: self.judge(number, "spare" if good else "reject"))

    def judge(self, number: int, judged: str) -> None:
        """Log how good a scoop is, if it still waits."""
        scoop = self.session.state.scoops.get(number)
        if scoop is not None and scoop.waiting:
            self.call("judge", {"scoop": number, "as": judged})

    def place(self, kind: Literal["hero_in", "swap"], given: Given) -> None:
        """Have scoops carried to the set by both, once they are looked over; one may fall on the way."""
        coming = [given["in"]] if kind == "swap" else given["scoops"]
        ready = max(self.session.state.scoops[number].pulled for number in coming) + self.looked_over_s
        seconds = max(ready - self.at, 0.0) + self.dice.takes("carry_s", planned=self.carry_s)
        self.begin(("stylist", "assistant"), seconds, lambda: self._placed(kind, given))

    def _placed(self, kind: Literal["hero_in", "swap"], given: Given) -> None:
        coming = [given["in"]] if kind == "swap" else list(given["scoops"])
        if not self.call(kind, given):
            return
        for number in coming:
            scoop = self.session.state.scoops[number]
            self.tally.rested.append(self.at - scoop.pulled)
            if self.dice.happens("dropped", number):
                self.call("out", {"scoops": [number], "why": "dropped"})
                continue
            self._dressed[number] = self.at + float(self.shot.dressing_s) * self.dice.takes("dress_spread", number)
            self._know_window(number)
            self._busy["stylist"] = max(self._busy["stylist"], self._dressed[number])

    def out(self, numbers: list[int], why: str = "gone") -> None:
        """Have heroes taken off the set."""
        self.begin(("stylist",), OUT_S, lambda: self._gone(numbers, why))

    def _gone(self, numbers: list[int], why: str) -> None:
        there = [hero.number for hero in self.session.state.heroes() if hero.number in numbers]
        if there:
            self.call("out", {"scoops": there, "why": why})

    def tell(self, number: int) -> None:
        """Have somebody say whether a hero's edges are gone, as far as is seen."""
        gone = number in self.seen_gone
        self.call("look", {"scoop": number, "seen": self._end_of(number), "not_yet": not gone})

    def _end_of(self, number: int) -> str:
        """Return the change that is called when a hero's window has ended."""
        return "dew" if is_pack(self.plan, self.session.state.scoops[number].flavour) else "edges"

    def do(self, kind: str, given: Given, seconds: float = 5.0) -> None:
        """Have the assistant do something small and call it."""
        self.begin(("assistant",), seconds, lambda: self._done(kind, given))

    def _done(self, kind: str, given: Given) -> None:
        self.call(kind, given)
        for number in given["scoops"] if kind == "dew_wiped" else ():
            self.seen_gone.discard(number)
            self._know_window(number)

    def _know_window(self, number: int) -> None:
        self._windows[number] = self.truth.window(self.session.state, self.session.state.scoops[number])
        self._notice[number] = self._windows[number].end + self.dice.takes("notice_s", number)

    @property
    def locked(self) -> bool:
        """Whether light, set and camera are locked."""
        return all(self.session.state.locks.values())

    def standing(self) -> list[Scoop]:
        """Return the heroes on set."""
        return self.session.state.heroes()

    def true_window(self, number: int) -> TrueWindow:
        """Return the window that a hero on set really has."""
        return self._windows[number]

    def dressed(self) -> bool:
        """Whether every spot has its hero and all are dressed."""
        heroes = self.standing()
        full = len(heroes) >= len(self.shot.heroes)
        return full and all(self._dressed[hero.number] <= self.at for hero in heroes)

    def _shoot(self, shot: Shot, number: int) -> None:
        self.shot, began = shot, self.at
        self.tally.shots += 1
        takes = shot.takes + self.dice.happens("one_take_more", number)
        self._good_frames, self._needed = 0, takes * shot.frames
        self.call("shot", {"name": shot.name, "takes": takes})
        for lock, on in self.session.state.locks.items():
            if on:
                self.call("lock", {"which": lock, "on": False})
        self._lock(shot, number)
        while self.wanted and self.at - began < LONGEST_SHOT_S:
            self._second()
        if not self.wanted:
            self.tally.got += 1
            self.call("got_it", {"shot": shot.name})
        self.tally.minutes.append((self.at - self.locked_at) / 60.0)
        self._gone([hero.number for hero in self.standing()], "got it")

    def _lock(self, shot: Shot, number: int) -> None:
        span = float(shot.locks_s) * self.dice.takes("lock_spread", number)
        late = span / 3.0 if self.dice.happens("late_lock", number) else 0.0
        for place, lock in enumerate(("light", "set", "camera"), 1):
            seconds = span * place / 3.0 + (late if place == 3 else 0.0)
            self.later(seconds, lambda lock=lock: self._done("lock", {"which": lock, "on": True}))  # type: ignore[misc]
        self.locked_at = self.at + span + late

    def _second(self) -> None:
        self.clock.seconds += 1.0
        while self._ahead and self._ahead[0][0] <= self.at:
            heapq.heappop(self._ahead)[2]()
        if self.policy.forecasts:
            self._look_ahead()
        self._see()
        self.policy.act(self)
        self._take_frame()
        waits = self.locked and not self.session.state.line() and not self.standing()
        self.tally.empty_s += waits

    def _look_ahead(self) -> None:
        changing = sum(1 for entry in self.session.ledger.entries[self._known :] if entry.kind != "frame")
        if changing or self.at - self._forecast_at >= FORECAST_EVERY_S:
            before = {hero.scoop for hero in self.forecast.heroes} if self.forecast else set()
            self.forecast = self._forecaster.forecast(self.session.state, self.at)
            self._known, self._forecast_at = len(self.session.ledger.entries), self.at
            for hero in self.forecast.heroes:
                if hero.scoop not in before and hero.scoop in self._windows and isinstance(hero.changes, Changes):
                    edges = hero.changes.edges
                    self.tally.bands.append(edges.early <= self._windows[hero.scoop].end <= edges.late)

    def _see(self) -> None:
        for hero in self.standing():
            if hero.number not in self.seen_gone and self.at >= self._notice[hero.number]:
                self.seen_gone.add(hero.number)
                if self.dice.happens("change_told", hero.number):
                    self.call("look", {"scoop": hero.number, "seen": self._end_of(hero.number)})

    def _take_frame(self) -> None:
        if self.at < self._next_frame or not self.locked or not self.dressed() or not self.policy.shooting(self):
            return
        self._next_frame = self.at + float(self.shot.between_s)
        self.call("frame", {"name": f"F{self.tally.frames + 1:05d}", "shot": self.shot.name})
        self.tally.frames += 1
        windows = [self._windows[hero.number] for hero in self.standing()]
        if all(window.holds(self.at) for window in windows):
            self.tally.good += 1
            self._good_frames += 1
            self._used |= {hero.number for hero in self.standing()}
        elif any(self.at > window.end for window in windows):
            self.tally.late += 1
        else:
            self.tally.early += 1

    def _count_lost(self) -> None:
        for scoop in self.session.state.scoops.values():
            wasted = scoop.place == "out" or scoop.judged == "reject"
            unused = scoop.number not in self._used and scoop.why_out != "dropped"
            if wasted and unused and self.truth.good(scoop.number):
                self.tally.lost.append(scoop.number)
