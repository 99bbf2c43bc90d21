"""Entries in words, as the log, the call bar and the screen reader say them."""

from __future__ import annotations

from collections.abc import Mapping

from studiotimer import units
from studiotimer.session.calls.ice import mass_words
from studiotimer.session.calls.mends import Amend, value_words
from studiotimer.session.calls.registry import RECORDS
from studiotimer.session.entries import Entry, fields_of
from studiotimer.session.fields import Given
from studiotimer.session.measures import MEASURES


def entry_words(entry: Entry) -> str:
    """Return an entry as one line of the log: "hero in 11, 12, 13"."""
    return RECORDS[entry.kind].words(entry)


def short_words(kind: str, fields: Mapping[str, object]) -> str:
    """Return what a call with these fields would do in a word or two, for its button."""
    record = RECORDS[kind]
    return record.short(record.draft(fields))


def change_words(amend: Amend, before: Entry) -> str:
    """Return what an amend made of the entry that stood there `before`: "20 s earlier, spot left, was right"."""
    was, parts = fields_of(before), []
    for name, value in amend.change.items():
        if name == "tick":
            moved = float(value) - before.tick
            size = f"{abs(moved):.0f}" if abs(moved) >= 1 else f"{abs(moved):.1g}"
            parts.append(f"{size} s {'later' if moved > 0 else 'earlier'}")
        else:
            now, before_it = (_changed(was, name, one) for one in (value, was.get(name)))
            parts.append(f"{_NAMES.get(name, name)} {now}, was {before_it}")
    return ", ".join(parts)


_NAMES = {"mass_kg": "mass", "assumed_pull_s": "pulled before", "value": "reading", "on": "switched"}


def _changed(fields: Given, name: str, value: object) -> str:
    """Return one value of an entry as the rest of the log has it."""
    if isinstance(value, bool):
        return "on" if value else "off"
    if isinstance(value, float | int) and name == "mass_kg":
        return mass_words(value)
    if isinstance(value, float | int) and name == "assumed_pull_s":
        return units.duration(value)
    if isinstance(value, float | int) and name == "value" and "what" in fields:
        return MEASURES[fields["what"]].words(value)
    return value_words(value)
