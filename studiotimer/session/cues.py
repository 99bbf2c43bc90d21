"""What the program asks of the crew: each cue a verb and a time, the most urgent first. Pure."""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import pairwise

from studiotimer import units
from studiotimer.session import freezers, lining, placing
from studiotimer.session.countdowns import ClimateNow, Forecast
from studiotimer.session.cue import Cue, Sound, action
from studiotimer.session.cue_pieces import with_parts
from studiotimer.session.delivered import due_deliveries
from studiotimer.session.desk import Desk, next_shot
from studiotimer.session.state import State
from studiotimer.session.tub_ledger import open_of
from studiotimer.session.wanted import flavours_wanted, frames_planned, has_all, shooting

__all__ = ["Cue", "Sound", "cues"]

TUB_OUT_S = 300.0  # own rule
FOG_S = 60.0  # own rule
LAMP_ON_S = 60.0  # own rule
SOON_S = 600.0
"""What is due later stands only where nothing else does (own rule)."""
WRAP_NEXT = "Wrap tells what the day showed"
TOP_UPS_IN_A_PERIOD = 4
"""How many top-ups at most are cued in the time that the plan has for one: ice that does nothing is no cue for ever."""


def cues(desk: Desk, forecast: Forecast | None) -> list[Cue]:
    """Return every cue that stands, the most urgent first; never empty, the last resort is what comes later.

    What is only said stands behind what is due and can be made: the cue key makes the first.
    """
    fog, top_ups = list(_fog(desk)), list(_top_ups(desk, forecast))
    ready = list(placing.heroes(desk, forecast, _clear_at(desk)))
    leaving = list(placing.swaps(desk, forecast))
    placed = any(cue.kind == "hero_in" for cue in ready)
    first_ice = not desk.state.heroes() and _iced_at(desk) < _empty_since(desk)
    moves, trucks = list(lining.moves(desk, forecast)), list(due_deliveries(desk))
    found = [
        *(moves if desk.state.hold is not None else ()),
        *_resume(desk),
        *(trucks if desk.state.shot is None else ()),
        *_shots(desk),
        *leaving,
        *_locks(desk),
        *(top_ups if first_ice else ()),
        *(_light(desk) if placed else ()),
        *(moves if desk.state.hold is None else ()),
        *lining.tempering(desk, forecast, leaving, ready),
        *(ready if placed else ()),
        *(_meanwhile(desk) if forecast is not None else ()),
        *lining.pulls(desk, forecast, _placings(leaving, ready)),
        *(() if first_ice else top_ups),
        *_tubs(desk),
        *_finished(desk),
        *_doors(desk),
        *(_too_warm(desk) if forecast is not None else ()),
        *(() if desk.state.shot is None else trucks),
        *(() if placed else _lamps(desk)),
        *fog,
        *(() if placed else ready),
        *_got(desk),
        *placing.looks(desk, forecast),
    ]
    found = [cue for cue in found if _can_be(cue, desk.state)]
    standing = [cue for cue in found if cue.due <= desk.at + SOON_S]
    standing.sort(key=lambda cue: max(cue.due, desk.at))
    return [with_parts(cue, desk) for cue in standing or [_fallback(desk, found)]]


def _placings(leaving: Iterable[Cue], ready: Iterable[Cue]) -> list[Cue]:
    """Return the cues that bring heroes to the set."""
    return [cue for cue in (*leaving, *ready) if cue.kind in ("swap", "hero_in")]


def _can_be(cue: Cue, state: State) -> bool:
    """Whether every scoop a cue names is where the cue believes it."""
    on_set = {scoop.number for scoop in state.heroes()}
    waiting = {scoop.number for scoop in state.line()}
    given = cue.given
    match cue.kind:
        case "hero_in":
            return set(given.get("scoops", ())) <= waiting
        case "swap":
            return given["out"] in on_set and given["in"] in waiting
        case "out":
            return set(given.get("scoops", ())) <= on_set
        case "look":
            return given["scoop"] in on_set
        case "move":
            return given["scoop"] in waiting
    return True


def _fallback(desk: Desk, found: list[Cue]) -> Cue:
    later = min(found, key=lambda cue: cue.due, default=None)
    every = desk.state.shot_got and all(shot.name in desk.state.got for shot in desk.plan.shots)
    words, note = ("Every shot is got", WRAP_NEXT) if every else ("Nothing to call", "")
    return later or Cue(None, words, desk.at, note=note)


def _fog(desk: Desk) -> Iterable[Cue]:
    if _clear_at(desk) > desk.at:
        yield Cue(None, "Wait: let the fog clear", desk.at)


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
        yield Cue("lamp", "Lamp on", max(desk.at, _clear_at(desk)), {"on": True})


def _locks(desk: Desk) -> Iterable[Cue]:
    state = desk.state
    if state.shot is None or state.shot_got or state.hold is not None:
        return
    missing = next((lock for lock, on in state.locks.items() if not on), None)
    if missing is not None:
        yield Cue("lock", f"Lock {missing}", desk.at, {"which": missing, "on": True})


def _got(desk: Desk) -> Iterable[Cue]:
    """Yield a quiet question once every frame that the plan wants of the shot is taken: the photographer decides."""
    shot, state = desk.state.shot, desk.state
    wanted = frames_planned(state, desk.plan)
    if shot is None or wanted is None or not shooting(state) or state.last_frame is None:
        return
    if state.frames_of.get(shot.name, 0) >= wanted:
        words = f"All {wanted} frames of {shot.name} are taken: got it?"
        yield Cue("got_it", words, state.last_frame[1], {"shot": shot.name})


def _top_ups(desk: Desk, forecast: Forecast | None) -> Iterable[Cue]:
    """Yield a cue to hold the plan's target; not before the heroes' window ends, since the fog is in the frame."""
    state = desk.state
    if state.shot is None or state.shot_got or has_all(desk):
        return
    in_use = bool(desk.state.charges["set"]) or bool(desk.state.line()) or bool(desk.state.heroes())
    if forecast is not None and forecast.climate.top_up_at is not None and in_use:
        shooting_until = forecast.window.end.likely if forecast.window else desk.at
        lies = bool(desk.state.charges["set"]) and _iced_at(desk) > max(desk.state.cleared["set"], default=-math.inf)
        every_s = float(desk.plan.dry_ice.top_up_every_s)
        again = _iced_at(desk) + every_s / TOP_UPS_IN_A_PERIOD if lies else desk.at
        due = max(forecast.climate.top_up_at, shooting_until if math.isfinite(shooting_until) else desk.at, again)
        yield _topped_up(desk, forecast.climate, due)


def _topped_up(desk: Desk, climate: ClimateNow, due: float) -> Cue:
    """Return the cue of a top-up at the set, as large as it takes to hold the plan's target until the next one."""
    ice, kg = desk.plan.dry_ice, climate.top_up_kg
    if kg is None or ice.target_air_c is None:
        return Cue("top_up", "Top up the dry ice", due, {"where": "set"})
    style = units.shown_in()
    held = f"{units.temperature(ice.target_air_c, style)} for {round(float(ice.top_up_every_s) / 60)} min"
    note = f"{units.mass(kg, style, digits=2)} hold {held}"
    return Cue("top_up", "Top up the dry ice", due, {"where": "set", "form": ice.form, "mass_kg": kg}, note=note)


def _tubs(desk: Desk) -> Iterable[Cue]:
    for flavour, since in desk.state.tubs_out.items():
        yield Cue("tub_back", f"Tub of {flavour} back", since + TUB_OUT_S, {"flavour": flavour})


def _finished(desk: Desk) -> Iterable[Cue]:
    """Yield the tubs, or blocks, of the shot's flavours that have given what they should: the next ones are opened."""
    for flavour in flavours_wanted(desk):
        now = open_of(desk.plan, desk.state, flavour)
        if now is not None and now.left == 0 and flavour in desk.state.tubs_out:
            words = f"{flavour}: {now.name} finished, open {now.next_name}"
            yield Cue("tub_finished", words, desk.state.tubs_out[flavour] + TUB_OUT_S, {"flavour": flavour})


def _doors(desk: Desk) -> Iterable[Cue]:
    for name, since in desk.state.doors_open.items():
        which = {"freezer": name} if name else {}
        yield Cue("door", f"Close {name or 'the freezer'}", since + freezers.DOOR_S, {"open": False, **which})


def _meanwhile(desk: Desk) -> Iterable[Cue]:
    """Yield which tubs of the shot to put into another freezer, and pull from there, while their own is too warm."""
    state, plan = desk.state, desk.plan
    warm = [flavour for flavour in flavours_wanted(desk) if freezers.is_warm(plan, state, flavour)]
    for flavour in warm:
        other = freezers.meanwhile(plan, state, flavour)
        if other is not None:
            what = f"{flavour} " if len(warm) > 1 else ""
            given = {"flavour": flavour, "freezer": other}
            yield Cue("tub_back", f"Pull {what}from {other} meanwhile", desk.at, given)


def _too_warm(desk: Desk) -> Iterable[Cue]:
    """Yield when to read a freezer again that is too warm."""
    state, plan = desk.state, desk.plan
    named = len(plan.freezer_names) > 1 or bool(plan.freezers)
    for one in freezers.freezers_now(plan, state) if state.freezers else ():
        if one.too_warm and one.since is not None:
            given = {"what": "freezer_c", **({"freezer": one.name} if named else {})}
            yield Cue("reading", f"Close {one.name} and read it again", one.since + freezers.READ_AGAIN_S, given)


def _lamps(desk: Desk) -> Iterable[Cue]:
    state = desk.state
    hot = state.shot is not None and state.shot.lamp in ("tungsten", "flash") and state.shot.lux > 0 and state.lamp_on
    if hot and not state.heroes() and not state.stand_ins() and not state.props:
        yield Cue("lamp", "Lamp off, no hero is on set", _bare_since(desk) + LAMP_ON_S, {"on": False})


def _bare_since(desk: Desk) -> float:
    """Return since when the lamp has shone on an empty set."""
    lit = next((light.at for light in reversed(tuple(desk.state.lights)) if light.on), desk.state.shot_since)
    left = (
        after.since
        for scoop in desk.state.scoops.values()
        for stay, after in pairwise(scoop.stays)
        if stay.place == "set"
    )
    return max(lit, max(left, default=lit))


def _shots(desk: Desk) -> Iterable[Cue]:
    state = desk.state
    if state.shot is None:
        yield from action("shot", desk, "Begin {name}", desk.at)
    elif state.shot_got:
        if state.heroes():
            yield from action("out", desk, "Out {scoops}", desk.at)
        elif (following := next_shot(desk)).name not in state.got:
            yield Cue("shot", f"Begin {following.name}", desk.at, {"name": following.name})


def _resume(desk: Desk) -> Iterable[Cue]:
    if desk.state.hold is not None:
        why = desk.state.hold_why
        yield Cue("resume", "Resume", desk.at, note=f"on hold: {why}" if why else "")
