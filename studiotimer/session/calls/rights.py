"""Who may make which call on a phone: a table of every kind, with the fields that a phone may give.

It imports nothing of the session, so that the phones' server knows it without the session.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, get_args

from studiotimer.plain import shown

Right = Literal["watch", "assistant", "everything"]
"""What a phone may do; each may what those before it may."""
RIGHTS: tuple[Right, ...] = get_args(Right)

NOT_ON_A_PHONE = "{kind} is not called on a phone"
NOT_WITH_ITS_RIGHT = "this phone may not call {kind}; the laptop gives that right"


@dataclass(frozen=True, slots=True)
class May:
    """The least right that a call needs, the fields a phone must and may give, and the values one of them may have.

    `right` None is for no phone. `fields` None are all the call's own.
    """

    right: Right | None
    needs: tuple[str, ...] = ()
    fields: tuple[str, ...] | None = ()
    only: Mapping[str, tuple[str, ...]] | None = None


ASSISTANT: Right = "assistant"
_WHOLE = May("everything", fields=None)

MAY: Mapping[str, May] = {
    "pull": May(ASSISTANT, ("flavour", "to"), ("slot",)),
    "judge": May(ASSISTANT, ("scoop", "as"), (), {"as": ("spare", "reject")}),
    "move": May(ASSISTANT, ("scoop", "to"), ("slot",)),
    "brought": May(ASSISTANT, ("scoop",)),
    "tub_out": May(ASSISTANT, ("flavour",)),
    "tub_back": May(ASSISTANT, ("flavour",), ("freezer",)),
    "tub_finished": May(ASSISTANT, ("flavour",)),
    "top_up": May(ASSISTANT, (), ("mass_kg", "form", "where")),
    "hold": May(ASSISTANT),
    "resume": May(ASSISTANT),
    "poured": May(ASSISTANT, (), ("scoops",)),
    "take_back": May(ASSISTANT, ("entry",)),
    "shot": _WHOLE,
    "lock": _WHOLE,
    "stand_in": _WHOLE,
    "hero_in": _WHOLE,
    "swap": _WHOLE,
    "out": _WHOLE,
    "look": _WHOLE,
    "got_it": _WHOLE,
    "frost_wiped": _WHOLE,
    "dew_wiped": _WHOLE,
    "ice_cleared": _WHOLE,
    "lamp": _WHOLE,
    "door": _WHOLE,
    "delivery": _WHOLE,
    "reading": _WHOLE,
    "note": _WHOLE,
    "amend": _WHOLE,
    "frame": May(None),
    "clip": May(None),
    "opened": May(None),
    "closed": May(None),
}
"""Every kind of entry; frames and clips come from the camera's own files."""


def why_not(right: Right, kind: str, fields: Mapping[str, object]) -> str | None:
    """Return why a phone with that right may not make this call, as one sentence; None where it may.

    Whose call is taken back is not looked at here: who has the entries does that.
    """
    may = MAY.get(kind)
    if may is None or may.right is None:
        return NOT_ON_A_PHONE.format(kind=shown(kind))
    if RIGHTS.index(right) < RIGHTS.index(may.right):
        return NOT_WITH_ITS_RIGHT.format(kind=kind)
    if right == "everything":
        return None
    given = {name for name, value in fields.items() if value is not None}
    if missing := [name for name in may.needs if name not in given]:
        return f"{kind}: {' and '.join(missing)} must be told"
    if may.fields is not None and (strange := sorted(given - {*may.needs, *may.fields})):
        return f"{kind}: {shown(strange[0])} is not given on a phone"
    for name, values in (may.only or {}).items():
        if fields[name] not in values:
            return f"{kind}: {name} can be {' or '.join(values)} on this phone"
    return None
