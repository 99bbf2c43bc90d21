"""What a press of the cue key means: the cue beside the clock and no other, once, and not long before it is due.

And what a call's own key fills in of a cue.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from studiotimer.session.cues import Cue
from studiotimer.session.live import SAME_CALL_S
from studiotimer.window.running import ONCE

QUESTION = "look"
EARLY_S = 30.0  # own rule: sooner than this a hand has begun
AGAIN_S = 6.0  # own rule: as long as a question is read

FILLED_IN = frozenset({"pull", "hero_in", "swap", "move", "look", "top_up"})
"""The calls whose own key means what their cue names; out asks which, and the others say it themselves."""


def as_cued(kind: str, found: Sequence[Cue], at: float, choosing: bool = False) -> Mapping[str, object]:
    """Return what the own key of a call of `kind` fills in: what its first cue names, once that is due or soon.

    A change that is asked about is answered, once it is asked: the key says it is there, its choices begin at not yet.
    """
    ahead = 0.0 if kind == QUESTION else EARLY_S
    cue = next((cue for cue in found if cue.kind == kind and cue.due - at <= ahead), None)
    if cue is None or kind not in FILLED_IN:
        return {}
    return {**cue.given, "not_yet": True} if kind == QUESTION and choosing else cue.given


class CueKey:
    """Tells a wanted press from a held pedal, a second one, and one made far too early."""

    def __init__(self) -> None:
        self._made_at = -math.inf
        self._early: tuple[str, float] = ("", -math.inf)

    def pressed(self, cue: Cue, at: float) -> str | None:
        """Return what to say instead of making `cue` at session second `at`; None when it is to be made."""
        if cue.kind is None:
            return f"{cue.words}. There is nothing for this key to make."
        if at - self._made_at < SAME_CALL_S:
            return ONCE
        words, asked_at = self._early
        self._early = (cue.words, at)
        if cue.due - at > EARLY_S and not (words == cue.words and at - asked_at < AGAIN_S):
            return f"{cue.words} is due {cue.ahead_at(at)}. Press once more to make it now."
        self._early = ("", -math.inf)
        return None

    def made(self, at: float) -> None:
        """Take in that the cue was made."""
        self._made_at = at
