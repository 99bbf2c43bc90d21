"""The warnings that stand on the Set page: keys not heard, a disk that refuses, a session that is not written."""

from __future__ import annotations

from typing import NamedTuple

from studiotimer.session.leader import QUIET_S, Leader
from studiotimer.session.live import Session
from studiotimer.session.rehearsal import Rehearsal
from studiotimer.session.together import Other

NOT_HEARD = "Keys are not heard: click this screen."
NOT_ON_DISK = "Not on disk yet: {why}. Calls are kept and written when the disk is back."
PLAYED = "Rehearsal: a recorded day is played, nothing is logged."
PLAYED_OUT = "The recorded day is over; Wrap tells what it showed."
FOLLOWED = "Following {leader}{heard}; calls are made there."
FRESH = ", heard just now"
DAMAGED = "Read-only: this file is damaged. What can be read of it is here."
READ_ONLY = "Read-only: calls are taken where this session is written."
TO_A_COPY = "go on in a copy of what is readable"
TO_ANOTHER_DISK = "write it all to another disk"
BOTH = "go on in both, joined"
TAKE_OVER = "go on here, in a file of its own"
SET_RIGHT = "say how long it was closed"


class OpenWarnings(NamedTuple):
    """What stands, whether it is urgent, and what is offered about it, in words; nothing when empty."""

    words: str
    urgent: bool
    offer: str


def open_warnings(session: Session, heard: bool, led: str | None = None, other: Other | None = None) -> OpenWarnings:
    """Return what stands of a session; `heard` says that keys are, `led` is what a first try asks for next.

    A follower makes no calls: it needs no keys, and says whom it follows and how old the news is.
    `other` is a file that has more of it.
    """
    heard = heard or session.following
    words = [] if heard else [NOT_HEARD]
    if session.trouble is not None:
        words.append(session.trouble if session.following else NOT_ON_DISK.format(why=session.trouble))
    if isinstance(session, Rehearsal):
        words.append(PLAYED_OUT if session.done else PLAYED)
    elif led is not None:
        words.append(led)
    elif session.following:
        words += _followed(session.leader, session.clock.tick())
    elif session.damaged:
        words.append(DAMAGED)
    elif session.read_only:
        words.append(READ_ONLY)
    refused = session.trouble is not None and not session.read_only
    if (doubted := session.doubt()) is not None:
        words.append(doubted.words)
    if session.taken is not None and not session.read_only:
        words.insert(0, session.taken.words)
    if other is not None:
        words.append(other.words)
    offers = {
        TO_ANOTHER_DISK: refused,
        SET_RIGHT: bool(doubted),
        BOTH: other is not None,
        TO_A_COPY: session.damaged,
        TAKE_OVER: session.may_be_taken_over(),
    }
    offer = next((one for one, offered in offers.items() if offered), "")
    return OpenWarnings(" ".join(words), refused or not heard or session.taken is not None, offer)


def _followed(leader: Leader, at: float) -> list[str]:
    """Return whom a follower follows and how old its news is; of a silent leader the next sentence says that."""
    fresh = leader.heard is not None and leader.silent_s(at) < QUIET_S and not leader.closed
    return [FOLLOWED.format(leader=leader.machine, heard=FRESH if fresh else ""), *leader.words(at)]
