"""What phones are told of the shoot at a moment: cues, line, tubs, heroes, and the calls they may make. Pure.

It is worked out in the window from what the page has there already, and holds as it is until something changes: every
time in it is a moment of the laptop's steady clock, so that phones count down by themselves.
"""

from __future__ import annotations

import math
import zlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

from studiotimer.phones import offers
from studiotimer.prep.looks import STAGES
from studiotimer.session.countdowns import CHANGES, Forecast, HeroForecast, LineForecast
from studiotimer.session.cue import NOW_S, Chip, Cue, mark_of
from studiotimer.session.desk import Desk
from studiotimer.session.freezers import freezers_now
from studiotimer.session.pulling import carry_s
from studiotimer.session.scoops import Scoop
from studiotimer.session.tub_ledger import open_of
from studiotimer.session.wanted import take_of
from studiotimer.units import temperature

MOST_AFTER = 3
LOW_PULLS = 3
"""With so few pulls left in a tub, it is shown as low (own rule)."""
CAUTION = "Gloves and eye protection. Ventilate; low places fill first. Never sealed. The monitor decides."
"""The usual cautions, short; wherever dry ice is in use."""
FETCHED = ("hero_in", "swap")
"""The kinds of cue that a scoop is fetched for."""

Said = dict[str, Any]


@dataclass(frozen=True)
class Page:
    """What the window's page has at a moment. `cues` are in order; `order` is the line in order of use.

    `steady` makes a session second one of the steady clock; `due_since` has since when each due cue is due (session
    seconds, by its id); `names` makes a flavour's name, short name and colour; `stages` are the stages' colours;
    `silent` says whether a cue of the window was seen or answered there, `seen` are the ids of cues of phones alone
    that a phone has seen, `title` is the shoot's.
    """

    desk: Desk
    cues: Sequence[Cue]
    forecast: Forecast | None
    order: Sequence[int]
    steady: Callable[[float], float]
    names: Callable[[str], tuple[str, str, str]]
    stages: Mapping[str, str]
    due_since: Mapping[str, float]
    seen: frozenset[str] = frozenset()
    silent: Callable[[Cue], bool] = lambda _cue: False
    title: str = ""


def cue_id(cue: Cue, pulled: int) -> str:
    """Return what makes a cue the same one from one moment to the next; `pulled` scoops were there so far."""
    return f"{zlib.crc32(repr((cue.kind, mark_of(cue, pulled))).encode()):08x}"


def asked(page: Page) -> dict[str, tuple[Cue, Cue]]:
    """Return each cue as the one who fetches has it, with the cue of the window that it comes from, by its id."""
    pulled = len(page.desk.state.scoops)
    found: dict[str, tuple[Cue, Cue]] = {}
    for cue in page.cues:
        for one in _fetched(page.desk, cue):
            found.setdefault(cue_id(one, pulled), (one, cue))
    return found


def told(page: Page) -> Said:
    """Return what phones are told; calls are there for the right that may make most."""
    desk, state = page.desk, page.desk.state
    first, *after = _cues(page)
    shot = state.shot
    take = state.takes.get(shot.name, 0) if shot else 0
    return {
        "title": page.title,
        "shot": f"{shot.name}, take {take}" if shot and take else shot.name if shot else "No shot yet",
        "next_number": state.next_number(),
        "cue": first,
        "then": after[:MOST_AFTER],
        "line": [_waiting(page, number) for number in page.order],
        "tubs": [_tub(page, flavour) for flavour in _flavours(desk)],
        "calls": offers.anywhere(desk),
        "hero": _hero(page),
        "swap": next(
            ({"due": _at(page, cue.due), "words": cue.words} for cue in page.cues if cue.kind == "swap"), None
        ),
        "frames": _frames(page),
        "locks": dict(state.locks),
        "freezers": [
            {"name": one.name, "words": temperature(one.read_c, digits=1), "warm": one.too_warm}
            for one in (freezers_now(desk.plan, state) if state.freezers else ())
            if one.read_c is not None
        ],
        "caution": CAUTION if _ice(desk) else "",
        "holding": state.hold is not None,
        "sound": _sound(page),
    }


def due_now(page: Page) -> dict[str, float]:
    """Return since when each cue that is due is due, session seconds by id: as known, or from now on."""
    return {
        name: page.due_since.get(name, min(one.due, page.desk.at))
        for name, (one, _) in asked(page).items()
        if one.due <= page.desk.at + NOW_S
    }


def _cues(page: Page) -> list[Said | None]:
    found: list[Said | None] = [
        _cue(page, name, one, _seen(page, name, cue))
        for place, (name, (one, cue)) in enumerate(asked(page).items())
        if one.kind is not None or place == 0
    ]
    return found or [None]


def _seen(page: Page, name: str, cue: Cue) -> bool:
    """Whether somebody has seen a cue, or the one of the window that it comes from."""
    return name in page.seen or page.silent(cue)


def _fetched(desk: Desk, cue: Cue) -> list[Cue]:
    """Return a cue as the one who fetches has it: a scoop for the set is brought first, so that it is there by then."""
    if cue.kind not in FETCHED:
        return [cue]
    wanted = cue.parts.chips[:1] if cue.kind == "swap" else cue.parts.chips
    away = [chip for chip in wanted if (scoop := desk.state.scoops.get(chip.scoop or 0)) and _away(scoop)]
    due = cue.due - carry_s(desk.state, desk.plan, desk.at)
    bring = [
        replace(
            cue,
            kind="brought",
            words=f"Bring {chip.scoop}",
            due=due,
            given={"scoop": chip.scoop},
            parts=replace(cue.parts, verb="Bring", chips=(chip,), rest="", joined=""),
        )
        for chip in away
    ]
    return [*bring, cue]


def _away(scoop: Scoop) -> bool:
    return scoop.waiting and not scoop.brought


def _cue(page: Page, name: str, cue: Cue, seen: bool) -> Said:
    desk = page.desk
    chip = cue.parts.chips[0] if cue.parts.chips else Chip(None, "")
    scoop = desk.state.scoops.get(chip.scoop or 0)
    due = page.due_since.get(name, cue.due)
    call = offers.brought(scoop, chip.to) if cue.kind == "brought" and scoop is not None else offers.of_cue(desk, cue)
    return {
        "id": name,
        "verb": cue.parts.verb or cue.words,
        "due": None if cue.kind is None else _at(page, due),
        "late_words": "now" if name in page.due_since else "",
        "scoop": chip.scoop,
        "slot": scoop.slot if scoop is not None else None,
        "flavour": _flavour(page, chip.flavour) if chip.flavour else None,
        "from": chip.came,
        "to": chip.to,
        "words": ", ".join(part for part in (cue.words, cue.note) if part),
        "call": call,
        "seen": seen,
    }


def _waiting(page: Page, number: int) -> Said:
    scoop = page.desk.state.scoops[number]
    one = page.forecast.waiting(number) if page.forecast else None
    opens, ends = _placed(one)
    return {
        "scoop": number,
        "slot": scoop.slot,
        "flavour": _flavour(page, scoop.flavour),
        "place": "carried" if scoop.brought else scoop.place,
        "since": _at(page, scoop.since),
        "opens": _at(page, opens),
        "ends": _at(page, ends),
        "words": ", ".join(part for part in (scoop.where, scoop.judged or "") if part),
        "calls": offers.of_scoop(page.desk, scoop),
    }


def _placed(one: LineForecast | None) -> tuple[float, float]:
    """Return when the window of a waiting scoop would open and end (session seconds), placed when it was reckoned."""
    if one is None:
        return math.inf, math.inf
    start, end = one.placed(one.at)
    return (one.at + start, one.at + end) if start < end else (math.inf, math.inf)


def _tub(page: Page, flavour: str) -> Said:
    desk = page.desk
    now = open_of(desk.plan, desk.state, flavour)
    left = None if now is None else now.left_in_tub
    return {
        "flavour": _flavour(page, flavour),
        "left": left,
        "low": left is not None and left <= LOW_PULLS,
        "out": flavour in desk.state.tubs_out,
        "calls": offers.of_tub(desk, flavour),
    }


def _flavours(desk: Desk) -> list[str]:
    """Return the flavours to pull, those of the shot first."""
    shot = desk.state.shot
    known = [one.name for one in desk.plan.flavours]
    return list(dict.fromkeys([*(shot.flavours if shot else ()), *known]))


def _hero(page: Page) -> Said | None:
    window = page.forecast.window if page.forecast else None
    hero = page.forecast.on_set(window.ended_by) if page.forecast and window else None
    if window is None or hero is None:
        return None
    return {
        "scoop": hero.scoop,
        "flavour": _flavour(page, hero.flavour),
        "starts": _at(page, window.start.likely),
        "ends": _at(page, window.end.likely),
        "early": _at(page, window.end.early),
        "late": _at(page, window.end.late),
        "ended": page.desk.at > window.end.likely,
        "words": f"{hero.spot or 'on set'}, on set with {len(page.desk.state.heroes())}",
        "stages": _stages(page, hero),
    }


def _stages(page: Page, hero: HeroForecast) -> list[Said]:
    begun = [hero.since, *(hero.changes.of(name).likely for name in CHANGES), math.inf]
    return [
        {"name": name, "from": _at(page, start), "to": _at(page, end), "colour": page.stages[name]}
        for name, (start, end) in zip(STAGES, pairwise(begun), strict=True)
        if math.isfinite(start) and start < end
    ]


def _frames(page: Page) -> Said:
    state = page.desk.state
    wanted = take_of(state, page.desk.plan).frames if state.shot else None
    last = state.last_frame[0] if state.last_frame else ""
    return {"taken": state.frames - state.frames_before_take, "wanted": wanted, "last": last}


def _ice(desk: Desk) -> bool:
    """Whether dry ice is in use, or planned to be."""
    return desk.has_box or any(desk.state.charges.values())


def _sound(page: Page) -> Said | None:
    """Return the cue that sounds on phones: the first of those that sound here too which is due and nobody has seen.

    Of several scoops to be brought for one cue the first alone sounds.
    """
    pulled = len(page.desk.state.scoops)
    for cue in page.cues:
        name = cue_id(_fetched(page.desk, cue)[0], pulled)
        if cue.sound is not None and name in page.due_since and not _seen(page, name, cue):
            return {"cue": name}
    return None


def _flavour(page: Page, name: str) -> Said:
    whole, short, colour = page.names(name)
    return {"name": whole, "short": short, "colour": colour}


def _at(page: Page, at: float) -> float | None:
    """Return a session second as one of the steady clock; None where it never comes."""
    return round(page.steady(at), 2) if math.isfinite(at) else None
