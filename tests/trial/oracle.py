"""A crew that knows every truth: what no other crew can beat by much."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

from studiotimer.session.desk import free_spots
from studiotimer.session.product import Product
from studiotimer.session.scoops import Scoop
from studiotimer.session.state import State
from studiotimer.thermal.criteria import targets
from studiotimer.trial.crew import OUT_S, Crew
from studiotimer.trial.truth import TrueWindow, Truth

KNOWN_FOR_S = 5.0
"""For how long it goes by what it found of a scoop that waits."""
MOVES_IN_S = 5.0
GROUPS_AHEAD = 3
"""How many groups of heroes it has waiting at most."""


class _Way(NamedTuple):
    """A way to go on: what is done first, and the good frames a second that it brings."""

    does: Literal["swap", "in", "out"]
    worth: float
    out: tuple[Scoop, ...] = ()
    into: tuple[Scoop, ...] = ()


@dataclass
class Oracle:
    """Knows every truth: shoots inside the windows only, and replaces its heroes as brings it most frames a second.

    One after another or all together, with scoops that rested, were tempered, and no more of them than it wants.
    """

    forecasts: bool = False
    _found: dict[int, tuple[tuple[str, float], float, TrueWindow]] = field(default_factory=dict)

    def act(self, crew: Crew) -> None:
        """Replace what ends, fill the spots, temper the next ones, pull what will be wanted."""
        if not crew.free("assistant"):
            return
        waiting = self._waiting(crew)
        if crew.locked and crew.free("stylist") and self._placed(crew, waiting):
            return
        if not self._tempered(crew, waiting):
            self._pull(crew)

    def shooting(self, crew: Crew) -> bool:
        """Whether every hero is in its true window."""
        return all(crew.true_window(hero.number).holds(crew.at) for hero in crew.standing())

    def stands(self, crew: Crew, hero: Scoop) -> TrueWindow:
        """Return the window of a hero on set, as far as it is known."""
        return crew.true_window(hero.number)

    def would_stand(self, crew: Crew, scoop: Scoop) -> TrueWindow:
        """Return the window a waiting scoop would have if it were carried now, as far as it is known."""
        return crew.truth.window(crew.session.state, carried(scoop, crew.at + crew.carry_s))

    def tempers_s(self, crew: Crew, scoop: Scoop) -> float:
        """Return how long a scoop in the box should stand on the tray."""
        return tempers_s(crew.truth, crew.session.state, scoop, crew.at)

    def is_good(self, crew: Crew, scoop: Scoop) -> bool:
        """Whether a scoop in the line came out well, as far as it is known."""
        return crew.truth.good(scoop.number)

    def locked_at(self, crew: Crew) -> float:
        """Return when the last lock will be, as far as it is known."""
        return crew.locked_at

    def _placed(self, crew: Crew, waiting: Mapping[str, list[Scoop]]) -> bool:
        """Begin the best way to go on, where it is time for one; return whether anything was begun."""
        heroes = crew.standing()
        if len(heroes) == len(crew.shot.heroes) and crew.at < self._ends(crew) - crew.carry_s:
            return False
        best = max(self._ways(crew, heroes, waiting), key=lambda way: way.worth, default=None)
        if best is None or best.worth <= 0.0:
            return False
        if best.does == "out":
            crew.out([hero.number for hero in best.out])
        elif best.does == "swap":
            crew.place("swap", {"out": best.out[0].number, "in": best.into[0].number, "spot": best.out[0].spot})
        else:
            self._bring(crew, best.into)
        return True

    @staticmethod
    def _bring(crew: Crew, scoops: Sequence[Scoop]) -> None:
        spots = list(free_spots(crew.session.state))
        given: dict[str, list[object]] = {"scoops": [], "flavours": [], "spots": []}
        for scoop in scoops:
            spot = next(one for one in spots if one[0] == scoop.flavour)
            spots.remove(spot)
            given["scoops"].append(scoop.number)
            given["flavours"].append(scoop.flavour)
            given["spots"].append(spot[1])
        crew.place("hero_in", given)

    def _ways(self, crew: Crew, heroes: Sequence[Scoop], waiting: Mapping[str, list[Scoop]]) -> Iterator[_Way]:
        carry = crew.carry_s
        free = [flavour for flavour, _ in free_spots(crew.session.state)]
        if free:
            into = _first(waiting, free)
            if into:
                yield _Way("in", self._worth(crew, heroes, into, carry), into=into)
        ending = sorted(heroes, key=lambda hero: self.stands(crew, hero).end)
        for count in range(1, len(ending) + 1 if not free else 1):
            into = _first(waiting, [hero.flavour for hero in ending[:count]])
            if into:
                worth = self._worth(crew, ending[count:], into, carry * count)
                yield _Way(
                    "swap", worth, (ending[0],), (next(one for one in into if one.flavour == ending[0].flavour),)
                )
        into = _first(waiting, [hero.flavour for hero in crew.shot.heroes])
        if into and ending:
            yield _Way("out", self._worth(crew, (), into, OUT_S + carry), tuple(ending))

    def _worth(self, crew: Crew, standing: Sequence[Scoop], coming: Sequence[Scoop], seconds: float) -> float:
        """Return the good frames a second of heroes that stand and of those that come within some seconds."""
        windows = [self.stands(crew, hero) for hero in standing] + [self._window(crew, one) for one in coming]
        opens = max(crew.at + seconds + float(crew.shot.dressing_s), *(one.start for one in windows))
        frames = _fit(crew, opens, min(one.end for one in windows))
        return frames / (opens - crew.at + frames * float(crew.shot.between_s)) if frames else 0.0

    def _ends(self, crew: Crew) -> float:
        return min((self.stands(crew, hero).end for hero in crew.standing()), default=crew.at)

    def _left(self, crew: Crew) -> int:
        """Return the good frames that are still wanted beyond what the heroes on set have left."""
        heroes = crew.standing()
        if len(heroes) < len(crew.shot.heroes):
            return crew.wanted
        opens = max(crew.at, *(self.stands(crew, hero).start for hero in heroes))
        return crew.wanted - _fit(crew, opens, self._ends(crew))

    def _tempered(self, crew: Crew, waiting: Mapping[str, list[Scoop]]) -> bool:
        """Have a scoop of the next group moved to the tray, so that it opens as its dressing ends."""
        if self._left(crew) <= 0:
            return False
        clear = max(crew.at, self._ends(crew) if crew.standing() else self.locked_at(crew))
        whole = bool(_first(waiting, [hero.flavour for hero in crew.shot.heroes]))
        for flavour, spots in Counter(hero.flavour for hero in crew.shot.heroes).items():
            for scoop in waiting[flavour][:spots] if whole else ():
                lasts = self.tempers_s(crew, scoop) if scoop.place == "box" else 0.0
                if lasts > 2 * MOVES_IN_S and clear - crew.at <= lasts + MOVES_IN_S:
                    crew.do("move", {"scoop": scoop.number, "to": "tray"}, MOVES_IN_S)
                    return True
        return False

    def _pull(self, crew: Crew) -> None:
        """Have one pulled of the flavour of which fewest wait, where more are wanted than wait."""
        wanted = self._left(crew)
        spots = Counter(hero.flavour for hero in crew.shot.heroes)
        line = [one for one in crew.session.state.line() if self.is_good(crew, one) and self._serves(crew, one)]
        whole = {flavour: sum(one.flavour == flavour for one in line) / count for flavour, count in spots.items()}
        for number in range(int(min(whole.values()))):
            group = [one for flavour, count in spots.items() for one in _of(line, flavour, number, count)]
            windows = [self._window(crew, one) for one in group]
            opens = max(crew.at + float(crew.shot.dressing_s), *(one.start for one in windows))
            wanted -= _fit(crew, opens, min(one.end for one in windows))
        fewest = min(whole, key=lambda flavour: whole[flavour])
        if wanted > 0 and whole[fewest] < GROUPS_AHEAD:
            crew.pull({"flavour": fewest, "to": "box" if crew.plan.dry_ice.holding_box else "tray"})

    def _waiting(self, crew: Crew) -> dict[str, list[Scoop]]:
        """Return the scoops fit to be carried by flavour, those first that bring most frames a second."""
        line = [one for one in crew.session.state.line() if one.judged is not None and self._serves(crew, one)]
        worth = {one.number: self._worth(crew, (), (one,), crew.carry_s) for one in line}
        line.sort(key=lambda one: (-worth[one.number], one.number))
        return {hero.flavour: [one for one in line if one.flavour == hero.flavour] for hero in crew.shot.heroes}

    def _serves(self, crew: Crew, scoop: Scoop) -> bool:
        """Whether a waiting scoop would give any frame."""
        return self._worth(crew, (), (scoop,), crew.carry_s) > 0.0

    def _window(self, crew: Crew, scoop: Scoop) -> TrueWindow:
        """Return the window a waiting scoop would have if it were carried now."""
        there = (scoop.place, scoop.since)
        known = self._found.get(scoop.number)
        if known is None or known[0] != there or crew.at - known[1] >= KNOWN_FOR_S:
            window = self.would_stand(crew, scoop)
            known = self._found[scoop.number] = (there, crew.at, window)
        return known[2]


def carried(scoop: Scoop, at: float) -> Scoop:
    """Return a waiting scoop as it would be if its way to the set ended at session second `at`."""
    return scoop.moved("set", at)


def tempers_s(truth: Truth, state: State, scoop: Scoop, at: float) -> float:
    """Return how long a waiting scoop should stand on the tray so that its look opens as its dressing ends."""
    goals = targets(Product.of(truth._plan, scoop.flavour).mix)
    goal = {"crisp": goals.crisp, "sheen": goals.sheen}.get(state.shot.look if state.shot else "crisp")
    closed = Product.of(truth._plan, scoop.flavour).build.body.closed
    if goal is None or state.shot is None or closed:
        return 0.0
    climate, product, edge, slow = truth._edge(state, scoop, at)
    walk = climate.around("carry", at, product), truth._plan.carried_s
    there = climate.around("set", at, product, lit=True), state.shot.dressing_s
    tray = climate.around("tray", at, product)
    return float(product.tempers_in(tray, (walk, there), edge.h, goal, slow))


def _first(waiting: Mapping[str, list[Scoop]], flavours: Sequence[str]) -> tuple[Scoop, ...]:
    """Return the first waiting scoops of some flavours; none where one is lacking."""
    wanted = Counter(flavours)
    if any(len(waiting[flavour]) < count for flavour, count in wanted.items()):
        return ()
    return tuple(scoop for flavour, count in wanted.items() for scoop in waiting[flavour][:count])


def _of(line: Sequence[Scoop], flavour: str, group: int, count: int) -> list[Scoop]:
    return [one for one in line if one.flavour == flavour][group * count : (group + 1) * count]


def _fit(crew: Crew, opens: float, ends: float) -> int:
    """Return the good frames that fit, no more than are wanted."""
    if not ends > opens:
        return 0
    span = ends - opens
    return min(crew.wanted, int(span // float(crew.shot.between_s)) + 1) if math.isfinite(span) else crew.wanted
