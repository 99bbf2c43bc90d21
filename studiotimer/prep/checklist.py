"""Who brings what: the checklist, from the plan when it has its own, else as shipped."""

from __future__ import annotations

import json
from functools import cache

from studiotimer import places
from studiotimer.prep.plan import Plan

Lists = dict[str, list[str]]


@cache
def _shipped() -> str:
    return places.resource("checklist.json").read_text(encoding="utf-8")


def shipped_checklist(dry_ice: bool = True) -> Lists:
    """Return the checklist the program ships with: who, and what they bring (common practice)."""
    table = json.loads(_shipped())
    lists: Lists = table["lists"]
    for who, items in table["with_dry_ice"].items() if dry_ice else ():
        lists[who].extend(items)
    return lists


def checklist_of(plan: Plan) -> Lists:
    """Return the plan's own checklist as it is, or the shipped one, which has dry-ice things when some is used."""
    if plan.checklist is not None:
        return plan.checklist
    return shipped_checklist(plan.dry_ice.used)
