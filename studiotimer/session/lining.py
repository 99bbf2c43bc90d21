"""Cues about the line: what to pull ahead so that it rests, and what to move where."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace

from studiotimer.session.coming import MOVES_S, TEMPER_WORTH_S, tempered
from studiotimer.session.countdowns import Forecast, LineForecast
from studiotimer.session.cue import NOW_S, Cue, action
from studiotimer.session.desk import Desk, free_spots
from studiotimer.session.freezers import is_warm
from studiotimer.session.pulling import carry_s, pull_by, pull_to_set_by
from studiotimer.session.state import State
from studiotimer.session.tub_ledger import AHEAD_PULLS, open_of
from studiotimer.session.wanted import chosen, heroes_wanted, serves_s, spares_of, take_of, usable_s

REST_S = 240.0
"""How long a scoop should have rested in the box when it is wanted (own rule)."""
AHEAD_S = 600.0
"""How long before the last lock is expected the line is begun (own rule)."""
OVERHEAD_S = 45.0
"""What passes between one hero's window and the next one's: the carry, the dressing (own rule)."""
MOST_AHEAD = 2
"""For how many groups of heroes after the first scoops wait at most (own rule)."""
READY_SHARE = 0.9
"""The share of pulls, and of ways to the set, that are over in the time reckoned with (own rule)."""
MOVE_LEAD_S = 60.0
"""How long before its window would close on the tray a scoop is moved back into the cold (own rule)."""
LONG_HOLD_S = 300.0
"""From a hold so long on nothing waits on the tray (own rule)."""
LONGER = 0.25
"""How much longer than its median a scoop is tempered at most, as a share (own rule): as much as tau is not known."""
SOON_S = 600.0
"""How far ahead a window is looked for that closes."""


def pulls(desk: Desk, forecast: Forecast | None, placings: Iterable[Cue] = ()) -> Iterable[Cue]:
    """Yield the next pull of each flavour the line is short of, those from a freezer that is cold enough first.

    Who pulls also carries: what would not be over when one of `placings` is due waits until that is done.
    """
    if not heroes_wanted(desk):
        return
    carried = min((cue.due for cue in placings), default=math.inf)
    lasts = pull_by(desk.state, desk.plan, desk.at, READY_SHARE)
    waiting = Counter(scoop.flavour for scoop in desk.state.line())
    short = line_wanted(desk, forecast)
    begin = _begins(desk)
    warm = {name for name in short if forecast is not None and is_warm(desk.plan, desk.state, name)}
    for flavour in sorted(short, key=lambda name: (name in warm, waiting[name])):
        if waiting[flavour] < short[flavour]:
            due = begin if desk.has_box else _just_in_time(desk, forecast, flavour, waiting[flavour])
            if max(due, desk.at) + lasts > carried:
                due = max(due, carried + carry_s(desk.state, desk.plan, desk.at), desk.at + NOW_S)
            if math.isfinite(due):
                for cue in action("pull", desk, "Pull {flavour}", max(due, desk.at), "pull", flavour=flavour):
                    now = open_of(desk.plan, desk.state, flavour)
                    low = now is not None and now.pulled > 0 and now.left_in_tub <= AHEAD_PULLS
                    yield replace(cue, note=now.said) if now is not None and low else cue


def line_wanted(desk: Desk, forecast: Forecast | None) -> Counter[str]:
    """Return how many scoops of each flavour should wait: one for each free spot, then spares and the next heroes.

    As many are pulled ahead as rest REST_S each while heroes follow one another, but no more than the frames still
    wanted need.
    """
    shot = desk.state.shot
    assert shot is not None
    free = Counter(flavour for flavour, _ in free_spots(desk.state))
    spots = Counter(shot.flavours)
    serves = serves_s(desk, forecast, spots)
    spares = spares_of(desk.state)
    take = take_of(desk.state, desk.plan)
    groups = math.ceil(take.left / max(take.fit(serves), 1)) if serves > 0 else shot.takes
    following = max(groups - 1, 0)
    ahead = min(following, math.ceil(REST_S / max(serves + OVERHEAD_S, 1.0)), MOST_AHEAD)
    return Counter({flavour: free[flavour] + max(spares[flavour], ahead * spots[flavour]) for flavour in spots})


def _begins(desk: Desk) -> float:
    """Return when the line is begun: at the second lock, or some time before the plan expects the last one."""
    if sum(desk.state.locks.values()) >= 2:
        return desk.at
    return max(_locked_at(desk) - AHEAD_S, desk.state.shot_since)


def _locked_at(desk: Desk) -> float:
    """Return when the plan expects the last lock of the current shot."""
    state = desk.state
    planned = desk.plan.shot_named(state.shot_name)
    return state.shot_since + (float(planned.locks_s) if planned else 0.0)


def _just_in_time(desk: Desk, forecast: Forecast | None, flavour: str, waiting: int) -> float:
    """Return when to pull where nothing keeps cold: not before the locks, and to be there when a window ends."""
    if not all(desk.state.locks.values()):
        return math.inf
    free = sum(1 for one, _ in free_spots(desk.state) if one == flavour)
    if waiting < free:
        return desk.at
    heroes = forecast.heroes if forecast else ()
    ends = sorted(hero.end.early for hero in heroes if hero.hero and hero.flavour == flavour)
    place = waiting - free
    return ends[place] - pull_to_set_by(desk.state, desk.plan, READY_SHARE) if place < len(ends) else math.inf


def moves(desk: Desk, forecast: Forecast | None) -> Iterable[Cue]:
    """Yield the box (or the freezer) for scoops whose window closes where they wait, and for all in a long hold."""
    cold = desk.cold_store
    held = desk.state.hold
    for one in forecast.line if forecast else ():
        scoop = desk.state.scoops.get(one.scoop)
        if scoop is None or scoop.place != "tray" or not scoop.waiting:
            continue
        closes = _closes(one)
        due = min(
            math.inf if closes is None else max(closes - MOVE_LEAD_S, desk.at),
            math.inf if held is None else held + LONG_HOLD_S,
        )
        if math.isfinite(due):
            yield Cue("move", f"Move {one.scoop} to the {cold}", due, {"scoop": one.scoop, "to": cold})


def tempering(
    desk: Desk, forecast: Forecast | None, leaving: Sequence[Cue], ready: Sequence[Cue]
) -> Iterable[Cue]:  # fmt: skip
    """Yield the tray for frosted scoops that are wanted soon, so that their window opens as dressing ends.

    Those that are to come in, or to replace heroes which are to leave, and the first ones once the last lock is all
    that is missing.
    """
    found: set[int] = set()
    ahead = [*_first(desk, forecast), *_replacing(desk, forecast, leaving)]
    waited = {begin for begin, _ in ahead}
    for begin, number in [*ahead, *_named(ready)]:
        one = forecast.waiting(number) if forecast else None
        scoop = desk.state.scoops[number]
        if one is None or number in found or scoop.place == "tray":
            continue
        if tempered(one) and begin > desk.at + MOVES_S:
            longer = _longer_s(desk, one, begin) if begin in waited else 0.0
            due = max(begin - one.temper_s - longer - MOVES_S * (len(found) + 1), desk.at)
            note = "so that its window opens as dressing ends"
            yield Cue("move", f"Move {number} to the tray", due, {"scoop": number, "to": "tray"}, note=note)
            found.add(number)


def _longer_s(desk: Desk, one: LineForecast, begin: float) -> float:
    """Return how much longer than its median a scoop is tempered: frost is waited for, a long window has some to lose.

    No more than half of what its window has beyond the frames that are still wanted.
    """
    take = take_of(desk.state, desk.plan)
    beyond = usable_s(one, begin) - (take.left - 1) * take.between_s
    return min(LONGER * one.temper_s, max(beyond, 0.0) / 2)


def _named(ready: Iterable[Cue]) -> Iterable[tuple[float, int]]:
    return ((cue.due, number) for cue in ready if cue.kind == "hero_in" for number in cue.given.get("scoops", ()))


def _first(desk: Desk, forecast: Forecast | None) -> Iterable[tuple[float, int]]:
    """Yield when the first heroes of a shot are expected, and which: one lock is missing, and nothing stands yet.

    Once that lock is overdue they are no longer: nothing waits on the tray for it (own rule).
    """
    state = desk.state
    if not heroes_wanted(desk) or state.heroes() or sum(state.locks.values()) != len(state.locks) - 1:
        return
    locks = locks_at(state)
    for number in chosen(desk, forecast, [flavour for flavour, _ in free_spots(state)]):
        yield locks, number


def locks_at(state: State) -> float:
    """Return when the last lock is expected: it takes as long as those before it did one with another (own rule)."""
    locked = sum(state.locks.values())
    return state.locked_last + (state.locked_last - state.shot_since) / max(locked, 1)


def _replacing(desk: Desk, forecast: Forecast | None, leaving: Iterable[Cue]) -> Iterable[tuple[float, int]]:
    """Yield when and which scoops come in after the cues that take heroes away."""
    for cue in leaving:
        if cue.kind == "swap":
            coming = [int(cue.given["in"])]
        else:
            going = [desk.state.scoops[number].flavour for number in cue.given.get("scoops", ())]
            coming = chosen(desk, forecast, [*going, *(flavour for flavour, _ in free_spots(desk.state))])
        if cue.due - desk.at > TEMPER_WORTH_S:
            yield from ((cue.due, number) for number in coming)


def _closes(one: LineForecast) -> float | None:
    """Return when a scoop placed from where it waits would have no window left, None when not within the forecast."""
    step = 15.0
    for index in range(int(SOON_S / step) + 1):
        if usable_s(one, one.at + index * step) <= 0.0:
            return one.at + index * step
    return None
