"""The shopping list as CSV, safe to open in a spreadsheet."""

from __future__ import annotations

import csv
import io

from studiotimer.plain import starts_a_formula
from studiotimer.prep.cautions import DRY_ICE
from studiotimer.prep.results import Results

COLUMNS = ("item", "quantity", "unit", "for", "note")


def shopping_csv(results: Results) -> bytes:
    """Return the shopping list as UTF-8 CSV; a cell that begins like a formula gets an apostrophe before it."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for row in _rows(results):
        writer.writerow([harmless(cell) for cell in row])
    return out.getvalue().encode("utf-8")


def harmless(cell: str) -> str:
    """Return a cell that no spreadsheet takes for a formula."""
    return f"'{cell}" if starts_a_formula(cell) else cell


def _rows(results: Results) -> list[tuple[str, str, str, str, str]]:
    plan = results.plan
    rows = [
        (
            f"{each.flavour} ({results.mix_names[each.flavour]})",
            str(each.tubs.value if each.tubs.value is not None else 0),
            each.tubs.text.partition(" × ")[2] or each.tubs.text,
            each.pulls.text,
            f"in the freezer by {results.day.product_in:%Y-%m-%d %H:%M}",
        )
        for each in results.products
    ]
    if results.ice is not None:
        amount, _, unit = results.ice.buy.text.partition(" ")
        rows.append((f"dry ice, {plan.dry_ice.form}", amount, unit, results.ice.parts, DRY_ICE))
        if not plan.dry_ice.co2_monitor:
            rows.append(("CO₂ monitor with an alarm", "1", "piece", "the studio", "buy or hire; it decides"))
    return rows
