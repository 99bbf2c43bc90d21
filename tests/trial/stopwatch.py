"""A crew without us: by a stopwatch."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from studiotimer.session.desk import free_spots
from studiotimer.session.scoops import Scoop
from studiotimer.trial.crew import Crew
from studiotimer.trial.policies import frosted, seen_gone

PULLED_AHEAD = 2
OF_THE_FIRST = 0.85
"""The share of the first hero's life after which it swaps (own rule)."""


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
        return not (self.waits_for_frost and frosted(crew)) and not seen_gone(crew)


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
