"""What the truck brought, and what each tub and block gave: two tables of the report."""

from __future__ import annotations

from collections.abc import Iterator

from studiotimer.prep.arrival import arrival
from studiotimer.prep.plan import PlanError
from studiotimer.session.calls.deliveries import Delivery
from studiotimer.session.tub_ledger import Open, opened_of
from studiotimer.units import shown_in, temperature
from studiotimer.wrap.cells import Table
from studiotimer.wrap.review import Review


def deliveries(review: Review) -> Table:
    """Return each delivery: when it came, what was read and counted, what was damaged, whether it was in time."""
    session, plan = review.session, review.session.plan
    rows = []
    for told in session.ledger.told:
        if not isinstance(told.entry, Delivery):
            continue
        entry, came = told.entry, session.local(told.at)
        try:
            words = arrival(plan, came.replace(tzinfo=None), entry.core_c, shown_in()).sentence or "in time"
        except PlanError:
            words = ""
        expected = "" if plan.delivery.cartons is None else f" of {plan.delivery.cartons}"
        cartons = "not counted" if entry.cartons is None else f"{entry.cartons}{expected}"
        rows.append(
            (
                f"{came:%d %b, %H:%M}", temperature(entry.core_c, digits=1), temperature(float(plan.delivered_c)),
                cartons, entry.damage or "none noted", words,
            )
        )  # fmt: skip
    return Table("Deliveries", ("came", "read in a tub", "planned", "cartons", "damage", ""), tuple(rows))


def tubs(review: Review) -> Table:
    """Return each tub, or block of one, that was pulled from: its pulls beside those expected of it."""
    note = "Expected is what face and depth give: a plain count of lanes and layers, before what breaks."
    columns = ("flavour", "pulled from", "pulls", "expected", "")
    return Table("Pulls a block", columns, tuple(_rows(review)), note)


def _rows(review: Review) -> Iterator[tuple[str, ...]]:
    session = review.session
    for flavour in session.plan.flavours:
        finished = session.state.tubs_finished.get(flavour.name, ())
        for place, one in enumerate(opened_of(session.plan, session.state, flavour.name)):
            if place < len(finished):
                yield (*_counts(one), f"finished {session.local(finished[place].at):%H:%M}")
            elif one.pulled:
                yield (*_counts(one), f"{one.left} left")


def _counts(one: Open) -> tuple[str, str, str, str]:
    return one.flavour, one.name, str(one.pulled), str(one.expected)
