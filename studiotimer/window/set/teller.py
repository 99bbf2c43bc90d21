"""Tells a screen reader the cue when it changes, and the clock at its moments."""

from __future__ import annotations

import math

from PySide6.QtWidgets import QWidget

from studiotimer.session.countdowns import Forecast
from studiotimer.session.cues import Cue
from studiotimer.window.set.told import told
from studiotimer.window.spoken import SpokenLabel, announce


class Teller:
    """Knows what was told last."""

    def __init__(self) -> None:
        self._cue, self._at = "", math.inf

    def tell(self, label: SpokenLabel, clock: QWidget, cue: Cue, forecast: Forecast | None, now: float) -> None:
        """Tell the cue that `label` shows and what `clock` has come to."""
        label.spoken(cue.said_at(now))
        if cue.words != self._cue:
            self._cue = cue.words
            announce(label, cue.said_at(now))
        announce(clock, told(forecast, self._at, now), at_once=True)
        self._at = now
