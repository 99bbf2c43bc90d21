"""Where the time on set went: with a hero, without one, waiting for a lock, on hold (own definitions)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from studiotimer.session.entries import LOCKS
from studiotimer.session.state import State
from studiotimer.wrap.stays import Step


@dataclass
class Spent:
    """Seconds of one shot.

    `hero_s`: at least one hero on set. `gaps`: no hero, between two of the shot's heroes. `lock_s`: a hero on set, or
    one to be waiting in the line, while a lock was free, by lock. `hold_s`: on hold. `to_lock_s`: until light, set and
    camera were first locked all three, without holds; `locked` says that they were.
    """

    hero_s: float = 0.0
    gaps: list[float] = field(default_factory=list)
    lock_s: dict[str, float] = field(default_factory=lambda: dict.fromkeys(LOCKS, 0.0))
    any_lock_s: float = 0.0
    hold_s: float = 0.0
    to_lock_s: float = 0.0
    locked: bool = False
    swaps: int = 0
    takes: int = 0


def spent(steps: Sequence[Step]) -> dict[str, Spent]:
    """Return where each shot's time went, by shot; the time between two runs counts for none."""
    found: dict[str, Spent] = {}
    heroes = {scoop.number for scoop in steps[-1].after.scoops.values() if scoop.hero} if steps else set()
    open_gap: dict[str, float] = {}
    for step, after in pairwise(steps):
        state = step.after
        if state.shot is None:
            continue
        name = state.shot.name
        shot = found.setdefault(name, Spent())
        _count(shot, step)
        if after.told.entry.kind == "opened":
            continue
        _add(shot, state, after.told.at - step.told.at, open_gap, heroes)
    if steps and steps[-1].after.shot is not None:
        _count(found.setdefault(steps[-1].after.shot.name, Spent()), steps[-1])
    return found


def _count(shot: Spent, step: Step) -> None:
    if step.told.entry.kind == "swap" and step.after.scoops is not step.before.scoops:
        shot.swaps += 1
    if step.told.entry.kind == "hero_in" and not step.before.heroes() and step.after.heroes():
        shot.takes += 1


def _add(shot: Spent, state: State, seconds: float, open_gap: dict[str, float], used: set[int]) -> None:
    assert state.shot is not None
    name, heroes = state.shot.name, bool(state.heroes())
    if heroes:
        shot.hero_s += seconds
        gap = open_gap.pop(name, 0.0)
        if gap > 0:
            shot.gaps.append(gap)
        open_gap[name] = 0.0
    elif name in open_gap:
        open_gap[name] += seconds
    if state.hold is not None:
        shot.hold_s += seconds
    free = [lock for lock in LOCKS if not state.locks[lock]]
    shot.locked = shot.locked or not free
    if not shot.locked and state.hold is None:
        shot.to_lock_s += seconds
    if free and (heroes or any(scoop.number in used for scoop in state.line())):
        shot.any_lock_s += seconds
        for lock in free:
            shot.lock_s[lock] += seconds
