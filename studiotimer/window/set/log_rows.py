"""What the log shows: the newest entries in words, with the wall clock's time and how each one stands."""

from __future__ import annotations

from studiotimer.session.calls.mends import amends, takes_back
from studiotimer.session.entries import Entry
from studiotimer.session.live import Session
from studiotimer.session.wording import change_words, entry_words
from studiotimer.window.set.day_time import day_time
from studiotimer.window.set.log_view import LogRow

HIDDEN_KINDS = ("frame",)


def log_rows(session: Session, most: int) -> list[LogRow]:
    """Return the newest entries, newest first, at most so many; the work does not grow with the session."""
    rows = []
    for entry in reversed(session.ledger.entries):
        if entry.kind not in HIDDEN_KINDS:
            rows.append(_row(session, entry))
            if len(rows) >= most:
                break
    return rows


def _row(session: Session, entry: Entry) -> LogRow:
    ledger = session.ledger
    told = ledger.told_of(entry.n)
    at = told.at if told else ledger.seconds(entry)
    amended = "amended" if told and told.amended else ""
    return LogRow(
        entry.n,
        day_time(session, at).strftime("%H:%M:%S"),
        _words(session, told.entry if told else entry),
        amended if entry.n <= session.on_disk else "not on disk yet",
        entry.n in ledger.undone,
    )


def _words(session: Session, entry: Entry) -> str:
    """Return an entry in words, and the phone it was called on.

    An amend says from what to what, a take back what it took back.
    """
    words = _own_words(session, entry)
    return f"{words} ({entry.phone})" if entry.phone else words


def _own_words(session: Session, entry: Entry) -> str:
    if takes_back(entry) and (taken := session.ledger.entry(entry.entry)) is not None:
        return f"taken back: {entry_words(taken)}"
    if amends(entry):
        for amend, before in session.ledger.amends_of(entry.entry):
            if amend.n == entry.n:
                return f"amend entry {entry.entry}: {change_words(amend, before)}"
    return entry_words(entry)
