"""What of a timeline is in view."""

from __future__ import annotations

from dataclasses import dataclass, replace

from studiotimer.wrap.timeline import Timeline

ROW = 20.0


@dataclass(frozen=True, slots=True)
class View:
    """What of a timeline is in view: session seconds from `start` to `end`, rows from `top` (in rows), their height."""

    start: float
    end: float
    top: float = 0.0
    row: float = ROW

    @staticmethod
    def whole(timeline: Timeline, row: float = ROW) -> View:
        """Return a view of the whole of it."""
        spare = (timeline.end - timeline.start) * 0.01
        return View(timeline.start - spare, timeline.end + spare, 0.0, row)

    def zoomed(self, factor: float, about: float) -> View:
        """Return the view with time `factor` times as large around session second `about`."""
        span = min(max((self.end - self.start) / factor, 5.0), 10 * 86400.0)
        share = (about - self.start) / (self.end - self.start)
        return replace(self, start=about - share * span, end=about + (1 - share) * span)

    def moved(self, seconds: float, rows: float = 0.0) -> View:
        """Return the view moved on."""
        return replace(self, start=self.start + seconds, end=self.end + seconds, top=max(self.top + rows, 0.0))
