"""The tubs of each flavour, numbered, with their blocks: which is pulled from, and how many pulls it has left."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise
from typing import NamedTuple

from studiotimer.forms import whole
from studiotimer.prep.found import counted
from studiotimer.prep.plan import Plan, PlanError
from studiotimer.prep.tubs import yield_of
from studiotimer.session.state import State
from studiotimer.units import UnitError

AHEAD_PULLS = 10
"""With so many pulls left in a tub the next one is made ready (own rule): it is found, opened and read."""


class Open(NamedTuple):
    """What is pulled from of a flavour: its tub and block, counted from 1, and its pulls.

    `pulled` were pulled from this block so far, of the `expected` that its face and depth give; `left` are expected
    still, and `left_in_tub` of all its blocks. `blocks` is how many the tub is cut in.
    """

    flavour: str
    tub: int
    block: int
    blocks: int
    pulled: int
    expected: int

    @property
    def left(self) -> int:
        """How many pulls the block should still give."""
        return max(self.expected - self.pulled, 0)

    @property
    def left_in_tub(self) -> int:
        """How many pulls the tub should still give."""
        return self.left + (self.blocks - self.block) * self.expected

    @property
    def name(self) -> str:
        """Return what it is called: ``tub 2``, ``tub 2 block 3``."""
        return f"tub {self.tub}" + (f" block {self.block}" if self.blocks > 1 else "")

    @property
    def next_name(self) -> str:
        """Return what the one after it is called."""
        if self.block < self.blocks:
            return f"block {self.block + 1} of tub {self.tub}"
        return f"tub {self.tub + 1}"

    @property
    def said(self) -> str:
        """Return how many pulls are left: ``tub 1, about 12 pulls left``."""
        return f"{self.name}, about {counted(self.left, 'pull')} left"


def open_of(plan: Plan, state: State, flavour: str) -> Open | None:
    """Return what is pulled from of a flavour now; None for one unknown to the plan, packs, or a tub none fits in."""
    return next(reversed(opened_of(plan, state, flavour)), None)


def opened_of(plan: Plan, state: State, flavour: str) -> list[Open]:
    """Return every block of a flavour that was opened, in order, the last being pulled from now; see `open_of`."""
    known = next((one for one in plan.flavours if one.name == flavour), None)
    if known is None:
        return []
    tub = known.tub or plan.tub
    try:
        if whole(known.form):
            return []
        holds = int(yield_of(tub, known.form, float(plan.width_m)).value or 0)
    except (PlanError, UnitError):
        return []
    if holds < 1:
        return []
    given = [0, *(one.pulled for one in state.tubs_finished.get(flavour, ())), pulled_of(state)[flavour]]
    return [
        Open(flavour, done // tub.cut + 1, done % tub.cut + 1, tub.cut, until - since, holds // tub.cut)
        for done, (since, until) in enumerate(pairwise(given))
    ]


def pulled_of(state: State) -> Counter[str]:
    """Return how many scoops were pulled of each flavour so far."""
    if "pulled" not in state.known_of_scoops:
        state.known_of_scoops["pulled"] = Counter(scoop.flavour for scoop in state.scoops.values())
    found: Counter[str] = state.known_of_scoops["pulled"]
    return found


def tub_words(plan: Plan, state: State) -> str:
    """Return what is to be said of tubs that are nearly empty, those of the current shot; empty while none is."""
    return " ".join(
        f"{low.flavour}: about {counted(low.left_in_tub, 'pull')} left in tub {low.tub}; "
        f"have tub {low.tub + 1} at hand."
        for low in low_tubs(plan, state)
    )


def low_tubs(plan: Plan, state: State) -> list[Open]:
    """Return what is nearly empty of the current shot's flavours and is pulled from, the least left first."""
    shot = state.shot
    flavours = dict.fromkeys(shot.flavours if shot and not state.shot_got else ())
    opened = (open_of(plan, state, flavour) for flavour in flavours)
    low = [one for one in opened if one is not None and one.pulled > 0 and 0 < one.left_in_tub <= AHEAD_PULLS]
    return sorted(low, key=lambda one: one.left_in_tub)
