"""A plan rehearsed: the calls are a person's, the ice cream is the simulation's, and what is to be seen is told.

It looks at the state of the session from time to time and never calls anything but the frames of its photographer, who
shoots once light, set and camera are locked, the heroes are dressed and their frost is gone, until the clock or the eye
says that the look is gone.
"""

from __future__ import annotations

import heapq
from collections.abc import Mapping
from dataclasses import dataclass

from studiotimer.prep.looks import PACK_STAGES, STAGES, look_window
from studiotimer.prep.plan import Plan, Shot
from studiotimer.session.desk import is_pack
from studiotimer.session.scoops import Scoop
from studiotimer.session.state import State
from studiotimer.trial.luck import JUDGED_AFTER_S, Dice, Luck
from studiotimer.trial.truth import NEVER, Truth

ROUNDED_FOR_S = 60.0
"""How long before its edges are gone they are seen to round (own rule)."""
LOCKS = ("light", "set", "camera")
_WALL_SEEN = {"frosted": "frost shows on it", "dewy": "dew beads on it", "running": "dew runs down it"}
_SEEN = {
    "matte": "its frost is gone", "sheen": "it shines", "edges gone": "its edges are gone", "dripping": "it drips",
}  # fmt: skip


@dataclass(frozen=True)
class Sight:
    """What a person sees of one hero; shares from 0 to 1. `foot` is False too where nobody knows."""

    number: int
    flavour: str
    spot: str
    frost: float
    shine: float
    rounded: float
    drips: bool
    foot: bool
    fallen: bool
    wall: bool = False
    """Whether it is a closed pack, whose wall is frosted, shines with dew, or drips with it."""

    @property
    def words(self) -> str:
        """Return it in words."""
        if self.fallen:
            return "fell on the way"
        if self.wall:
            return "frosted" if self.frost else "dew runs" if self.drips else "dewy" if self.shine else "dry"
        seen = [
            words
            for words, there in (
                ("frosted", self.frost > 0.0), ("matt", self.frost == 0.0 and self.shine == 0.0),
                ("shines", self.shine > 0.0), ("edges round", 0.0 < self.rounded < 1.0),
                ("edges gone", self.rounded == 1.0), ("drips", self.drips), ("a foot", self.foot),
            )
            if there
        ]  # fmt: skip
        return ", ".join(seen)


@dataclass(frozen=True)
class Outcome:
    """What a rehearsal, or the same day by its cues, came to."""

    frames: int
    good: int
    shots: int
    got: int
    pulls: int
    minutes: float

    @property
    def words(self) -> str:
        """Return it in words."""
        return (
            f"{self.good} of {self.frames} frames inside their window, {self.got} of {self.shots} shots, "
            f"{self.pulls} pulls, {self.minutes:.0f} min"
        )


class Rehearsing:
    """One rehearsed day. `step` is called a few times a second with the state and the session second."""

    def __init__(self, plan: Plan, luck: Luck, seed: int) -> None:
        self.plan = plan
        self.dice = Dice(luck, seed)
        self.truth = Truth(plan, self.dice)
        self.pulls = 0
        self._feet: Mapping[tuple[str, str], float] = {}
        self._told: list[tuple[float, str]] = []
        self._ahead: list[tuple[float, int, str, int]] = []
        self._known: set[int] = set()
        self._stages: dict[int, tuple[float, ...]] = {}
        self._walls: dict[int, tuple[float, ...]] = {}
        self._wiped: dict[int, int] = {}
        self._dressed: dict[int, float] = {}
        self._noticed: dict[int, float] = {}
        self._fallen: set[int] = set()
        self._footed: set[int] = set()
        self._shot: Shot | None = None
        self._needed: dict[str, int] = {}
        self._good: dict[str, int] = {}
        self._frames: list[bool] = []
        self._locked_at = 0.0
        self._spent: dict[str, float] = {}
        self._next_frame = 0.0
        self._ends_at: float | None = None

    def know_feet(self, feet: Mapping[tuple[str, str], float]) -> None:
        """Take in when the feet of the plan show [s on set], by shot and flavour; until then nobody sees one."""
        self._feet = feet

    def step(self, state: State, at: float, ends_at: float | None) -> list[str]:
        """Take in what was called, and return what is said and seen since; `ends_at` is when the clock runs out."""
        self._hear_shot(state, at)
        for scoop in state.scoops.values():
            if scoop.number not in self._known:
                self._known.add(scoop.number)
                self._pulled(scoop, at)
        for hero in state.heroes():
            if hero.number not in self._stages:
                self._stand(state, hero)
            elif len(hero.wiped) > self._wiped[hero.number]:
                self._look_at(state, hero)
            elif at >= self._foot_at(hero) and hero.number not in self._footed:
                self._footed.add(hero.number)
                self._say(at, f"Scoop {hero.number}: liquid shows round its foot.", hero.number)
        self._ends_at = ends_at
        said = []
        while self._ahead and self._ahead[0][0] <= at:
            _, _, words, number = heapq.heappop(self._ahead)
            there = state.scoops.get(number)
            if number == 0 or (there is not None and there.place != "out"):
                said.append(words)
        return said

    def frame_due(self, state: State, at: float) -> str | None:
        """Return the name of the frame that the photographer takes now, which the caller logs; None for none."""
        shot, heroes = self._shot, state.heroes()
        if shot is None or at < self._next_frame or at < self._locked_at or not all(state.locks.values()):
            return None
        full = len(heroes) >= len(shot.heroes) and not any(one.number in self._fallen for one in heroes)
        if not full or any(at < self._dressed[one.number] for one in heroes):
            return None
        spans = [self._window(one.number, shot) for one in heroes]
        gone = any(at >= self._noticed[one.number] for one in heroes)
        late = self._ends_at is not None and at >= self._ends_at
        if gone or late or any(at < start for start, _ in spans) or self._has_all(shot):
            return None
        self._next_frame = at + float(shot.between_s)
        good = all(start <= at <= end for start, end in spans)
        self._frames.append(good)
        self._good[shot.name] = self._good.get(shot.name, 0) + good
        if self._has_all(shot):
            self._spent[shot.name] = at - self._locked_at
            self._say(at, f"The photographer has what {shot.name} wants: call got it.")
        return f"R{len(self._frames):05d}"

    def sights(self, state: State, at: float) -> list[Sight]:
        """Return what is to be seen of each hero, in the order of the state."""
        return [self._sight(hero, at) for hero in state.heroes() if hero.number in self._stages]

    def outcome(self, at: float) -> Outcome:
        """Return what it came to by session second `at`."""
        got = [name for name, needed in self._needed.items() if self._good.get(name, 0) >= needed]
        spent = dict(self._spent)
        if self._shot is not None:
            spent.setdefault(self._shot.name, max(at - self._locked_at, 0.0))
        return Outcome(
            len(self._frames), sum(self._frames), len(self._needed), len(got), self.pulls, sum(spent.values()) / 60.0
        )

    def _hear_shot(self, state: State, at: float) -> None:
        shot = self.plan.shot_named(state.shot_name)
        if shot is None or (self._shot is not None and self._shot.name == shot.name):
            return
        if self._shot is not None:
            self._spent.setdefault(self._shot.name, max(at - self._locked_at, 0.0))
        self._shot, number = shot, self.plan.shots.index(shot)
        more = self.dice.happens("one_take_more", number)
        self._needed[shot.name] = (shot.takes + more) * shot.frames
        span = float(shot.locks_s) * self.dice.takes("lock_spread", number)
        late = span / 3.0 if self.dice.happens("late_lock", number) else 0.0
        for place, lock in enumerate(LOCKS, 1):
            slow = "at last, after a wait nobody planned" if late and place == len(LOCKS) else ""
            self._say(at + span * place / 3.0 + (late if slow else 0.0), f"The {lock} is right {slow}: lock it.")
        self._locked_at = at + span + late
        if more:
            self._say(self._locked_at, f"The client wants one take more of {shot.name}.")

    def _pulled(self, scoop: Scoop, at: float) -> None:
        self.pulls += 1
        well = self.truth.good(scoop.number)
        words = "came out well: a spare" if well else "came out ragged: reject it"
        self._say(max(at, scoop.pulled + JUDGED_AFTER_S), f"Scoop {scoop.number} {words}.", scoop.number)

    def _stand(self, state: State, hero: Scoop) -> None:
        number = hero.number
        dressing = float(self._shot.dressing_s) if self._shot else 0.0
        self._dressed[number] = hero.since + dressing * self.dice.takes("dress_spread", number)
        self._look_at(state, hero, said=not self.dice.happens("dropped", number))
        if self.dice.happens("dropped", number):
            self._fallen.add(number)
            self._say(hero.since, f"Scoop {number} fell on the way: call it out, dropped.", number)

    def _look_at(self, state: State, hero: Scoop, said: bool = True) -> None:
        """Take in how a hero will change, and say it when it does; a pack begins anew when it is wiped."""
        number = hero.number
        self._wiped[number] = len(hero.wiped)
        stages = self._stages[number] = self.truth.stages(state, hero)
        closed = is_pack(self.plan, hero.flavour)
        if closed:
            self._walls[number] = self.truth.wall(state, hero)
        _, end = self._window(number, self._shot)
        notice = self.dice.takes("notice_s", number)
        self._noticed[number] = end + notice
        names, begun, words = (PACK_STAGES, self._walls[number], _WALL_SEEN) if closed else (STAGES, stages, _SEEN)
        for stage, since in zip(names, begun, strict=True):
            if said and stage in words and begun[0] < since < NEVER:
                self._say(since + notice, f"Scoop {number}: {words[stage]}.", number)

    def _sight(self, hero: Scoop, at: float) -> Sight:
        if hero.number in self._walls:
            _, frost, dew, runs = self._walls[hero.number]
            frosted, wet, fallen = float(frost <= at < dew), float(at >= dew), hero.number in self._fallen
            spot = hero.spot or ""
            return Sight(hero.number, hero.flavour, spot, frosted, wet, 0.0, at >= runs, False, fallen, wall=True)
        _, crisp, sheen, gone, drip, _ = self._stages[hero.number]
        begins = max(gone - ROUNDED_FOR_S, sheen)
        return Sight(
            hero.number,
            hero.flavour,
            hero.spot or "",
            _left(at, hero.since, crisp) if at < crisp else 0.0,
            min(1.0, 1.0 - _left(at, sheen, gone) + 0.25) if at >= sheen else 0.0,
            1.0 if at >= gone else 1.0 - _left(at, begins, gone) if at > begins else 0.0,
            at >= drip,
            at >= self._foot_at(hero),
            hero.number in self._fallen,
        )

    def _foot_at(self, hero: Scoop) -> float:
        name = self._shot.name if self._shot else ""
        return hero.since + self._feet.get((name, hero.flavour), NEVER)

    def _window(self, number: int, shot: Shot | None) -> tuple[float, float]:
        return look_window(shot.look if shot else "crisp", self._stages[number])

    def _has_all(self, shot: Shot) -> bool:
        return self._good.get(shot.name, 0) >= self._needed[shot.name]

    def _say(self, at: float, words: str, number: int = 0) -> None:
        heapq.heappush(self._ahead, (at, len(self._told), " ".join(words.replace(" :", ":").split()), number))
        self._told.append((at, words))


def _left(at: float, begin: float, end: float) -> float:
    """Return the share of a span that is left, from 1 to 0."""
    return min(max((end - at) / (end - begin), 0.0), 1.0) if end > begin else 0.0
