"""The printed sheet's content, with no say in how it is drawn: the run sheet, and a card for each shot."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from studiotimer.prep.cards import Card, cards_of
from studiotimer.prep.cautions import DRY_ICE
from studiotimer.prep.found import Fact, percent
from studiotimer.prep.results import Results, day_text
from studiotimer.prep.runsheet import Event
from studiotimer.thermal.charge import CAUTIONS_SHORT

BLANK = "_______"
LOOK_BELOW = "see the framed cautions"


@dataclass(frozen=True)
class Table:
    """A titled table; where it is `ticked` each row has a box to tick before it."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    ticked: bool = False


@dataclass(frozen=True)
class Line:
    """A line of the run sheet; `note` is what to mind, said once. `day` heads the first line of a day."""

    time: str
    what: str
    who: str
    note: str
    day: str = ""
    day_note: str = ""
    strong: bool = False


@dataclass(frozen=True)
class Brings:
    """Who brings what, and how to reach them."""

    who: str
    phone: str
    items: tuple[str, ...]


@dataclass(frozen=True)
class Printed:
    """All of one sheet, in the order it is read; the cards stand on a page of their own."""

    title: str
    subtitle: str
    call: str
    facts: tuple[Fact, ...]
    run_sheet: tuple[Line, ...]
    tables: tuple[Table, ...]
    notes: tuple[str, ...]
    lists: tuple[Brings, ...]
    cautions: tuple[str, ...]
    cards: tuple[Card, ...]
    footer: str


def printed_sheet(results: Results, made: dt.datetime) -> Printed:
    """Return the content of the sheet; `made` is the date it states it was made."""
    plan = results.plan
    return Printed(
        title=plan.title,
        subtitle="Run sheet, " + _date(plan.date) + (f", for {plan.client}" if plan.client else ""),
        call=f"{plan.call_time:%H:%M}",
        facts=tuple(_facts(results)),
        run_sheet=_run_sheet(results),
        tables=(_order(results), _freezers(results)),
        notes=_notes(results),
        lists=_lists(results),
        cautions=_cautions(results),
        cards=cards_of(results),
        footer=f"Times on set are a forecast; the crew's eyes decide. Made {made.day} {made:%B %Y, %H:%M}",
    )


def _date(date: dt.date) -> str:
    return f"{date:%A} {date.day} {date:%B %Y}"


def _facts(results: Results) -> Iterable[Fact]:
    plan, day = results.plan, results.day
    where = ", ".join(part for part in (plan.place.studio, plan.place.address or plan.place.city) if part)
    if where:
        yield Fact(where, "studio")
    yield Fact(f"{day.slots[0].heroes:%H:%M}", "first hero")
    if day.lunch is not None:
        yield Fact(f"{day.lunch[0]:%H:%M}", "lunch")
    yield Fact(results.ends.text, "last shot ends")
    if results.sun is not None:
        yield Fact(f"{results.sun.sets:%H:%M}", "sunset")
    if day.ice_fetched is not None:
        yield Fact(day_text(day.ice_fetched, day.call), "dry ice, fetched")


def _run_sheet(results: Results) -> tuple[Line, ...]:
    lines, said, before = [], set[str](), None
    for event in results.run_sheet:
        date = event.at.date()
        note = "" if event.note in said else _short_note(results, event)
        said.add(event.note)
        what = event.what + _blanks(results, event)
        lines.append(
            Line(
                f"{event.at:%H:%M}", what, event.who, note, _date(date) if date != before else "",
                _expected(results) if date != before and date == results.day.call.date() else "",
                event.key == "call" or event.key.startswith("heroes "),
            )
        )  # fmt: skip
        before = date
    return tuple(lines)


def _short_note(results: Results, event: Event) -> str:
    """Return what to mind of a line as it stands on paper, where the cautions have a frame of their own."""
    if event.note == CAUTIONS_SHORT:
        return LOOK_BELOW
    if event.key == "product_in":
        return f"latest time, {results.tempering.text} before the test pulls"
    return event.note


def _expected(results: Results) -> str:
    room = results.plan.room
    sun = f", sunrise {results.sun.rises:%H:%M}" if results.sun is not None else ""
    return f"room {results.temperature(room.air_c)} and {percent(room.humidity)} expected{sun}"


def _blanks(results: Results, event: Event) -> str:
    """Return the blanks in which what is read or counted is written by hand."""
    degrees = "°C" if results.style == "metric" else "°F"
    if event.key == "freezers_read":
        names = [freezer.name for freezer in results.freezers]
        return ": " + ", ".join(f"{name} {BLANK} {degrees}" for name in names)
    if event.key == "truck":
        return f": {BLANK} {degrees}, {BLANK} cartons"
    if event.key == "ice_fetched":
        return f", weighed: {BLANK} {'kg' if results.style == 'metric' else 'lb'}"
    return ""


def _order(results: Results) -> Table:
    rows = tuple(
        (
            line.what,
            line.how_much,
            ", ".join(part for part in (line.supplier, line.phone) if part) or BLANK * 2,
            f"{line.order_by:%a} {line.order_by.day} {line.order_by:%B}" if line.order_by else BLANK,
            f"{line.comes:%a %H:%M}" if line.comes else "",
        )
        for line in results.order
    )
    return Table("Order and delivery", ("what", "how much", "from", "order by", "comes"), rows, ticked=True)


def _freezers(results: Results) -> Table:
    pulls = {each.flavour: int(each.pulls.value or 0) for each in results.products}
    degrees = "°C" if results.style == "metric" else "°F"
    rows = tuple(
        (
            freezer.name,
            freezer.setting.text,
            ", ".join(f"{name} {pulls[name]}" for name in freezer.flavours),
            "   ".join(f"{BLANK} at {BLANK}" for _ in range(2)),
        )
        for freezer in results.freezers
    )
    columns = ("freezer", "plan", "tubs, pulls planned", f"read on the day: {degrees} at time")
    return Table("Freezers and tubs", columns, rows)


def _notes(results: Results) -> tuple[str, ...]:
    """Return what makes the day doubtful, what a shared freezer costs, and the split that costs least."""
    notes = [f"{warning[0].upper()}{warning[1:]}." for warning in results.warnings]
    for freezer in results.freezers:
        if freezer.costs:
            said = "; ".join(cost.text for cost in freezer.costs)
            notes.append(f"{freezer.name[:1].upper()}{freezer.name[1:]} is a compromise: {said}.")
    if results.split is not None:
        notes.append(f"Costs least {results.split.text}.")
    return tuple(notes)


def _lists(results: Results) -> tuple[Brings, ...]:
    """Return each list with the person of that role, then the people who bring nothing."""
    lists, met = [], set()
    for role, items in results.checklist.items():
        person = next((one for one in results.plan.people if one.role.lower() == role.lower()), None)
        met.add(role.lower())
        name = f"{role}, {person.name}" if person and person.name else role
        lists.append(Brings(_capital(name), person.phone if person else "", tuple(items)))
    others = [one for one in results.plan.people if one.role.lower() not in met]
    lists += [
        Brings(_capital(", ".join(part for part in (one.role, one.name) if part)), one.phone or one.email, ())
        for one in others
    ]
    return tuple(lists)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _cautions(results: Results) -> tuple[str, ...]:
    if results.ice is None:
        return ()
    return (DRY_ICE, f"Estimated CO₂: {results.ice.co2.text}.")
