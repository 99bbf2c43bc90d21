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


def shipped_checklist() -> Lists:
    """Return the checklist the program ships with: who, and what they bring (common practice)."""
    lists: Lists = json.loads(_shipped())["lists"]
    return lists


def checklist_of(plan: Plan) -> Lists:
    """Return the plan's own checklist, or the shipped one without dry-ice things when none is used.

    A plan's own lists are shown as they are.
    """
    if plan.checklist is not None:
        return plan.checklist
    return shipped_checklist()
