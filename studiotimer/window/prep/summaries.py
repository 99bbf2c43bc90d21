"""What each section of a plan says in one line, as it is written. Pure."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from studiotimer import units
from studiotimer.prep.draft import Values, quantity_at, value_at
from studiotimer.prep.found import counted

DOT = " · "


def said(draft: Values, *path: str | int) -> str:
    """Return what stands at a place of the draft, in the units that are shown; empty where nothing does."""
    value = value_at(draft, path)
    if value is None or isinstance(value, dict | list):
        return ""
    quantity = quantity_at(path)
    if quantity is not None and isinstance(value, str):
        return units.as_shown(value, quantity, units.shown_in())
    return str(value)


def _joined(parts: Iterable[str]) -> str:
    return DOT.join(part for part in parts if part)


def day(draft: Values) -> str:
    """Return the day in one line."""
    lunch = said(draft, "lunch_at")
    try:
        date = units.date_words(dt.date.fromisoformat(said(draft, "date")))
    except ValueError:
        date = said(draft, "date")
    return _joined((date, said(draft, "call_time"), f"lunch {lunch}" if lunch else ""))


def people(draft: Values) -> str:
    """Return people and place in one line."""
    there = [str(one.get("name") or one.get("role") or "") for one in draft.get("people") or ()]
    place = said(draft, "place", "studio") or said(draft, "place", "address") or said(draft, "place", "city")
    return _joined((place, ", ".join(name for name in there if name))) or "nobody yet"


def studio(draft: Values) -> str:
    """Return the studio in one line."""
    return _joined(said(draft, "room", key) for key in ("air", "humidity", "volume"))


def flavours(draft: Values) -> str:
    """Return the flavours in one line."""
    return ", ".join(str(one.get("name") or "no name") for one in draft["flavours"])


def shots(draft: Values) -> str:
    """Return the shots in one line."""
    return ", ".join(str(one.get("name") or "no name") for one in draft["shots"])


def shot(draft: Values, number: int) -> str:
    """Return one shot in one line."""
    one = draft["shots"][number]
    return _joined((
        str(one.get("look", "")), str(one.get("light", "")), counted(len(one["heroes"]), "scoop"),
        f"{one.get('takes', 1)} × {one.get('frames', '')} frames",
    ))  # fmt: skip


def tubs(draft: Values) -> str:
    """Return tubs and pulls in one line."""
    tub: dict[str, object] = draft.get("tub") or {}
    size = str(tub.get("size") or f"{said(draft, 'tub', 'across')} across")
    cut = f"{tub['cut']} pieces a tub" if str(tub.get("cut", 1)) != "1" else ""
    return _joined((size, cut, said(draft, "width"), f"{said(draft, 'good_share')} good"))


def delivery(draft: Values) -> str:
    """Return the delivery in one line."""
    at = said(draft, "delivery", "from_time")
    until = said(draft, "delivery", "to_time")
    times = f"{at} to {until}" if at and until else at
    return _joined((said(draft, "delivery", "supplier"), said(draft, "delivery", "day"), times)) or "no truck yet"


def ice(draft: Values) -> str:
    """Return the dry ice in one line."""
    dry = draft.get("dry_ice") or {}
    box = f"box {said(draft, 'dry_ice', 'box')}" if dry.get("holding_box") else "no box"
    target = said(draft, "dry_ice", "target_air")
    return _joined((box, f"{target} at the set" if target else "none on set", said(draft, "dry_ice", "form")))


def timing(draft: Values) -> str:
    """Return the times around the call in one line."""
    return _joined((f"test pulls {said(draft, 'test_pulls_before')} before", f"reset {said(draft, 'reset')}"))


def physics(draft: Values) -> str:
    """Return the expert's fields in one line."""
    return "for experts" + (DOT + zone if (zone := said(draft, "timezone")) else "")
