"""Python's collector of what nobody holds any more, run in the window's thread and in no other.

To let go of something that is connected takes Qt's lock and then the interpreter's. A worker in which the collector
does that, while the window's thread has the interpreter's and takes something of Qt's apart, stands still for good, and
the window with it.
"""

from __future__ import annotations

import gc
import time

REST = 100.0
"""So many times as long as going through all there is took, it is not done again: it takes a hundredth of the time."""


class Collector:
    """Collects what is due by Python's own thresholds, which from then on nothing else does."""

    def __init__(self) -> None:
        gc.disable()
        self._rests_until = 0.0

    def collect(self) -> None:
        """Collect what is due; returns at once where nothing is."""
        due = [count > threshold for count, threshold in zip(gc.get_count(), gc.get_threshold(), strict=True)]
        if not due[0]:
            return
        began = time.monotonic()
        if due[1] and due[2] and began >= self._rests_until:
            gc.collect()
            ended = time.monotonic()
            self._rests_until = ended + REST * (ended - began)
        else:
            gc.collect(1 if due[1] else 0)
