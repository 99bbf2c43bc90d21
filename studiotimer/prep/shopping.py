"""The shopping list as CSV, safe to open in a spreadsheet."""

from __future__ import annotations

import csv
import io

from studiotimer.plain import starts_a_formula
from studiotimer.prep.cautions import DRY_ICE
from studiotimer.prep.order import Ordered
from studiotimer.prep.pulls_needed import Product
from studiotimer.prep.results import Results

COLUMNS = ("item", "quantity", "unit", "for", "from", "order by", "needed by", "note")


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


def _rows(results: Results) -> list[tuple[str, ...]]:
    products = {line.what: each for line, each in zip(results.order, results.products, strict=False)}
    rows: list[tuple[str, ...]] = []
    for line in results.order:
        product = products.get(line.what)
        amount, unit = _split(line, product)
        rows.append(
            (
                line.what, amount, unit, product.pulls.text if product else line.how,
                ", ".join(part for part in (line.supplier, line.phone) if part),
                line.order_by.isoformat() if line.order_by else "",
                f"{line.comes:%Y-%m-%d %H:%M}" if line.comes else "",
                DRY_ICE if line.kind == "dry ice" else line.how if product else "",
            )
        )  # fmt: skip
    if results.ice is not None and not results.plan.dry_ice.co2_monitor:
        rows.append(("CO₂ monitor with an alarm", "1", "piece", "the studio", "", "", "", "buy or hire; it decides"))
    return rows


def _split(line: Ordered, product: Product | None) -> tuple[str, str]:
    """Return the quantity and its unit: tubs are counted, "3 × 10 L pan" is 3 of a 10 L pan."""
    if product is not None:
        tubs = product.tubs
        return str(tubs.value if tubs.value is not None else 0), tubs.text.partition(" × ")[2] or tubs.text
    amount, _, unit = line.how_much.partition(" × " if " × " in line.how_much else " ")
    return amount, unit
