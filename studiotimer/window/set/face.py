"""What the clock, the cue and the tiles say at a moment: arithmetic on the forecast, no widgets."""

from __future__ import annotations

import math
from collections.abc import Sequence, Set
from typing import NamedTuple

from studiotimer.prep.looks import AIMS
from studiotimer.session.countdowns import Band, Forecast, HeroForecast, LineForecast, Pace, ShotWindow
from studiotimer.session.scoops import numbers
from studiotimer.session.state import State
from studiotimer.thermal.horizon import HORIZON_S
from studiotimer.units import duration, long_duration
from studiotimer.window import theme
from studiotimer.window.ribbon import stage_colour
from studiotimer.window.set.flavours import Palette
from studiotimer.window.set.tiles import Tile

HOUR_S = 3600
FAR = 1.3
"""A look that makes things this many times longer, or shorter, than was thought may be a slip."""
LEFT = "life left"
FINEST = 256
"""Into how many parts a tile's small ribbon is divided: what nobody sees move has no tile drawn anew."""


class Face(NamedTuple):
    """The clock: how long until the first window ends, in which stage the hero that ends it is, and how that stands.

    Without a hero there are no figures.
    """

    words: str
    detail: str
    colour: str = theme.DARK.quiet
    label: str = LEFT


def clock(forecast: Forecast | None, state: State, now: float) -> Face:
    """Return what the clock shows at session second `now`."""
    window = forecast.window if forecast else None
    if window is None or forecast is None:
        return Face("", "working out" if state.heroes() else "", label=LEFT if state.heroes() else "no hero on set")
    last = forecast.on_set(window.ended_by)
    stage = stage_at(last, now) if last else ""
    colour = theme.lightened(stage_colour(stage)) if stage else theme.CREAM
    if not math.isfinite(window.end.likely):
        return Face("3 h", f"at least; {_said(stage, _standing(forecast, state, now))}", colour)
    look = state.shot.look if state.shot else "crisp"
    if look in AIMS:
        return Face(_about(window.end.likely - now), _said(stage, _aim(AIMS[look], window, now)), colour)
    return Face(figures(window.end.likely - now), _said(stage, _standing(forecast, state, now)), colour)


def _said(stage: str, standing: str) -> str:
    return f"{stage}, {standing}" if stage else standing


def _aim(does: str, window: ShotWindow, now: float) -> str:
    """Return what a melt is told by: a span, and no seconds that nobody can know."""
    if now < window.start.likely:
        return f"{does} in {_between(window.start, now)}"
    if now <= window.end.likely:
        return f"{does}, ends in {_between(window.end, now)}"
    return f"window ended {_about(now - window.end.likely)} ago"


def _between(band: Band, now: float) -> str:
    late = _about(band.late - now) if math.isfinite(band.late) else "over 3 h"
    return f"{_about(band.early - now)} to {late}"


def _about(seconds: float) -> str:
    """Return a time to the nearest 10 s, from 10 min on to the minute."""
    step = 10.0 if seconds < 600.0 else 60.0
    return figures(step * round(max(seconds, 0.0) / step))


def figures(seconds: float) -> str:
    """Return a time left, never below 0:00; hours are written as such, so that they are no minutes."""
    whole = int(max(seconds, 0.0) + 1e-9)
    return duration(whole) if whole < HOUR_S else f"{whole // HOUR_S} h {whole % HOUR_S // 60:02d}"


def stage_at(hero: HeroForecast, now: float) -> str:
    """Return the stage a hero is in at session second `now`."""
    reached = [index for index, band in enumerate(hero.changes.begun, 1) if band.likely <= now]
    return hero.changes.stages[max(reached, default=0)]


def _standing(forecast: Forecast, state: State, now: float) -> str:
    """Return how the window stands: still to open, open, or ended."""
    window = forecast.window
    assert window is not None
    if now > window.end.likely:
        return f"window ended {duration(now - window.end.likely)} ago"
    if now >= window.start.likely:
        return "in the window"
    dressed = _dressed_at(forecast, state)
    opens = f"window opens in {duration(math.ceil(window.start.likely - now))}"
    if window.start.likely >= window.end.likely:
        opens = "no window in common"
    return f"dressing, {opens}" if now < dressed else opens


def _dressed_at(forecast: Forecast, state: State) -> float:
    dressing = state.shot.dressing_s if state.shot else 0.0
    return max((hero.since for hero in forecast.heroes if hero.hero), default=-math.inf) + dressing


def beside(forecast: Forecast | None, state: State, now: float) -> str:
    """Return the line beside the figures: since when heroes are in, dressing, the opening, what they likely have."""
    if forecast is None or forecast.window is None:
        return ""
    window = forecast.window
    parts = [f"on set {duration(now - min(hero.since for hero in forecast.heroes if hero.hero))}"]
    if now < (dressed := _dressed_at(forecast, state)):
        parts.append(f"dressing {duration(math.ceil(dressed - now))} more")
    running = {pour.what: pour.until for hero in forecast.heroes for pour in hero.pours if pour.at <= now < pour.until}
    parts += [f"{what} runs {duration(math.ceil(until - now))} more" for what, until in running.items()]
    if now < window.start.likely < window.end.likely:
        parts.append(f"window opens in {duration(math.ceil(window.start.likely - now))}")
    if math.isfinite(window.end.late) and window.end.late > now:
        early, late = max(window.end.early - now, 0.0), window.end.late - now
        parts.append(f"likely {duration(early)} to {duration(late)} left")
    return ", ".join(parts)


def placed_now(forecast: Forecast | None, state: State, now: float) -> str:
    """Return what the best scoops of the line would have together if they were placed now."""
    chosen = _next_heroes(forecast, state) if forecast else []
    if not chosen:
        return ""
    which = numbers(sorted(one.scoop for one in chosen))
    spans = [one.placed(now) for one in chosen]
    start, end = max(span[0] for span in spans), min(span[1] for span in spans)
    placed = f"if {which} were placed now"
    if not math.isfinite(start) or start >= end:
        return f"{placed}: no window"
    ends = duration(end) if math.isfinite(end) else "over 3 h"
    opening = f", open from {duration(start)}" if start >= 1.0 else ""
    return f"{placed}: window to {ends}{opening}"


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


def pace_words(pace: Pace) -> str:
    """Return how this set compares with the forecast, once something was seen on it."""
    percent = round(100.0 * abs(1.0 - pace.factor))
    if pace.seen == 0 or percent < 1:
        return ""
    return f"scoops last {percent} % {'longer' if pace.factor > 1 else 'shorter'} here than forecast"


def leap_words(leap: float, key: str) -> str:
    """Return what to say of a change that made every countdown `leap` times as long; nothing of one like others."""
    if 1 / FAR <= leap <= FAR:
        return ""
    how = f"{round(100 * (leap - 1))} % longer" if leap > 1 else f"{round(100 * (1 - leap))} % shorter"
    return f"That change made countdowns {how}. If it was a slip, {key} takes it back."


def tiles(
    forecast: Forecast | None, state: State, now: float, palette: Palette, cued: Set[int] = frozenset()
) -> list[Tile]:
    """Return the line as tiles, in the order the scoops will be used; `cued` are those that the cue names.

    A scoop that came after `now`, which the page has in half seconds, came just now.
    """
    waiting = {scoop.number: scoop for scoop in state.line()}
    known = {one.scoop: one for one in forecast.line} if forecast else {}
    ranked = [number for number in known if number in waiting]
    ranked += [number for number in waiting if number not in known]
    ordered = in_turns([waiting[number].flavour for number in ranked], state)
    longest = max((one.placed(now)[1] for one in known.values() if math.isfinite(one.placed(now)[1])), default=60.0)
    made = []
    for scoop in (waiting[ranked[index]] for index in ordered):
        one = known.get(scoop.number)
        span = one.placed(now) if one else None
        shoot, ends = _to_shoot(span)
        made.append(
            Tile(
                scoop.number,
                scoop.flavour,
                f"{scoop.where} {_since(max(now - scoop.since, 0.0))}",
                shoot,
                ends,
                f"pulled {_since(max(now - scoop.pulled, 0.0))} ago" + (", assumed" if scoop.assumed else ""),
                scoop.judged or "",
                palette.forms(scoop.flavour),
                palette.colour(scoop.flavour),
                _shares(span, 1.25 * longest),
                scoop.number in cued,
                faint=scoop.judged == "spare",
                place=scoop.where,
            )
        )
    return made


def _to_shoot(span: tuple[float, float] | None) -> tuple[str, str]:
    """Return how long frames could be taken of a scoop placed now, and when that would end, in words."""
    if span is None:
        return "–:––", ""
    start, end = span
    if not math.isfinite(start) or start >= end:
        return "no window", ""
    return (figures(end - start), f"ends {figures(end)}") if math.isfinite(end) else ("over 3 h", "")


def _shares(span: tuple[float, float] | None, whole: float) -> tuple[float, float] | None:
    """Return where the window of a scoop placed now begins and ends, as shares of `whole` seconds."""
    if span is None or not math.isfinite(span[0]) or span[0] >= span[1]:
        return None
    first, last = (round(min(at / whole, 1.0) * FINEST) / FINEST for at in span)
    return first, last


def _since(seconds: float) -> str:
    """Return how long ago something was, to the second while it matters."""
    if seconds < HORIZON_S:
        return duration(seconds)
    return f"{seconds / 3600:.0f} h" if seconds < 48 * 3600 else long_duration(seconds)


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
