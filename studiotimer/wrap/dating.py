"""Whose time a picture has that came during a shoot: its camera's, once that clock is known, else its arrival's.

A camera that sends its pictures as it takes them is behind or ahead by the same span each time, but for the seconds
the sending takes; the pictures of a card that is copied arrive together and were taken apart (own rules, below).
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from studiotimer.units import date_words, duration
from studiotimer.wrap.camera import Taken
from studiotimer.wrap.watching import Came

HELD_S = 1.5
"""How long a picture waits for others, by which one that was copied from a card is known."""
SENDING_S = 8.0
"""By how much more one picture may be late than another; further apart, they were copied."""
TOGETHER_S = 60.0
"""Pictures that arrive within this are held against each other."""
AGREEING, AGREED_S = 3, 3.0
"""How many pictures in a row must agree on the camera's offset, and how closely."""
RIGHT_S = (-1.0, 5.0)
"""A camera this little behind is right: so much is the sending, and its clock's whole seconds."""
FUTURE_S = 2.0
"""A picture taken later than this after it arrived has another offset than was confirmed."""


@dataclass(frozen=True, slots=True)
class Dated:
    """A picture with its second on the session's own clock, and whose time that is."""

    name: str
    taken: Taken
    at: float
    by: Literal["camera", "arrival"]


@dataclass(frozen=True, slots=True)
class _Late:
    came: Came
    behind_s: float


class Dating:
    """Dates pictures as they come.

    `began` is the instant (UTC) at second 0 of the clock that `Came.seen` is told by. `ahead_s` is by how much the
    camera is ahead, None until it was confirmed; `proposed_s` is what several pictures agree on, `says` what one of
    them has for a time. `copied` are those that wait for the confirmed offset, since their arrival says nothing.
    """

    def __init__(self, began: dt.datetime, ahead_s: float | None = None) -> None:
        self.began = began
        self.ahead_s = ahead_s
        self.proposed_s: float | None = None
        self.says: Taken | None = None
        self.copied: list[Came] = []
        self.undated: list[str] = []
        self._held: list[_Late] = []
        self._recent: list[_Late] = []
        self._agreeing: list[_Late] = []

    def take(self, came: Iterable[Came], now: float) -> list[Dated]:
        """Return the pictures that can be dated at second `now`, those that came among them."""
        for one in came:
            behind_s = self._behind_s(one)
            if behind_s is None:
                self.undated.append(one.name)
            else:
                self._held.append(_Late(one, behind_s))
                self._recent.append(self._held[-1])
        self._recent = [one for one in self._recent if one.came.seen > now - TOGETHER_S]
        due = [one for one in self._held if self.ahead_s is not None or one.came.seen + HELD_S <= now]
        self._held = [one for one in self._held if one not in due]
        return [dated for one in due if (dated := self._dated(one)) is not None]

    def confirm(self, ahead_s: float) -> list[Dated]:
        """Take the camera's offset as known, and return the copied pictures by it."""
        self.ahead_s, self.proposed_s, self._agreeing = ahead_s, None, []
        copied, self.copied = self.copied, []
        return [self._by_camera(one, behind_s) for one in copied if (behind_s := self._behind_s(one)) is not None]

    def _behind_s(self, came: Came) -> float | None:
        """Return how long before its arrival a picture was taken by the camera's clock, None when that cannot be."""
        instant = instant_of(came.taken)
        return None if instant is None else (self.began - instant).total_seconds() + came.seen

    def _by_camera(self, came: Came, behind_s: float) -> Dated:
        assert self.ahead_s is not None
        return Dated(came.name, came.taken, min(came.seen - behind_s - self.ahead_s, came.seen), "camera")

    def _dated(self, one: _Late) -> Dated | None:
        came = one.came
        if self.ahead_s is not None and one.behind_s + self.ahead_s >= -FUTURE_S:
            self._agreeing = []
            return self._by_camera(came, one.behind_s)
        if self.ahead_s is None and self._was_copied(one):
            self.copied.append(came)
            self._agreeing = []
            return None
        self._agree(one)
        if self.ahead_s is not None and self.proposed_s is None and one.behind_s + self.ahead_s >= -FUTURE_S:
            return self._by_camera(came, one.behind_s)
        return Dated(came.name, came.taken, came.seen, "arrival")

    def _was_copied(self, one: _Late) -> bool:
        """Whether others arrived close to a picture that were not taken as close to it."""
        return any(abs(other.behind_s - one.behind_s) > SENDING_S for other in self._recent)

    def _agree(self, one: _Late) -> None:
        self._agreeing = [*self._agreeing, one][-AGREEING:]
        late = [each.behind_s for each in self._agreeing]
        if len(late) < AGREEING or max(late) - min(late) > AGREED_S:
            return
        self.says = one.came.taken
        if RIGHT_S[0] <= min(late) <= RIGHT_S[1]:
            self.ahead_s, self.proposed_s = 0.0, None
        else:
            self.proposed_s = -round(min(late))


def instant_of(taken: Taken) -> dt.datetime | None:
    """Return when a picture was taken by the camera's clock, None for a time that no clock can be at.

    One that names no offset from UTC is read in this machine's zone; whatever the camera's is, the offset that is
    confirmed has the difference in it.
    """
    try:
        if taken.offset is not None:
            return taken.instant(None, "")
        return taken.local.astimezone(dt.UTC)
    except (OverflowError, ValueError, OSError):
        return None


def off_words(ahead_s: float) -> str:
    """Return how a camera's clock stands, as "1:00:03 behind" or "about 7 years ahead"."""
    span, way = abs(ahead_s), "ahead" if ahead_s > 0 else "behind"
    days = span / 86_400
    if days >= 700:
        return f"about {days / 365.25:.0f} years {way}"
    if days >= 2:
        return f"{days:.0f} days {way}"
    return f"{duration(span)} {way}" if span >= 0.5 else "right"


def question(proposed_s: float, says: Taken | None) -> str:
    """Return what is asked once a few pictures agree on the camera's offset."""
    date = (
        f" (it says {date_words(says.local, False)}, {says.local:%H:%M})" if says and abs(proposed_s) >= 86_400 else ""
    )
    return f"Camera is {off_words(proposed_s)}{date}, use that?"


def counted_names(names: Sequence[str]) -> str:
    """Return how many pictures these are, or the name of the only one."""
    return names[0] if len(names) == 1 else f"{len(names)} pictures ({names[0]}, …)"
