"""Tables, and the cells of lists that go out and come back: RFC 4180, and none that a spreadsheet would run."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from studiotimer.plain import starts_a_formula


@dataclass(frozen=True)
class Table:
    """A titled table, with what there is to say of it."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""


def harmless(value: object) -> str:
    """Return a cell's text; a person's words that begin like a formula get an apostrophe before them (OWASP).

    One that has an apostrophe there already gets another, so that `as_written` gives back just what it was.
    """
    if value is None or (isinstance(value, float) and not math.isfinite(value)):
        return ""
    if isinstance(value, bool):
        return "yes" if value else ""
    if isinstance(value, float):
        return f"{value:.1f}"
    text = str(value)
    return f"'{text}" if isinstance(value, str) and starts_a_formula(text) else text


def as_written(cell: str) -> str:
    """Return a cell of a list without the apostrophe that `harmless` put before it."""
    return cell[1:] if cell.startswith("'") and harmless(cell[1:]) == cell else cell


def to_csv(columns: Sequence[str], rows: Iterable[Sequence[object]]) -> bytes:
    """Return rows as CSV: UTF-8, commas, lines ended by CR LF (RFC 4180)."""
    written = io.StringIO()
    writer = csv.writer(written, lineterminator="\r\n")
    writer.writerow(columns)
    writer.writerows([harmless(cell) for cell in row] for row in rows)
    return written.getvalue().encode("utf-8")
