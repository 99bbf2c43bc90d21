"""When the clock is told to those who cannot see it: at a few moments, not each second. Pure."""

from __future__ import annotations

import math

from studiotimer.session.countdowns import Forecast

MOMENTS = ((0.0, "the window has ended"), (10.0, "10 seconds"), (30.0, "30 seconds"), (60.0, "1 minute"),
           (120.0, "2 minutes"), (300.0, "5 minutes"))  # fmt: skip
"""Seconds that are left, and the words for them; a person who waits needs no more."""


def told(forecast: Forecast | None, before: float, now: float) -> str:
    """Return what a reader says of the clock between two session seconds; nothing at most of them."""
    window = forecast.window if forecast is not None else None
    if window is None or not math.isfinite(window.end.likely):
        return ""
    for left, words in MOMENTS:
        if before < window.end.likely - left <= now:
            return words if left == 0.0 else f"{words} of working time left"
    if before < window.start.likely <= now:
        return "the window is open"
    return ""
