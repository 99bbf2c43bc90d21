"""The calls as the window has them: the usual keys, the icon and the place on the bar of each; one row an action."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from studiotimer.session.state import State

Action = str
"""A call's kind, with a fixed field ("lock:light"), or two kinds in turn ("tub"); or a deed of the window ("dim")."""


def _never(_: State) -> bool:
    return False


class CallAction(NamedTuple):
    """How an action makes a call: its keys, the icon of each kind it makes, and where on the bar it stands.

    It makes the first of `icons`, the second while `turned`. `place` is by how much it is needed, least first; None is
    not on the bar. `opens`: its choices come first, always. `told`: its button says what it would do now. `words`: how
    the list of keys names it, where that is not the call's own name.
    """

    keys: tuple[str, ...]
    icons: dict[str, str]
    place: int | None
    opens: bool = False
    told: bool = True
    words: str = ""
    turned: Callable[[State], bool] = _never

    def kind(self, state: State) -> str:
        """Return the kind of call it makes now."""
        kinds = tuple(self.icons)
        return kinds[-1] if self.turned(state) else kinds[0]


def _lock(key: str, what: str) -> CallAction:
    return CallAction((key,), {"lock": ""}, None, words=f"Lock {what}")


CALL_ACTIONS: dict[Action, CallAction] = {
    "pull": CallAction(("P",), {"pull": "pull"}, 10),
    "hero_in": CallAction(("H",), {"hero_in": "hero_in"}, 20),
    "swap": CallAction(("S",), {"swap": "swap"}, 30),
    "out": CallAction(("O",), {"out": "out"}, 40),
    "look": CallAction(("L",), {"look": "look"}, 50),
    "top_up": CallAction(("D",), {"top_up": "top_up"}, 60),
    "ice_cleared": CallAction(("Shift+D",), {"ice_cleared": "ice_cleared"}, 190),
    "reading": CallAction(("R",), {"reading": "reading"}, 70, opens=True),
    "got_it": CallAction(("G",), {"got_it": "got_it"}, 80),
    "judge": CallAction(("J",), {"judge": "judge"}, 110),
    "move": CallAction(("M",), {"move": "move"}, 120),
    "brought": CallAction(("Shift+A",), {"brought": "brought"}, 125),
    "stand_in": CallAction(("B",), {"stand_in": "stand_in"}, 130),
    "shot": CallAction(("K",), {"shot": "shot"}, 170),
    "lock:light": _lock("1", "light"),
    "lock:set": _lock("2", "set"),
    "lock:camera": _lock("3", "camera"),
    "hold": CallAction(
        ("W",), {"hold": "hold", "resume": "resume"}, 140, told=False, words="Hold, resume",
        turned=lambda state: state.hold is not None,
    ),
    "lamp": CallAction(("E",), {"lamp": "lamp"}, 150),
    "tub": CallAction(
        ("U",), {"tub_out": "tub", "tub_back": "tub"}, 180, words="Tub out, tub back",
        turned=lambda state: bool(state.tubs_out),
    ),
    "tub_finished": CallAction(("Shift+U",), {"tub_finished": "tub_finished"}, 183),
    "door": CallAction(("I",), {"door": "door"}, 185),
    "delivery": CallAction(("Shift+I",), {"delivery": "delivery"}, 215, opens=True),
    "frame": CallAction(("F",), {"frame": "frame"}, 200, told=False),
    "clip": CallAction(("Shift+F",), {"clip": "clip"}, 205, words="Clip starts, ends"),
    "poured": CallAction(("Q",), {"poured": "poured"}, 155),
    "frost_wiped": CallAction(("Shift+Q",), {"frost_wiped": "frost_wiped"}, 156),
    "dew_wiped": CallAction(("Shift+W",), {"dew_wiped": "dew_wiped"}, 157),
    "note": CallAction(("N",), {"note": "note"}, 160, opens=True),
    "amend": CallAction(("A",), {"amend": "amend"}, 90, opens=True),
    "take_back": CallAction(("Backspace",), {"take_back": "take_back"}, 100),
    "restore": CallAction(("Shift+Backspace",), {"take_back": "restore"}, 210, told=False, words="Restore"),
}  # fmt: skip

ON_BAR: tuple[Action, ...] = tuple(
    action for _, action in sorted((row.place, action) for action, row in CALL_ACTIONS.items() if row.place is not None)
)
"""The actions of the bar, the most needed first."""

OPENS = frozenset(kind for row in CALL_ACTIONS.values() if row.opens for kind in row.icons)
"""The kinds whose choices always come before the call."""


def call_of(action: Action, state: State) -> tuple[str, dict[str, object]]:
    """Return the call that an action of CALL_ACTIONS makes now: its kind and fixed fields."""
    _, _, part = action.partition(":")
    return CALL_ACTIONS[action].kind(state), {"which": part} if part else {}


def action_name(action: Action) -> str:
    """Return an action of CALL_ACTIONS as the list of keys names it."""
    row = CALL_ACTIONS[action]
    if row.words:
        return row.words
    from studiotimer.session.calls.registry import RECORDS  # brings all calls, which keys are known without

    return RECORDS[next(iter(row.icons))].name
