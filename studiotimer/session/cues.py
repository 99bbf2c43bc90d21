"""What the program asks of the crew: each cue a verb and a time, the most urgent first. Pure."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from studiotimer.session.countdowns import Forecast, HeroForecast, LineForecast
from studiotimer.session.defaults import filled
from studiotimer.session.desk import Desk, NoDefaultError, best_of, free_spots, next_shot
from studiotimer.session.pulling import placed_in_shot, pull_to_set_by, still_wanted
from studiotimer.session.scoops import numbers
from studiotimer.units import duration

Sound = Literal["pull", "thirty", "swap"]

READY_SHARE = 0.9
TUB_OUT_S = 300.0  # own rule
FOG_S = 60.0  # own rule
LAMP_ON_S = 60.0  # own rule
MOVE_LEAD_S = 60.0  # own rule
SOON_S = 600.0
NOW_S = 1.0


@dataclass(frozen=True)
class Cue:
    """Something asked of a person: what to do, from which session second on, and the call it makes.

    `kind` is None when there is nothing to call ("wait for the fog").
    """

    kind: str | None
    words: str
    due: float
    given: Mapping[str, Any] = field(default_factory=dict)
    sound: Sound | None = None

    def said_at(self, now: float) -> str:
        """Return the cue as a verb and a time: "Pull pistachio in 0:40"."""
        return f"{self.words} {self.ahead_at(now)}".rstrip()

    def ahead_at(self, now: float) -> str:
        """Return how long until it is due, "in 0:40"; empty once it is."""
        ahead = self.due - now
        return "" if ahead < NOW_S or not math.isfinite(ahead) else f"in {duration(ahead)}"


def cues(desk: Desk, forecast: Forecast | None) -> list[Cue]:
    """Return every cue that stands, the most urgent first; never empty, the last resort is what comes later."""
    ready, fog, top_ups = list(_heroes(desk)), list(_fog(desk)), list(_top_ups(desk, forecast))
    first_ice = not desk.state.heroes() and _iced_at(desk) < _empty_since(desk)
    found = [
        *_resume(desk),
        *_shots(desk),
        *_swaps(desk, forecast),
        *_locks(desk),
        *(top_ups if first_ice else ()),
        *(fog if ready else ()),
        *(_light(desk) if ready else ()),
        *ready,
        *_running_out(desk, forecast),
        *_pulls(desk, forecast),
        *(() if ready else fog),
        *(() if first_ice else top_ups),
        *_tubs(desk),
        *(() if ready else _lamps(desk)),
    ]
    standing = [cue for cue in found if cue.due <= desk.at + SOON_S]
    standing.sort(key=lambda cue: max(cue.due, desk.at))
    return standing or [_fallback(desk, found)]


def _fallback(desk: Desk, found: list[Cue]) -> Cue:
    later = min(found, key=lambda cue: cue.due, default=None)
    return later or Cue(None, "Nothing to call", desk.at)


def _shooting(desk: Desk) -> bool:
    """Whether pulls and swaps are cued: a shot has begun and is not got, nothing holds, all locks are on."""
    state = desk.state
    return state.shot is not None and state.shot.name not in state.got and state.hold is None and _locked(desk)


def _locked(desk: Desk) -> bool:
    return all(desk.state.locks.values())


def _action(kind: str, desk: Desk, words: str, due: float, sound: Sound | None = None, **given: Any) -> Iterable[Cue]:
    """Yield a cue for a call with what is filled in for it, unless there is nothing to fill in."""
    asked = Desk(desk.ledger, desk.plan, desk.at, desk.best, desk.ending, None, given)
    try:
        fields = filled(kind, asked)
    except NoDefaultError:
        return
    yield Cue(kind, words.format(**{key: _shown(value) for key, value in fields.items()}), due, given, sound)


def _shown(value: Any) -> str:
    return numbers(value) if isinstance(value, list | tuple) and value and isinstance(value[0], int) else str(value)


def _fog(desk: Desk) -> Iterable[Cue]:
    if _clear_at(desk) > desk.at:
        yield Cue(None, "Wait for the fog", desk.at)


def _clear_at(desk: Desk) -> float:
    """Return when the fog of the dry ice put down last has settled; long ago where there is none."""
    cleared = max(desk.state.cleared["set"], default=-math.inf)
    return _iced_at(desk) + FOG_S if cleared < _iced_at(desk) else -math.inf


def _iced_at(desk: Desk) -> float:
    """Return when dry ice was last put down on set."""
    return max((charge.at for charge in desk.state.charges["set"]), default=-math.inf)


def _empty_since(desk: Desk) -> float:
    """Return since when this shot has had no hero: its beginning, or when the last one left."""
    left = (scoop.since for scoop in desk.state.scoops.values() if scoop.hero and not scoop.on_set)
    return max((desk.state.shot_since, *left))


def _light(desk: Desk) -> Iterable[Cue]:
    """Yield a cue for the light that the heroes are reckoned in, where it is off."""
    shot = desk.state.shot
    if shot is not None and shot.lux > 0 and not desk.state.lamp_on:
        yield Cue("lamp", "Lamp on", desk.at, {"on": True})


def _locks(desk: Desk) -> Iterable[Cue]:
    state = desk.state
    if state.shot is None or state.shot.name in state.got or state.hold is not None:
        return
    missing = next((lock for lock, on in state.locks.items() if not on), None)
    if missing is not None:
        yield Cue("lock", f"Lock {missing}", desk.at, {"which": missing, "on": True})


def _swaps(desk: Desk, forecast: Forecast | None) -> Iterable[Cue]:
    state = desk.state
    if forecast is None or state.shot is None or state.shot.name in state.got or state.hold is not None:
        return
    heroes = [hero for hero in forecast.heroes if hero.hero and math.isfinite(hero.end.likely)]
    wanted, coming = still_wanted_on_set(desk), list[int]()
    for hero in sorted(heroes, key=lambda hero: hero.end.likely):
        best = best_of(desk, hero.flavour, coming)
        if best is not None and wanted[hero.flavour] > 0:
            coming.append(best)
            wanted[hero.flavour] -= 1
            given = {"out": hero.scoop, "in": best}
            yield Cue("swap", f"Swap {hero.spot}: {best} replaces {hero.scoop}", hero.end.likely, given, "swap")
        elif wanted[hero.flavour] <= 0 or hero.end.likely <= desk.at:
            yield Cue("out", f"Out {hero.scoop} {hero.flavour}", hero.end.likely, {"scoops": [hero.scoop]}, "swap")


def still_wanted_on_set(desk: Desk) -> Counter[str]:
    """Return how many more heroes of each flavour the current shot wants placed, spares left out."""
    shot = desk.state.shot
    if shot is None:
        return Counter()
    used = placed_in_shot(desk.state, shot.name)
    return Counter({flavour: count * shot.takes - used[flavour] for flavour, count in Counter(shot.flavours).items()})


def _pulls(desk: Desk, forecast: Forecast | None) -> Iterable[Cue]:
    if not _shooting(desk):
        return
    wanted = still_wanted(desk.state)
    waiting = Counter(scoop.flavour for scoop in desk.state.line())
    lead = pull_to_set_by(desk.state, desk.plan, READY_SHARE)
    for flavour in sorted(wanted, key=lambda name: waiting[name]):
        ends = sorted(_ends(forecast, flavour))
        free = sum(1 for one, _ in free_spots(desk.state) if one == flavour)
        covered = waiting[flavour] - free
        if covered < 0:
            due = desk.at
        elif covered < len(ends):
            due = max(ends[covered] - lead, desk.at)
        else:
            continue
        if math.isfinite(due):
            yield from _action("pull", desk, "Pull {flavour}", due, "pull", flavour=flavour)


def _ends(forecast: Forecast | None, flavour: str) -> list[float]:
    """Return when the windows of the heroes of a flavour end, early."""
    heroes: Iterable[HeroForecast] = forecast.heroes if forecast else ()
    return [hero.end.early for hero in heroes if hero.hero and hero.flavour == flavour]


def _running_out(desk: Desk, forecast: Forecast | None) -> Iterable[Cue]:
    """Yield a cue for a waiting scoop whose window is closing where it waits."""
    if forecast is None:
        return
    for one in forecast.line:
        scoop = desk.state.scoops.get(one.scoop)
        closes = _closes(one)
        if scoop is None or not scoop.waiting or closes is None:
            continue
        if scoop.place == "tray" and closes > desk.at:
            in_time = max(closes - MOVE_LEAD_S, desk.at)
            to = desk.cold_store
            yield Cue("move", f"Move {one.scoop} to the {to}", in_time, {"scoop": one.scoop, "to": to})
        else:
            yield Cue("judge", f"Reject {one.scoop}, it is gone", closes, {"scoop": one.scoop, "as": "reject"})


def _closes(one: LineForecast) -> float | None:
    """Return when a scoop placed from where it waits would have no window left, None when not within the forecast."""
    step = 15.0
    for index in range(int(SOON_S / step) + 1):
        start, end = one.placed(one.at + index * step)
        if end - start <= 0.0:
            return one.at + index * step
    return None


def _top_ups(desk: Desk, forecast: Forecast | None) -> Iterable[Cue]:
    """Yield a cue to hold the plan's target; not before the heroes' window ends, since the fog is in the frame."""
    state = desk.state
    if state.shot is None or state.shot.name in state.got:
        return
    in_use = bool(desk.state.charges["set"]) or bool(desk.state.line()) or bool(desk.state.heroes())
    if forecast is not None and forecast.climate.top_up_at is not None and in_use:
        shooting_until = forecast.window.end.likely if forecast.window else desk.at
        due = max(forecast.climate.top_up_at, shooting_until if math.isfinite(shooting_until) else desk.at)
        yield Cue("top_up", "Top up the dry ice", due)


def _tubs(desk: Desk) -> Iterable[Cue]:
    for flavour, since in desk.state.tubs_out.items():
        yield Cue("tub_back", f"Tub of {flavour} back", since + TUB_OUT_S, {"flavour": flavour})


def _lamps(desk: Desk) -> Iterable[Cue]:
    state = desk.state
    hot = state.shot is not None and state.shot.lamp == "tungsten" and state.lamp_on
    if hot and not state.heroes() and not state.stand_ins() and not state.props:
        yield Cue("lamp", "Lamp off, no hero is on set", _bare_since(desk) + LAMP_ON_S, {"on": False})


def _bare_since(desk: Desk) -> float:
    """Return since when the lamp has shone on an empty set."""
    lit = next((light.at for light in reversed(tuple(desk.state.lights)) if light.on), desk.state.shot_since)
    left = (scoop.since for scoop in desk.state.scoops.values() if len(scoop.stays) > 1)
    return max(lit, max(left, default=lit))


def _shots(desk: Desk) -> Iterable[Cue]:
    state = desk.state
    if state.shot is None:
        yield from _action("shot", desk, "Begin {name}", desk.at)
    elif state.shot.name in state.got:
        if state.heroes():
            yield from _action("out", desk, "Out {scoops}", desk.at)
        elif (following := next_shot(desk)).name not in state.got:
            yield Cue("shot", f"Begin {following.name}", desk.at, {"name": following.name})


def _heroes(desk: Desk) -> Iterable[Cue]:
    """Yield hero in once the line has a scoop for every free spot, when the fog has settled."""
    if not _shooting(desk):
        return
    free = Counter(flavour for flavour, _ in free_spots(desk.state))
    waiting = Counter(scoop.flavour for scoop in desk.state.line())
    wanted = still_wanted_on_set(desk)
    if free and all(waiting[flavour] >= count and wanted[flavour] > 0 for flavour, count in free.items()):
        yield from _action("hero_in", desk, "Hero in {scoops}", max(desk.at, _clear_at(desk)))


def _resume(desk: Desk) -> Iterable[Cue]:
    if desk.state.hold is not None:
        yield Cue("resume", "Resume", desk.at)
