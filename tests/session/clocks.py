"""A clock the tests move by hand."""

from datetime import UTC, datetime, timedelta


class HandClock:
    def __init__(self, start=datetime(2026, 6, 14, 10, 0, tzinfo=UTC)):
        self.wall = start
        self.seconds = 0.0
        self.boot = None
        """Where this clock stands since the machine was started, as an Anchor; None where that cannot be told."""

    def anchor(self):
        return self.boot

    def stands(self):
        return False

    def tick(self):
        return self.seconds

    def now(self):
        return self.wall

    def advance(self, seconds):
        self.seconds += seconds
        self.wall += timedelta(seconds=seconds)

    def set_wall(self, seconds):
        self.wall += timedelta(seconds=seconds)
