"""An entry's line in the file: JSON closed by the checksum of what stands before it."""

from __future__ import annotations

import re
from datetime import UTC, datetime

from pydantic import ValidationError
from pydantic_core import from_json

from studiotimer.session.calls.registry import KINDS
from studiotimer.session.entries import Entry
from studiotimer.session.first_lines import BadLineError, checked_body, summed
from studiotimer.session.problems import first_problem

_KIND = re.compile(rb'\{"n":\d+,"run":\d+,"at":"[^"\\]*","tick":[^,"]+,"kind":"(\w+)"')
"""How a line begins as it is written here: its kind is known without reading all of it twice."""


def stamp(at: datetime) -> str:
    """Return a wall time as the file writes it: UTC, microseconds, Z."""
    return at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def to_line(entry: Entry) -> bytes:
    """Return the entry's line, checksum and newline included."""
    fields = entry.model_dump(mode="json", by_alias=True, exclude_none=True)
    kind = fields.pop("kind")
    ordered = {
        "n": entry.n,
        "run": entry.run,
        "at": stamp(entry.at),
        "tick": round(entry.tick, 6),
        "kind": kind,
    }
    return summed(ordered | {key: value for key, value in fields.items() if key not in ordered})


def from_line(line: bytes) -> Entry:
    """Return the entry on `line` (no newline).

    Raises BadLineError when the sum does not hold or the fields are not an entry's.
    """
    body = checked_body(line)
    model = KINDS.get(_kind_on(body))
    if model is None:
        raise BadLineError("its kind is not known")
    try:
        return model.model_validate_json(body, strict=True)
    except ValidationError as error:
        raise BadLineError(first_problem(error)) from None


def _kind_on(body: bytes) -> str:
    """Return the kind that a line names: its model alone is built, not those of kinds that no line has."""
    if usual := _KIND.match(body):
        return usual[1].decode()
    try:
        fields = from_json(body)
    except ValueError:
        raise BadLineError("it is not JSON as this program writes it") from None
    if not isinstance(fields, dict) or "kind" not in fields:
        raise BadLineError("it has no kind")
    return str(fields["kind"])
