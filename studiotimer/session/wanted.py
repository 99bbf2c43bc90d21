"""What the current shot still wants: frames, heroes, scoops waiting; and how long a hero serves it (own rules)."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from studiotimer.prep.plan import Plan
from studiotimer.session.countdowns import Forecast, LineForecast
from studiotimer.session.desk import Desk, best_of
from studiotimer.session.state import State

USUAL_FRAMES, USUAL_BETWEEN_S = 8, 6.0
"""What a take is taken for where the plan does not know the shot."""
GOES_ON_S = 60.0
"""So long after the next frame was due a crew that has all of them takes no more: it looks at them (own rule)."""
LITTLE_LESS = 0.7
"""A scoop on the tray goes first where its window is more than this share of the best one's (own rule)."""


class Take(NamedTuple):
    """What a take is: its frames, and the seconds from one to the next; `left` frames are still wanted of the shot."""

    frames: int
    between_s: float
    left: int
    told: bool
    """Whether frames of this shot have been logged, so that `left` is known."""

    @property
    def seconds(self) -> float:
        """The seconds that what is left of a take needs within a window."""
        return (min(self.left, self.frames) - 1) * self.between_s

    def fit(self, seconds: float) -> int:
        """Return how many frames fit into a window of some seconds; into one without an end all that are wanted."""
        if math.isinf(seconds):
            return self.left
        return int(seconds // self.between_s) + 1 if seconds > 0 else 0


def frames_planned(state: State, plan: Plan) -> int | None:
    """Return how many frames the plan wants of the current shot in all; None of one that it does not know."""
    planned = plan.shot_named(state.shot_name)
    return None if state.shot is None or planned is None else state.shot.takes * planned.frames


def take_of(state: State, plan: Plan) -> Take:
    """Return what a take of the current shot is; a shot that the plan does not know has a usual one."""
    shot = state.shot
    name = shot.name if shot else ""
    planned = plan.shot_named(name)
    frames, between_s = (planned.frames, float(planned.between_s)) if planned else (USUAL_FRAMES, USUAL_BETWEEN_S)
    taken = state.frames_of.get(name, 0)
    left = max((shot.takes if shot else 1) * frames - taken, 1)
    return Take(frames, between_s, left, taken > 0)


def shooting(state: State) -> bool:
    """Whether a shot is being made: it has begun and is not got, and nothing holds."""
    return state.shot is not None and not state.shot_got and state.hold is None


def heroes_wanted(desk: Desk) -> bool:
    """Whether heroes are, and what waits for them: of a shot that is being made, until it has all its frames."""
    return shooting(desk.state) and not has_all(desk)


def has_all(desk: Desk) -> bool:
    """Whether every frame that the plan wants of the current shot is taken and the crew does not go on.

    It does while it takes frames beyond them, with a hero brought since, and with the shot begun anew (own rule).
    """
    state, planned = desk.state, frames_planned(desk.state, desk.plan)
    if planned is None or state.last_frame is None or state.again or state.frames == state.frames_before_take:
        return False
    taken, last = state.frames_of.get(state.shot_name or "", 0), state.last_frame[1]
    came = max((hero.since for hero in state.heroes()), default=-math.inf)
    beyond = taken > planned and desk.at <= last + take_of(state, desk.plan).between_s + GOES_ON_S
    return taken >= planned and came <= last and not beyond


def flavours_wanted(desk: Desk) -> tuple[str, ...]:
    """Return the flavours of the current shot, each once; none once it is got, or has all its frames."""
    shot = desk.state.shot
    return () if shot is None or desk.state.shot_got or has_all(desk) else tuple(dict.fromkeys(shot.flavours))


def spares_of(state: State) -> Counter[str]:
    """Return the planned spares of the current shot by flavour, shared among its flavours in turn."""
    shot = state.shot
    if shot is None:
        return Counter()
    flavours = list(dict.fromkeys(shot.flavours))
    each, more = divmod(shot.spares, max(len(flavours), 1))
    return Counter({flavour: each + (place < more) for place, flavour in enumerate(flavours)})


def usable_s(one: LineForecast, at: float) -> float:
    """Return how long the window would be, dressing left out, if a waiting scoop were placed at `at`."""
    start, end = one.placed(at)
    return max(end - start, 0.0) if math.isfinite(start) else 0.0


def chosen(
    desk: Desk, forecast: Forecast | None, flavours: Iterable[str], leaving_out: Sequence[int] = ()
) -> list[int]:
    """Return the scoop for each of some flavours that is best brought now, those that there are.

    The best waiting one; but one on the tray, tempered for this, before a frosted one that lasts little longer.
    """
    found: list[int] = []
    for flavour in flavours:
        best = best_of(desk, flavour, [*leaving_out, *found])
        ready = _ready(desk, forecast, flavour, best, [*leaving_out, *found])
        if best is not None:
            found.append(best if ready is None else ready)
    return found


def _ready(
    desk: Desk, forecast: Forecast | None, flavour: str, best: int | None, leaving_out: Sequence[int]
) -> int | None:
    line = [one for one in forecast.line if one.flavour == flavour and one.scoop not in leaving_out] if forecast else []
    lasts = max((usable_s(one, desk.at) for one in line if one.scoop == best), default=0.0)
    tray = [one for one in line if _on_tray(desk, one.scoop) and usable_s(one, desk.at) > LITTLE_LESS * lasts]
    return max(tray, key=lambda one: usable_s(one, desk.at)).scoop if tray else None


def _on_tray(desk: Desk, number: int) -> bool:
    scoop = desk.state.scoops.get(number)
    return scoop is not None and scoop.waiting and scoop.place == "tray"


def serves_s(desk: Desk, forecast: Forecast | None, flavours: Iterable[str]) -> float:
    """Return how long a hero of those flavours serves: the shortest usable window of their best waiting scoops."""
    best: dict[str, float] = {}
    for one in forecast.line if forecast else ():
        best[one.flavour] = max(best.get(one.flavour, 0.0), usable_s(one, desk.at))
    for hero in forecast.heroes if forecast else ():
        if hero.hero and math.isfinite(hero.start.likely):
            best[hero.flavour] = max(best.get(hero.flavour, 0.0), hero.end.likely - hero.start.likely)
    known = [best[flavour] for flavour in flavours if flavour in best]
    return min(known, default=0.0)
