"""Planned days made by hand, and luck without any."""

from dataclasses import replace

import numpy as np

from studiotimer.trial.figures import Scene, Setup, Stock
from studiotimer.trial.luck import Luck, usual_luck
from studiotimer.trial.spans import Looks

CERTAIN = Luck(
    {what: (median, 0.0) for what, (median, _) in usual_luck().people.items()}, dict.fromkeys(usual_luck().rates, 0.0)
)
"""Nobody is ever quicker or slower, and nothing goes wrong."""
NO_ACCIDENTS = replace(
    usual_luck(),
    rates={what: rate if what in ("change_told", "cue_missed") else 0.0 for what, rate in usual_luck().rates.items()},
)
"""No accidents; changes are told and cues heard as usual."""


def looks(crisp=0.0, sheen=60.0, edges=1e9, drip=1e9, slump=1e9):
    """Return looks that no tau changes."""
    rows = [crisp, sheen, edges, drip, slump, 1e9, 1e9, 1e9]
    return Looks(np.array([0.0]), np.repeat(np.array(rows)[None, :, None], 2, axis=0))


def scene(name="plate", heroes=(0,), takes=1, frames=1, locks_s=600.0, look="crisp", **times):
    return Scene(
        name, look, heroes, takes, frames, 6.0, 0.0, locks_s, takes, {one: looks(**times) for one in set(heroes)}, 0.0, 0.0
    )  # fmt: skip


def stock(name="vanilla", tubs=50, holds=20):
    return Stock(name, 1, "premium", 0.0, 0.0, tubs, holds)


def setup(shots, flavours=None, good_share=0.5, wrap_s=1e6, ice=None):
    return Setup(tuple(shots), tuple(flavours or [stock()]), good_share, 30.0, 75.0, 180.0, wrap_s, ice, None, 0.0, 0.0)
