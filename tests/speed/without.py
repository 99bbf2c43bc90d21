"""Rules of the cues left out, each alone, by what replaces it: what a rule is worth on simulated days."""

import math
from collections import Counter
from contextlib import ExitStack
from unittest.mock import patch

from studiotimer.session import wanted
from studiotimer.session.desk import free_spots
from studiotimer.thermal import learn

_wanted = wanted.heroes_wanted


def _for_free_spots(desk, forecast):
    return Counter(flavour for flavour, _ in free_spots(desk.state))


def _at_the_last_lock(desk):
    return desk.at if all(desk.state.locks.values()) else math.inf


def _one_hero_a_take(desk):
    """Whether heroes are wanted where each take has had one in every spot, whatever frames it gave."""
    shot = desk.state.shot
    if shot is None or not _wanted(desk):
        return False
    had = sum(1 for scoop in desk.state.scoops.values() if scoop.shot == shot.name)
    return had < shot.takes * len(shot.spots)


RULES = {
    "pulled ahead": {"lining.line_wanted": _for_free_spots, "lining._begins": _at_the_last_lock},
    "tempered": {"lining.tempered": lambda _: False, "coming.tempered": lambda _: False},
    "heroes until got": {
        "placing.heroes_wanted": _one_hero_a_take,
        "lining.heroes_wanted": _one_hero_a_take,
    },
    "swap before the median": {"placing.SPARE_READY_Z": 0.0},
    "unsure learning": {
        "learning.learn.seen_sd": lambda *_: learn.SEEN_SD,
        "learning.learn.observe_later": lambda belief, *_: belief,
        "forecast.spread_changes": lambda times: times,
    },
    "hands kept free": {"lining.pull_by": lambda *_: -math.inf},
    "most frames a second": {"placing._replaced": lambda *_: 1},
}
"""Each rule by its name: what takes the place of what in `studiotimer.session` where it is left out."""


def left_out(rule):
    """Return a context in which a rule is left out."""
    stack = ExitStack()
    for name, instead in RULES[rule].items():
        stack.enter_context(patch(f"studiotimer.session.{name}", instead))
    return stack
