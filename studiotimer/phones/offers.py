"""The calls that phones are offered, each as a phone draws it. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Literal

from studiotimer.session.calls.registry import RECORDS
from studiotimer.session.cue import Cue
from studiotimer.session.defaults import filled
from studiotimer.session.desk import Desk, NoDefaultError, last_call
from studiotimer.session.entries import LOCKS, Entry
from studiotimer.session.scoops import Scoop, numbers
from studiotimer.session.wording import entry_words, short_words
from studiotimer.units import mass

Role = Literal["strong", "plain", "flavour", "away"]
Offer = dict[str, Any]
"""A call to make: its kind and fields, a title, a detail, and its role on the page."""

SOONER_S = 5.0
"""By how much a press moves the last call back, as on the laptop."""


def offer(kind: str, fields: Mapping[str, object], title: str, detail: str = "", role: Role = "plain") -> Offer:
    """Return a call as a phone draws it."""
    return {"kind": kind, "fields": dict(fields), "title": title, "detail": detail, "role": role}


def brought(scoop: Scoop, to: str = "") -> Offer:
    """Return the end of a carry."""
    detail = f"{scoop.where} to {to}" if to else f"from the {scoop.where}"
    return offer("brought", {"scoop": scoop.number}, f"{scoop.number} is at the set", detail, "strong")


def of_scoop(desk: Desk, scoop: Scoop) -> list[Offer]:
    """Return what can be called of a waiting scoop."""
    number = scoop.number
    found = [] if scoop.brought else [brought(scoop)]
    places = dict.fromkeys((desk.cold_store, "tray", "freezer"))
    away = (place for place in places if place != scoop.place or scoop.brought)
    found += [offer("move", {"scoop": number, "to": to}, f"{number} to the {to}") for to in away]
    if scoop.judged != "spare":
        found.append(offer("judge", {"scoop": number, "as": "spare"}, f"{number} is a spare"))
    return [*found, offer("judge", {"scoop": number, "as": "reject"}, f"{number} is rejected", role="away")]


def of_tub(desk: Desk, flavour: str) -> list[Offer]:
    """Return what can be called of a flavour's tub: its pull to where that usually goes first."""
    number = desk.state.next_number()
    usual, other = ("box", "tray") if desk.has_box else ("tray", "box")
    places = (usual, other) if desk.has_box else (usual,)
    found = [
        offer("pull", {"flavour": flavour, "to": to}, f"Pull {number} {flavour}", f"to the {to}", "flavour")
        for to in places
    ]
    if flavour in desk.state.tubs_out:
        found.append(offer("tub_back", {"flavour": flavour}, f"{flavour} tub is back"))
    else:
        found.append(offer("tub_out", {"flavour": flavour}, f"{flavour} tub is out"))
    return [
        *found,
        offer("tub_finished", {"flavour": flavour}, f"{flavour} tub is finished", "open the next one", "away"),
    ]


def of_cue(desk: Desk, cue: Cue) -> Offer | None:
    """Return the call that answers a cue; None where it asks for none."""
    if cue.kind is None:
        return None
    fields = dict(cue.given)
    if cue.kind == "pull":
        fields = {"flavour": cue.given.get("flavour"), "to": desk.cold_store if desk.has_box else "tray"}
    title, detail = _said(desk, cue.kind, fields)
    return offer(cue.kind, fields, title, detail, "strong")


def anywhere(desk: Desk) -> list[Offer]:
    """Return the other calls that can be made now: ice, hold, sauce; then those of the photographer's side."""
    state = desk.state
    title, detail = _said(desk, "top_up", {})
    found = [offer("top_up", {}, title, detail)]
    if state.hold is None:
        found.append(offer("hold", {}, "Hold", "work stops", "away"))
    else:
        found.append(offer("resume", {}, "Go on", "the hold ends", "strong"))
    heroes = [hero.number for hero in state.heroes()]
    if heroes:
        found.append(offer("poured", {"scoops": heroes}, "Poured", f"on {numbers(heroes)}"))
    return [*found, *_of_set(desk)]


def own(last: Entry | None) -> list[Offer]:
    """Return the take back of a phone's own last call."""
    if last is None:
        return []
    return [offer("take_back", {"entry": last.n}, "Take back", entry_words(last), "away")]


def last_of_all(desk: Desk) -> Iterator[Offer]:
    """Yield what a phone with the right for everything may do about the last call of anybody: set it 5 s back."""
    last = last_call(desk)
    told = None if last is None else desk.ledger.told_of(last.n)
    if last is not None and told is not None:
        change = {"tick": round(told.entry.tick - SOONER_S, 3)}
        yield offer("amend", {"entry": last.n, "change": change}, f"{SOONER_S:.0f} s earlier", entry_words(last))


def _of_set(desk: Desk) -> Iterable[Offer]:
    """Yield the calls about what stands on set; only a phone with the right for everything is offered them."""
    state = desk.state
    for kind in ("hero_in", "swap", "out", "got_it"):
        if RECORDS[kind].asks(desk) is not None or (kind == "got_it" and state.shot_got):
            continue
        try:
            fields = filled(kind, desk)
        except NoDefaultError:
            continue
        if "assumed_pull_s" not in fields:
            role: Role = "away" if kind == "out" else "plain"
            yield offer(kind, fields, RECORDS[kind].name, short_words(kind, fields), role)
    for lock in LOCKS:
        on = state.locks[lock]
        title = f"{lock.capitalize()} is locked" if not on else f"{lock.capitalize()} is free"
        yield offer("lock", {"which": lock, "on": not on}, title, "locked now" if on else "not locked")
    yield from last_of_all(desk)


def _said(desk: Desk, kind: str, fields: dict[str, Any]) -> tuple[str, str]:
    """Return the title and detail of a call as what has been done."""
    match kind:
        case "pull":
            number = desk.state.next_number()
            return f"{number} is pulled", f"{fields.get('flavour')}, to the {fields.get('to')}"
        case "move":
            return f"{fields.get('scoop')} is in the {fields.get('to')}".replace("in the tray", "on the tray"), ""
        case "tub_back":
            return f"{fields.get('flavour')} tub is back", str(fields.get("freezer") or "")
        case "tub_finished":
            return f"{fields.get('flavour')} tub is finished", "the next one is open"
        case "door":
            return ("Door is open" if fields.get("open") else "Door is closed"), str(fields.get("freezer") or "")
        case "top_up":
            filling = filled("top_up", desk)
            return "Dry ice topped up", f"{mass(float(str(filling['mass_kg'])))} at the {filling['where']}"
        case "resume":
            return "Go on", "the hold ends"
        case _:
            short = RECORDS[kind].name
            return short, ""
