"""A recorded day up to its first hero, as if it were today's, for somebody to take up."""

from __future__ import annotations

from datetime import datetime
from itertools import takewhile
from pathlib import Path

from studiotimer.prep.plan import in_a_plan
from studiotimer.session.calls.notes import Closed, Opened
from studiotimer.session.calls.registry import made
from studiotimer.session.entries import Entry
from studiotimer.session.journal import create, write_all
from studiotimer.session.reading import SessionFile


def take_up(recorded: SessionFile, target: Path, now: datetime) -> Path:
    """Write the day to a new file, its last call before the first hero made at `now` (aware), and return its path.

    Raises SessionFileError when `target` cannot be made.
    """
    before: list[Entry] = list(takewhile(lambda entry: entry.kind != "hero_in", recorded.entries))
    moved = now - (before[-1].at if before else recorded.header.created)
    kept = [entry.model_copy(update={"at": entry.at + moved}) for entry in before]
    plan = recorded.header.plan | {"date": in_a_plan(now.astimezone().date()).isoformat()}
    journal, _ = create(target, plan, recorded.header.created + moved)
    write_all(journal, [*kept, *_end(kept)])
    journal.close()
    return target


def _end(entries: list[Entry]) -> list[Entry]:
    """Return what closes the last run of `entries`."""
    opened = next((one for one in reversed(entries) if isinstance(one, Opened)), None)
    if opened is None or isinstance(entries[-1], Closed):
        return []
    last = entries[-1]
    fields = {"n": last.n + 1, "run": last.run, "at": last.at, "tick": last.tick}
    return [made("closed", fields | {"version": opened.version, "machine": opened.machine})]
