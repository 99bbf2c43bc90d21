"""What would help where the frames wanted do not fit into a window: heroes, timing, plate and cold (own rules)."""

from __future__ import annotations

import math
from collections.abc import Sequence

from studiotimer.prep.found import counted
from studiotimer.prep.looks import AIMS
from studiotimer.session.countdowns import LineForecast
from studiotimer.session.desk import Desk
from studiotimer.session.entries import Shot
from studiotimer.units import duration

LEAST_DRESSING_S = 10.0
"""From this on dressing can be halved."""
MOST_SAID = 2
"""How many ways out are named: a cue has room for no more."""


def fit_words(desk: Desk, lines: Sequence[LineForecast], at: float, fit: int, wanted: int) -> str:
    """Return how many frames fit if waiting scoops are placed at `at`, and what would help; nothing where all fit."""
    if fit >= wanted:
        return ""
    heroes = [counted(math.ceil(wanted / fit), "hero", "heroes")] if fit else []
    helps = [*_rest(desk, lines), *heroes, *_less_dressing(desk.state.shot, lines, at), *_chilled(desk.state.shot)]
    helps = (helps if heroes else [*helps, "colder air", "less light"])[:MOST_SAID]
    said = f"{' or '.join(helps)} would help"
    return f"{fit} of {wanted} frames fit; {said}" if fit else said


def _rest(desk: Desk, lines: Sequence[LineForecast]) -> list[str]:
    """Return the box where scoops are out of it: cold brings back what the tray takes."""
    outside = any(desk.state.scoops[one.scoop].place == "tray" for one in lines)
    return ["a rest in the box"] if outside and desk.has_box else []


def _less_dressing(shot: Shot | None, lines: Sequence[LineForecast], at: float) -> list[str]:
    """Return half the dressing where frames wait for it and not for the look."""
    if shot is None or shot.dressing_s < LEAST_DRESSING_S:
        return []
    begins = max((one.placed(at)[0] for one in lines), default=math.inf)
    return [f"dressing in {duration(shot.dressing_s / 2)}"] if begins <= shot.dressing_s else []


def _chilled(shot: Shot | None) -> list[str]:
    """Return a chilled plate where the foot may end the window."""
    seen = shot is not None and shot.foot_in_frame and shot.stands_on is not None and shot.look not in AIMS
    return ["a chilled plate"] if seen and shot is not None and shot.plate_is == "as the set" else []
