"""The time of day a session tells: a recorded day that is played tells the set's own, as Wrap does."""

from __future__ import annotations

from datetime import datetime

from studiotimer.session.live import Session
from studiotimer.session.rehearsal import Rehearsal


def day_time(session: Session, at: float) -> datetime:
    """Return the time of day at session second `at`: of a day that is played where its set was, else this machine's."""
    if not isinstance(session, Rehearsal):
        return session.wall_time(at).astimezone()
    from studiotimer.wrap.recorded import zone_of
    from studiotimer.wrap.zones import ZoneError

    try:
        return session.wall_time(at).astimezone(zone_of(session.plan))
    except ZoneError:
        return session.wall_time(at).astimezone()


def time_now(session: Session) -> datetime:
    """Return the time of day now: that of the day that is played, else this machine's clock."""
    return day_time(session, session.time()) if isinstance(session, Rehearsal) else datetime.now()
