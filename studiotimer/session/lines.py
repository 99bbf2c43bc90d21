"""An entry's line in the file: JSON closed by the checksum of what stands before it."""

from __future__ import annotations

import json
import zlib
from datetime import UTC, datetime

from pydantic import ValidationError

from studiotimer.session.calls.registry import ENTRY
from studiotimer.session.entries import BadLineError, Entry
from studiotimer.session.problems import first_problem

_SUM = b',"sum":"'
_TAIL = len(_SUM) + len('01234567"}')


def stamp(at: datetime) -> str:
    """Return a wall time as the file writes it: UTC, microseconds, Z."""
    return at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def to_line(entry: Entry) -> bytes:
    """Return the entry's line, checksum and newline included."""
    fields = ENTRY.dump_python(entry, mode="json", by_alias=True, exclude_none=True)
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
    try:
        return ENTRY.validate_json(body, strict=True)
    except ValidationError as error:
        raise BadLineError(first_problem(error, tagged=True)) from None


def summed(fields: dict[str, object]) -> bytes:
    """Return `fields` as a JSON line closed by the CRC-32 of what stands before the sum."""
    body = json.dumps(fields, ensure_ascii=False, separators=(",", ":"), allow_nan=False).encode()[:-1]
    return body + _SUM + b"%08x" % zlib.crc32(body) + b'"}\n'


def checked_body(line: bytes) -> bytes:
    """Return the JSON object on `line` without its sum.

    Raises BadLineError when the sum is missing or does not match.
    """
    if len(line) <= _TAIL or not line.endswith(b'"}') or line[-_TAIL : -_TAIL + len(_SUM)] != _SUM:
        raise BadLineError("the line has no sum at its end")
    body = line[:-_TAIL]
    if b"%08x" % zlib.crc32(body) != line[-10:-2]:
        raise BadLineError("the line was changed: its sum does not match")
    return body + b"}"
