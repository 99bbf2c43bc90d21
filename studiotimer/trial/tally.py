"""What a simulated day came to, counted as it went."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field


@dataclass
class Tally:
    """Frames taken and good ones, minutes a shot, pulls, scoops lost, seconds without a hero, cues answered."""

    frames: int = 0
    good: int = 0
    early: int = 0
    late: int = 0
    shots: int = 0
    got: int = 0
    minutes: list[float] = field(default_factory=list)
    empty_s: float = 0.0
    pulls: int = 0
    lost: list[int] = field(default_factory=list)
    good_pulls: int = 0
    cues: int = 0
    cues_late: int = 0
    refused: Counter[str] = field(default_factory=Counter)
    bands: list[bool] = field(default_factory=list)
    """Whether each forecast of the edges, made when a hero came on set, held what really came."""
    rested: list[float] = field(default_factory=list)
    """How long each hero had waited since its pull [s]."""
