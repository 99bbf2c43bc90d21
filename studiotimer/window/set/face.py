"""What the clock, the cue and the tiles say at a moment: arithmetic on the forecast, no widgets."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from studiotimer.prep.looks import AIMS
from studiotimer.session.countdowns import Band, Forecast, HeroForecast, LineForecast, Pace, ShotWindow
from studiotimer.session.scoops import numbers
from studiotimer.session.state import State
from studiotimer.thermal.horizon import HORIZON_S
from studiotimer.units import duration
from studiotimer.window import theme
from studiotimer.window.set.tiles import Tile, placed_words

FAR = 1.3
"""A look that makes things this many times longer, or shorter, than was thought may be a slip."""

Standing = Literal["idle", "coming", "running", "past"]
_STANDING_COLOURS: dict[Standing, str] = {
    "idle": theme.DARK.quiet,
    "coming": theme.FROST,
    "running": theme.CREAM,
    "past": theme.DARK.warning,
}


@dataclass(frozen=True)
class Face:
    """The clock: its figures, what they count, and how that stands."""

    words: str
    label: str
    standing: Standing

    @property
    def colour(self) -> str:
        """The colour that tells how it stands, beside the words that say so."""
        return _STANDING_COLOURS[self.standing]


def clock(forecast: Forecast | None, state: State, now: float) -> Face:
    """Return what the clock shows at session second `now`."""
    if forecast is None:
        return Face("", "working out", "idle")
    window = forecast.window
    if window is None:
        return _waiting_clock(forecast, state, now)
    if not math.isfinite(window.end.likely):
        return Face("3:00:00", "working time, at least", "running")
    look = state.shot.look if state.shot else "crisp"
    if look in AIMS:
        return _aim(AIMS[look], window, now)
    if now < window.start.likely and math.isfinite(window.start.likely):
        what = _before(forecast, state, now)
        return Face(duration(math.ceil(window.start.likely - now)), what, "coming")
    left = window.end.likely - now
    if left >= 0:
        return Face(duration(left), "working time", "running")
    return Face(f"+{duration(-left)}", "past the window", "past")


def _aim(does: str, window: ShotWindow, now: float) -> Face:
    """Return what a melt is told by: a span, and no seconds that nobody can know."""
    if now < window.start.likely:
        return Face(_about(window.start.likely - now), f"{does} in {_between(window.start, now)}", "coming")
    if now <= window.end.likely:
        return Face(_about(window.end.likely - now), f"{does}, ends in {_between(window.end, now)}", "running")
    return Face(f"+{_about(now - window.end.likely)}", "past the window", "past")


def _between(band: Band, now: float) -> str:
    late = _about(band.late - now) if math.isfinite(band.late) else "over 3 h"
    return f"{_about(band.early - now)} to {late}"


def _about(seconds: float) -> str:
    """Return a time to the nearest 10 s, from 10 min on to the minute."""
    step = 10.0 if seconds < 600.0 else 60.0
    return duration(step * round(max(seconds, 0.0) / step))


def _waiting_clock(forecast: Forecast, state: State, now: float) -> Face:
    """Return what the best scoops of the line would have together if they were placed now."""
    chosen = _next_heroes(forecast, state)
    if not chosen:
        return Face("", "nothing in the line", "idle")
    end = min(one.placed(now)[1] for one in chosen)
    which = numbers(sorted(one.scoop for one in chosen))
    label = f"if {which} {'were' if len(chosen) > 1 else 'was'} placed now"
    if not math.isfinite(end):
        return Face("3:00:00", f"{label}, at least", "idle")
    return Face(duration(end), label, "idle")


def _next_heroes(forecast: Forecast, state: State) -> list[LineForecast]:
    """Return the best waiting scoop for each spot of the shot that has one; without a shot, the best of all."""
    left = list(forecast.line)
    wanted = state.shot.flavours if state.shot and state.shot.flavours else [one.flavour for one in left[:1]]
    chosen = []
    for flavour in wanted:
        best = next((one for one in left if one.flavour == flavour), None)
        if best is not None:
            left.remove(best)
            chosen.append(best)
    return chosen


def _before(forecast: Forecast, state: State, now: float) -> str:
    """Return what passes before the window: dressing, or the look still to come."""
    look = state.shot.look if state.shot else "crisp"
    dressing = state.shot.dressing_s if state.shot else 0.0
    newest = max((hero.since for hero in forecast.heroes if hero.hero), default=now)
    return "dressing, window opens in" if now < newest + dressing else f"{look} in"


def hero_lines(forecast: Forecast | None, now: float) -> list[str]:
    """Return the lines below the cue: since when heroes are in, how long they likely have, which goes first."""
    if forecast is None or forecast.window is None:
        return []
    heroes = [hero for hero in forecast.heroes if hero.hero]
    newest = max(hero.since for hero in heroes)
    window = forecast.window
    lines = [f"on set for {duration(now - newest)}"]
    if math.isfinite(window.end.late) and window.end.late > now:
        early, late = max(window.end.early - now, 0.0), window.end.late - now
        lines[0] += f"; likely {duration(early)} to {duration(late)} left"
    if len(heroes) > 1:
        last = forecast.on_set(window.ended_by)
        lines.append(f"{_spot(last)} ends first" if last else "")
    return [line for line in lines if line]


def pace_words(pace: Pace) -> str:
    """Return how this set compares with the book, once something was seen on it."""
    percent = round(100.0 * abs(1.0 - pace.factor))
    if pace.seen == 0 or percent < 1:
        return ""
    return f"this set runs {percent} % {'slower' if pace.factor > 1 else 'quicker'} than the book"


def leap_words(leap: float, key: str) -> str:
    """Return what to say of a look that made every countdown `leap` times as long; nothing of one like others."""
    if 1 / FAR <= leap <= FAR:
        return ""
    how = f"{round(100 * (leap - 1))} % longer" if leap > 1 else f"{round(100 * (1 - leap))} % shorter"
    return f"That look made countdowns {how}. If it was a slip, {key} takes it back."


def _spot(hero: HeroForecast) -> str:
    return f"{hero.scoop} {hero.flavour}"


def tiles(forecast: Forecast | None, state: State, now: float) -> list[Tile]:
    """Return the line as tiles, in the order the scoops will be used."""
    waiting = {scoop.number: scoop for scoop in state.line()}
    known = {one.scoop: one for one in forecast.line} if forecast else {}
    ranked = [number for number in known if number in waiting]
    ranked += [number for number in waiting if number not in known]
    ordered = in_turns([waiting[number].flavour for number in ranked], state)
    made = []
    for index in ordered:
        scoop = waiting[ranked[index]]
        one = known.get(scoop.number)
        made.append(
            Tile(
                scoop.number,
                scoop.flavour,
                f"in {scoop.place} {_since(now - scoop.pulled)}"
                if scoop.place != "tray"
                else f"on tray {_since(now - scoop.pulled)}",
                _placed(one, now),
                " ".join(part for part in (scoop.judged or "", "assumed" if scoop.assumed else "") if part),
                faint=scoop.judged == "spare",
            )
        )
    return made


def _since(seconds: float) -> str:
    """Return how long ago a scoop was pulled, to the second while it matters."""
    if seconds < HORIZON_S:
        return duration(seconds)
    return f"{seconds / 3600:.0f} h" if seconds < 48 * 3600 else f"{seconds / 86400:.0f} days"


def in_turns(flavours: Sequence[str], state: State) -> list[int]:
    """Return the order in which ranked scoops of these flavours are used: one of each of the shot's spots in turn."""
    wanted = list(state.shot.flavours) if state.shot else []
    left = list(range(len(flavours)))
    order: list[int] = []
    while left and any(flavours[index] in wanted for index in left):
        for flavour in wanted:
            index = next((one for one in left if flavours[one] == flavour), None)
            if index is not None:
                left.remove(index)
                order.append(index)
    return order + left


def _placed(one: LineForecast | None, now: float) -> str:
    return placed_words(*one.placed(now)) if one else "–:––"
