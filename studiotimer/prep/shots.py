"""Will each shot work: its window with and without dry ice, the frames that fit, the heroes it needs."""

from __future__ import annotations

import math
from dataclasses import dataclass

from studiotimer import units
from studiotimer.prep import pouring, standing
from studiotimer.prep.day import group_s
from studiotimer.prep.found import OWN_RULE, Found, counted
from studiotimer.prep.plan import Plan, Shot
from studiotimer.prep.remedies import Remedy, best, remedies
from studiotimer.prep.scene import usual_light
from studiotimer.prep.windows import Window, scoop_of, windows_of

LEAST_OF_A_TAKE = 3
"""Fewer frames than this are no take of their own (own rule)."""
_SOURCE = f"model of the edge and the body; looks: {OWN_RULE}"


@dataclass(frozen=True)
class ShotResult:
    """One shot as planned. `iced` is None when the plan has no dry ice; `group_s` is one group's time on set [s]."""

    name: str
    look: str
    plain: Found
    iced: Found | None
    frames_fit: Found
    groups: Found
    works: bool
    verdict: str
    tried: tuple[Remedy, ...]
    group_s: float
    foot: Found | None = None
    """What the foot will do and what helps, in one line; None where it is not said what the shot stands on."""
    sauces: tuple[Found, ...] = ()
    """How warm each sauce of its steps may be poured, and what the planned one would do."""
    plain_s: tuple[float, float] = (math.nan, math.nan)
    """From when to when it has its look straight from the freezer [s on set]; NaN where it never has."""
    iced_s: tuple[float, float] | None = None
    """The same with the plan's dry ice; None without any."""

    @property
    def said(self) -> tuple[Found, ...]:
        """What is said of it under its window, a line each."""
        return (*((self.foot,) if self.foot else ()), *self.sauces)

    def as_json(self) -> dict[str, object]:
        """Return the shot as JSON values."""
        return {
            "name": self.name,
            "look": self.look,
            "window": self.plain.as_json(),
            "window_with_dry_ice": self.iced.as_json() if self.iced else None,
            "frames_fit": self.frames_fit.as_json(),
            "heroes_needed": self.groups.as_json(),
            "works": self.works,
            "verdict": self.verdict,
            "foot": self.foot.as_json() if self.foot else None,
            "sauces": [sauce.as_json() for sauce in self.sauces],
            "tried": [remedy.as_json() for remedy in self.tried],
        }


def shots_of(plan: Plan, style: units.Style = "metric") -> tuple[ShotResult, ...]:
    """Return how each shot will go. Raises PlanError for an unknown mix or light."""
    windows = windows_of([(plan, shot, iced) for shot in plan.shots for iced in (False, True)])
    pairs = zip(windows[::2], windows[1::2], strict=True)
    return tuple(_shot(plan, shot, *pair, style) for shot, pair in zip(plan.shots, pairs, strict=True))


def groups_of(plan: Plan) -> dict[str, int]:
    """Return how many groups of heroes each shot needs, by its name. Raises PlanError for an unknown mix or light."""
    windows = windows_of([(plan, shot, True) for shot in plan.shots])
    return {shot.name: shot.takes * _a_take(shot, window) for shot, window in zip(plan.shots, windows, strict=True)}


def _a_take(shot: Shot, iced: Window) -> int:
    """Return how many groups a take needs; one is reckoned where no frame fits."""
    return math.ceil(shot.frames / iced.frames) if iced.frames else 1


def _shot(plan: Plan, shot: Shot, plain: Window, iced: Window, style: units.Style) -> ShotResult:
    fit = iced.frames
    works = fit >= shot.frames
    a_take = _a_take(shot, iced)
    groups = shot.takes * a_take
    usual = usual_light(shot)
    tried = () if works else tuple(remedies(plan, shot, style))
    heroes = [scoop_of(plan, shot, hero, plan.dry_ice.used) for hero in shot.heroes]
    return ShotResult(
        shot.name,
        shot.look,
        _found(plain, "straight from the freezer, no dry ice" + (f"; {usual}" if usual else "")),
        _found(iced, _with_ice(plan, style)) if plan.dry_ice.used else None,
        Found(
            fit,
            counted(fit, "frame"),
            f"{units.duration(iced.working_s)} left after {units.duration(iced.usable_from_s)}, when it is in its look "
            f"and dressed; a frame every {shot.between_s:g} s",
            _SOURCE,
        ),
        Found(
            groups,
            f"{groups}" if fit else "none will do",
            f"{counted(shot.takes, 'take')} of {counted(shot.frames, 'frame')}, {fit} fit in one hero"
            + (f"; a take fewer needs {a_take} fewer" if shot.takes > 1 else "")
            if fit
            else f"no frame fits in one hero; one is counted for each of {counted(shot.takes, 'take')}",
            OWN_RULE,
        ),
        works,
        "fine" if works else _verdict(shot, fit, a_take, best(list(tried), iced)),
        tried,
        group_s(plan, shot, _usable(iced), min(max(fit, 1), shot.frames)),
        standing.told(shot, heroes, style),
        pouring.told(shot, heroes, style),
        _ends(plain),
        _ends(iced) if plan.dry_ice.used else None,
    )


def _ends(window: Window) -> tuple[float, float]:
    return (window.start_s, window.end_s) if window.text != "none" else (math.nan, math.nan)


def _found(window: Window, how: str) -> Found:
    ended = f"; {window.ended_by.flavour} ({window.ended_by.spot}) ends it first" if window.text != "none" else ""
    return Found(max(window.end_s - window.start_s, 0.0), window.text, f"{how}{ended}; min:s on set", _SOURCE)


def _with_ice(plan: Plan, style: units.Style) -> str:
    ice, parts = plan.dry_ice, []
    if ice.holding_box:
        waits = units.told(ice.box_wait_s, units.MINUTES)
        parts.append(f"{waits} in the box at {units.temperature(ice.box_c, style)}")
    if ice.target_air_c is not None:
        parts.append(f"air at the set at {units.temperature(ice.target_air_c, style)}")
    return ", ".join(parts) or "no dry ice"


def _verdict(shot: Shot, fit: int, a_take: int, remedy: Remedy | None) -> str:
    """Return what does not fit, how takes and heroes could be planned so that it does, and what helps most."""
    takes = math.ceil(shot.takes * shot.frames / fit) if fit >= LEAST_OF_A_TAKE else 0
    others = f" or {takes} takes of {fit}" if takes else ""
    fits = f"{fit} of {counted(shot.frames, 'frame')} fit: {a_take} heroes a take{others}"
    state = fits if fit else "cannot work"
    if remedy is None:
        return f"{state}; no single change tried helps"
    return f"{state}; {remedy.what} gives {counted(remedy.window.frames, 'frame')} ({remedy.window.text})"


def _usable(window: Window) -> float:
    return window.usable_from_s if math.isfinite(window.usable_from_s) else window.dressing_s
