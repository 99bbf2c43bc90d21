"""A shoot that is under way when its scene begins: its calls were made at their times, so many seconds ago."""

from contextlib import contextmanager
from datetime import UTC, datetime, timedelta

from studiotimer.prep.plan import parse_plan
from studiotimer.session.clock import Anchor, boot_id, steady_seconds
from studiotimer.session.live import new_session
from tests.scenes.leaping import ON_FOR_S
from tests.session.clocks import HandClock

LOCKS = tuple(("lock", {"which": which, "on": True}) for which in ("light", "set", "camera"))


class Before:
    """What was called before the scene begins."""

    def __init__(self, session, clock, ends):
        self._session, self._clock, self._ends = session, clock, ends

    def until(self, seconds_before):
        """Let time pass until so long before the scene."""
        ahead = self._ends - seconds_before - self._clock.seconds
        assert ahead >= 0, "that is past already"
        self._clock.advance(ahead)

    def call(self, kind, **given):
        """Make a call."""
        outcome = self._session.call(kind, given)
        assert outcome.refused is None, outcome.refused
        self._clock.advance(1.0)

    def begin(self, *, locked=True):
        """Begin the next shot, all locked."""
        self.call("shot")
        for kind, given in LOCKS if locked else ():
            self.call(kind, **given)


@contextmanager
def shoot(path, plan, seconds_ago):
    """Give what makes the calls of a session that began so long ago; closed when they are made.

    Its clock stands on the steady one of the scene's machine, so that the program that goes on with it knows how long
    it was closed.
    """
    clock = HandClock(datetime.now(UTC) - timedelta(seconds=seconds_ago))
    clock.boot = Anchor(boot_id(), ON_FOR_S + steady_seconds() - seconds_ago)
    session = new_session(path, parse_plan(plan), clock)
    try:
        yield Before(session, clock, seconds_ago)
    finally:
        assert session.close()
    assert clock.seconds < seconds_ago, "what was called lies in the past"
