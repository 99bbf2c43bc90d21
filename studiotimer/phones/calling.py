"""What becomes of a call that a phone makes: its rights looked at again, one entry for each id, doubles asked about."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Protocol

from studiotimer.phones.pairing import Phone, Phones
from studiotimer.session.calls.rights import why_not
from studiotimer.session.clock import steady_seconds
from studiotimer.session.entries import Entry, fields_of
from studiotimer.session.live import Outcome, Session
from studiotimer.session.wording import entry_words

AT_ONCE_S = 10.0
"""How long ago the tap of a call that is sent at once may have been, as a key press."""
KEPT_S = 1800.0
"""How long ago the tap of a call may have been that was kept while the phone was not live."""
AROUND_S = 120.0
"""How long before the tap of a kept call the same may have been logged by another (own rule)."""
CALL_ID = re.compile(r"[0-9a-f]{32}\Z")
ENDED = "This phone is not paired any more."
NOTHING = "Nothing like it was logged since. Log it?"
NOT_ITS_OWN = "a phone takes back its own last call only"
TOO_OLD = f"that was longer ago than {KEPT_S / 60:.0f} min; say it at the laptop"
_TELL_APART = ("scoop", "flavour", "which")
"""Fields that tell two calls of a kind apart; of a pull none does, its number and often its flavour being filled in."""


class Calls(Protocol):
    """Where calls are made: the open session as the window has it."""

    session: Session

    def call(
        self,
        kind: str,
        given: Mapping[str, object] | None = None,
        tick: float | None = None,
        at_once: bool = True,
        assume: bool = False,
        program: bool = False,
        caller: Mapping[str, str] | None = None,
    ) -> Outcome:
        """Make a call and say what became of it."""


@dataclass(frozen=True, slots=True)
class Asked:
    """A call as a phone sent it: `at` is its tap on the laptop's steady clock [s]."""

    id: str
    kind: str
    fields: dict[str, object]
    at: float
    late: bool
    another: bool


def asked_of(message: Mapping[str, object]) -> Asked | str:
    """Return the call in a message, or what is wrong with it."""
    name, kind, fields, at = (message.get(key) for key in ("id", "kind", "fields", "at"))
    if not isinstance(name, str) or not CALL_ID.match(name):
        return "a call has an id of 32 hexadecimal figures"
    if not isinstance(kind, str) or not isinstance(fields, dict) or len(fields) > 16:
        return "a call has its kind and its fields"
    if isinstance(at, bool) or not isinstance(at, int | float) or not math.isfinite(at):
        return "a call has the time of its tap"
    return Asked(name, kind, fields, float(at), message.get("late") is True, message.get("another") is True)


class Caller:
    """Makes the calls of phones. `steady` is the clock that phones know, in seconds."""

    def __init__(self, calls: Calls, phones: Phones, steady: Callable[[], float] = steady_seconds) -> None:
        self._calls, self._phones, self._steady = calls, phones, steady
        self._read = 0
        self._made: dict[str, int] = {}
        """The entry of each call id."""

    def call(self, phone: Phone, asked: Asked) -> int | dict[str, object]:
        """Return the number of the entry that a call became, or what the phone is told instead."""
        if (known := self.entry_of(asked.id)) is not None:
            return known
        why = why_not(phone.right, asked.kind, asked.fields) or self._not_own(phone, asked)
        if why is not None:
            return {"refused": why}
        ago = self._steady() - asked.at
        if ago > KEPT_S:
            return {"refused": TOO_OLD}
        if asked.late and not asked.another:
            same = self._same(phone, asked, ago)
            return {"asks": NOTHING if same is None else self._asks(same), "same": None if same is None else same.n}
        longest = KEPT_S if asked.late else AT_ONCE_S
        clock = self._calls.session.clock
        tick = max(clock.tick() - ago, 0.0) if 0.0 <= ago <= longest else None
        caller = {"phone": phone.name, "call_id": asked.id}
        outcome = self._calls.call(asked.kind, asked.fields, tick, at_once=False, program=True, caller=caller)
        if outcome.entry is None:
            words = outcome.assumes.words if outcome.assumes is not None else outcome.refused
            return {"refused": str(words)}
        self._made[asked.id] = outcome.entry.n
        self._phones.made(phone.id, outcome.entry.n)
        return outcome.entry.n

    def entry_of(self, call_id: str) -> int | None:
        """Return the entry that a call with this id became, in this run or one before."""
        entries = self._calls.session.ledger.entries
        for entry in entries[self._read :]:
            if entry.call_id is not None:
                self._made.setdefault(entry.call_id, entry.n)
        self._read = len(entries)
        return self._made.get(call_id)

    def logged(self, number: int) -> dict[str, object]:
        """Return what a phone is told of an entry: its number, its words, its wall time."""
        session = self._calls.session
        entry = session.ledger.entry(number)
        if entry is None:
            return {"entry": number, "words": "", "wall": ""}
        told = session.ledger.told_of(number)
        at = told.at if told is not None else session.ledger.seconds(entry)
        return {"entry": number, "words": entry_words(told.entry if told else entry), "wall": self._wall(at)}

    def last_own(self, phone: Phone) -> Entry | None:
        """Return the last call of a phone that counts: what it may take back."""
        ledger = self._calls.session.ledger
        for number in reversed(phone.calls):
            entry = ledger.entry(number)
            if entry is not None and entry.mendable and number not in ledger.undone:
                return entry
        return None

    def _not_own(self, phone: Phone, asked: Asked) -> str | None:
        if asked.kind != "take_back" or phone.right == "everything":
            return None
        last = self.last_own(phone)
        return None if last is not None and asked.fields.get("entry") == last.n else NOT_ITS_OWN

    def _same(self, phone: Phone, asked: Asked, ago: float) -> Entry | None:
        """Return the call another made since shortly before the tap that may be the same one."""
        session = self._calls.session
        since = session.time() - ago - AROUND_S
        for entry in reversed(session.ledger.entries):
            if session.ledger.seconds(entry) < since and entry.kind != "frame":
                return None
            counts = entry.n not in session.ledger.undone and entry.n not in phone.calls
            if entry.kind == asked.kind and counts and _alike(entry, asked.fields):
                return entry
        return None

    def _asks(self, entry: Entry) -> str:
        session = self._calls.session
        who = entry.phone or "the laptop"
        at = self._wall(session.ledger.seconds(entry))
        words = f"{who} logged “{entry_words(entry)}” at {at}. The same, or another?"
        return words[:1].upper() + words[1:]

    def _wall(self, at: float) -> str:
        return self._calls.session.wall_time(at).astimezone().strftime("%H:%M:%S")


def _alike(entry: Entry, fields: Mapping[str, object]) -> bool:
    """Whether an entry may be the call with these fields: of the same scoop or flavour, where both say which."""
    told = fields_of(entry)
    names = () if entry.kind == "pull" else _TELL_APART
    return all(name not in fields or name not in told or fields[name] == told[name] for name in names)
