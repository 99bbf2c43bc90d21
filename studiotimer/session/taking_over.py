"""A session that is followed goes on here when its leader is gone: in a file that holds all that arrived."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from studiotimer.session import journal as files
from studiotimer.session.beat import Taken, machine_name, taken_path, write_note
from studiotimer.session.clock import Clock, SystemClock
from studiotimer.session.elsewhere import somewhere
from studiotimer.session.entries import Entry
from studiotimer.session.live import Session
from studiotimer.session.mending import Ledger

UNTOLD = "The first laptop cannot be told: nothing can be written beside its session."


def take_over(followed: Session, clock: Clock | None = None) -> Session:
    """Return the session that goes on here, in a file beside the one followed, else where sessions are kept.

    A note beside the first one tells its leader, should it come back. Raises NowhereError when no place takes it.
    """
    clock = clock or SystemClock()
    since = followed.time() - followed.ledger.last_at if followed.leader.heard is not None else None
    entries = _without_gaps(followed.ledger.entries)
    made: list[Session] = []

    def put(path: Path) -> None:
        journal, header = files.create(path, followed.header.plan, followed.header.created, followed.header.session)
        files.write_all(journal, entries)
        made.append(Session(path, header, followed.plan, Ledger.of(entries), clock, journal))

    path = somewhere(followed.path.stem, "taken", put, (lambda: followed.path.parent,))
    session = made[-1]
    session.begin_run(None if since is None else max(since, 0.0))
    session.words.append(f"The shoot goes on here, in {path.name}, with everything that arrived.")
    file = path.name if path.parent == followed.path.parent else str(path)
    last = followed.ledger.entries[-1].n if followed.ledger.entries else 1
    try:
        write_note(
            taken_path(followed.path),
            Taken(session=session.header.session, machine=machine_name(), file=file[-200:], n=last, at=clock.now()),
        )
    except OSError:
        session.words.append(UNTOLD)
    followed.close()
    return session


def _without_gaps(entries: Sequence[Entry]) -> list[Entry]:
    """Return the entries, numbered afresh where some could not be read."""
    if all(entry.n == number for number, entry in enumerate(entries, 1)):
        return list(entries)
    return files.numbered_afresh(entries)
