"""How simulated crews decide: by our cues or by a stopwatch; `oracle` has the one that knows every truth."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from studiotimer.session.cues import Cue, cues
from studiotimer.session.defaults import filled
from studiotimer.session.desk import Desk, NoDefaultError, free_spots
from studiotimer.session.scoops import Scoop
from studiotimer.trial.crew import Crew, Person

LATE_S = 15.0
MISSED_FOR_S = 20.0
LEFT_ON_S = 1800.0
"""How long a lamp that was left on shines before somebody sees it (own rule)."""
PULLED_AHEAD = 2
OF_THE_FIRST = 0.85
"""The share of the first hero's life after which a stopwatch crew swaps (own rule)."""

_WHO: dict[str, Person] = {
    "pull": "assistant", "move": "assistant", "judge": "assistant", "top_up": "assistant", "lamp": "assistant",
    "tub_out": "assistant", "tub_back": "assistant",
    "tub_finished": "assistant", "hero_in": "stylist", "swap": "stylist", "out": "stylist",
    "stand_in": "stylist", "look": "stylist", "dew_wiped": "stylist",
}  # fmt: skip


@dataclass
class Cued:
    """Does what is cued when it is cued, with a person's delay, and misses some."""

    forecasts: bool = True
    _heard: dict[str, float] = field(default_factory=dict)

    def act(self, crew: Crew) -> None:
        """Answer the first cue that is due for each person whose hands are free."""
        desk = self._desk(crew)
        standing = cues(desk, crew.forecast)
        due = {self._name(cue): cue for cue in standing if cue.kind in _WHO and cue.due <= crew.at}
        self._heard = {name: self._heard.get(name) or self._answered(crew, due[name]) for name in due}
        for name, cue in due.items():
            person = _WHO[str(cue.kind)]
            helped = cue.kind not in ("hero_in", "swap") or crew.free("assistant")
            if self._heard[name] <= crew.at and crew.free(person) and helped:
                crew.tally.cues += 1
                crew.tally.cues_late += crew.at - cue.due > LATE_S
                self._do(crew, desk, cue)
                return

    def shooting(self, crew: Crew) -> bool:
        """Whether the clock has time left, the frost is seen to be gone, and nobody saw the window end."""
        window = crew.forecast.window if crew.forecast else None
        return window is not None and crew.at < window.end.likely and not _frosted(crew) and not _seen_gone(crew)

    @staticmethod
    def _desk(crew: Crew) -> Desk:
        best = crew.forecast.best if crew.forecast else ()
        ending = crew.forecast.window.ended_by if crew.forecast and crew.forecast.window else None
        return Desk(crew.session.ledger, crew.plan, crew.at, best, ending)

    @staticmethod
    def _name(cue: Cue) -> str:
        return f"{cue.kind} {sorted(cue.given.items())}"

    @staticmethod
    def _answered(crew: Crew, cue: Cue) -> float:
        missed = MISSED_FOR_S if crew.dice.happens("cue_missed") else 0.0
        if cue.kind == "lamp" and not cue.given.get("on") and crew.dice.happens("lamp_left_on"):
            missed = LEFT_ON_S
        return crew.at + crew.dice.takes("respond_s") + missed

    @staticmethod
    def _do(crew: Crew, desk: Desk, cue: Cue) -> None:
        kind = str(cue.kind)
        asked = Desk(desk.ledger, desk.plan, desk.at, desk.best, desk.ending, None, cue.given)
        try:
            given = filled(kind, asked)
        except NoDefaultError:
            return
        if kind == "pull":
            crew.pull({"flavour": given["flavour"], "to": given["to"]})
        elif kind == "hero_in" or kind == "swap":
            crew.place("hero_in" if kind == "hero_in" else "swap", given)
        elif kind == "look":
            crew.tell(next(hero.number for hero in crew.standing() if hero.number == given["scoop"]))
        elif kind == "out":
            crew.out([hero.number for hero in crew.standing() if hero.number in _named(given)], str(given["why"]))
        else:
            crew.do(kind, given)


@dataclass
class Stopwatch:
    """What a crew does without us: pulls two ahead, swaps after most of the time that its first hero lasted.

    With `waits_for_frost` the photographer also waits until the frost is seen to be gone.
    """

    forecasts: bool = False
    waits_for_frost: bool = False
    _lasted: dict[str, float] = field(default_factory=dict)

    def act(self, crew: Crew) -> None:
        """Take away what is gone or old, fill the spots, keep two of each flavour waiting."""
        waiting = _waiting(crew)
        if crew.locked and crew.free("stylist"):
            for hero in crew.standing():
                lasted = crew.at - hero.since
                if hero.number in crew.seen_gone:
                    self._lasted.setdefault(hero.flavour, lasted)
                if hero.number in crew.seen_gone or lasted >= OF_THE_FIRST * self._lasted.get(hero.flavour, math.inf):
                    _replace(crew, hero, waiting)
                    return
            if _fill(crew, waiting):
                return
        _pull_ahead(crew, waiting)

    def shooting(self, crew: Crew) -> bool:
        """Whether frames are taken: whenever the heroes are dressed and none is seen to be gone."""
        return not (self.waits_for_frost and _frosted(crew)) and not _seen_gone(crew)


def _named(given: Mapping[str, Any]) -> tuple[int, ...]:
    return tuple(given.get("scoops", ()))


def _frosted(crew: Crew) -> bool:
    """Whether anybody can see that a hero has not come into its look yet."""
    return any(crew.at < crew.true_window(hero.number).start for hero in crew.standing())


def _seen_gone(crew: Crew) -> bool:
    return any(hero.number in crew.seen_gone for hero in crew.standing())


def _waiting(crew: Crew) -> dict[str, list[Scoop]]:
    """Return the scoops that wait and were not judged bad, oldest first, by flavour."""
    line = sorted(crew.session.state.line(), key=lambda scoop: scoop.pulled)
    return {
        flavour: [scoop for scoop in line if scoop.flavour == flavour and scoop.judged is not None]
        for flavour in dict.fromkeys(hero.flavour for hero in crew.shot.heroes)
    }


def _replace(crew: Crew, hero: Scoop, waiting: Mapping[str, list[Scoop]]) -> None:
    ready = waiting[hero.flavour]
    if ready and crew.free("assistant"):
        crew.place("swap", {"out": hero.number, "in": ready[0].number, "spot": hero.spot})
    elif hero.number in crew.seen_gone:
        crew.out([hero.number])


def _fill(crew: Crew, waiting: Mapping[str, list[Scoop]]) -> bool:
    """Bring heroes to all free spots at once, if there are scoops for them; return whether they are coming."""
    free = free_spots(crew.session.state)
    wanted = Counter(flavour for flavour, _ in free)
    if not free or not crew.free("assistant") or any(len(waiting[one]) < count for one, count in wanted.items()):
        return False
    taken: dict[str, int] = {}
    given: dict[str, Any] = {"scoops": [], "flavours": [], "spots": []}
    for flavour, spot in free:
        place = taken.get(flavour, 0)
        taken[flavour] = place + 1
        given["scoops"].append(waiting[flavour][place].number)
        given["flavours"].append(flavour)
        given["spots"].append(spot)
    crew.place("hero_in", given)
    return True


def _pull_ahead(crew: Crew, waiting: Mapping[str, list[Scoop]]) -> None:
    if not crew.free("assistant") or sum(crew.session.state.locks.values()) < 2:
        return
    spots = Counter(hero.flavour for hero in crew.shot.heroes)
    for flavour, ready in waiting.items():
        if len(ready) < PULLED_AHEAD * spots[flavour]:
            crew.pull({"flavour": flavour, "to": "box" if crew.plan.dry_ice.holding_box else "tray"})
            return
