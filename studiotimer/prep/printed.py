"""The printed sheet's content, with no say in how it is drawn."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from studiotimer.prep.cautions import DRY_ICE, LIMITS
from studiotimer.prep.found import Fact, percent
from studiotimer.prep.results import Results, day_text, run_sheet_times
from studiotimer.units import VOLUME, told


@dataclass(frozen=True)
class Table:
    """A titled table; `bad` holds the (row, column) of cells that say something cannot work."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    bad: frozenset[tuple[int, int]] = frozenset()


@dataclass(frozen=True)
class Line:
    """A line of the run sheet; `note` is what to mind, said once."""

    time: str
    what: str
    who: str
    note: str


@dataclass(frozen=True)
class Printed:
    """All of one sheet, in the order it is read."""

    title: str
    subtitle: str
    facts: tuple[Fact, ...]
    tables: tuple[Table, ...]
    notes: tuple[str, ...]
    run_sheet: tuple[Line, ...]
    lists: tuple[tuple[str, tuple[str, ...]], ...]
    cautions: tuple[str, ...]
    footer: str


def printed_sheet(results: Results, made: dt.datetime) -> Printed:
    """Return the content of the sheet; `made` is the date it states it was made."""
    plan = results.plan
    room = plan.room
    return Printed(
        title=plan.title,
        subtitle=f"{plan.date:%A} {plan.date.day} {plan.date:%B %Y}, call {plan.call_time:%H:%M}. "
        f"Studio {results.temperature(room.air_c)}, {percent(room.humidity)} humidity, "
        f"{told(room.volume_m3, VOLUME, results.style)}, {room.changes_per_s * 3600:g} air changes an hour",
        facts=_facts(results),
        tables=(_work(results), _product(results)),
        notes=_notes(results),
        run_sheet=_run_sheet(results),
        lists=tuple((who, tuple(items)) for who, items in results.checklist.items()),
        cautions=_cautions(results),
        footer=f"Working times are estimates of a model; the crew's eyes decide. Made {made:%Y-%m-%d %H:%M}.",
    )


def _facts(results: Results) -> tuple[Fact, ...]:
    facts = [
        Fact(freezer.setting.text, f"{freezer.name}: {', '.join(freezer.flavours)}") for freezer in results.freezers
    ]
    facts.append(Fact(results.pulls.text, results.pulls.how.split(";")[0]))
    facts.append(Fact(day_text(results.day.product_in, results.day.call), "product in the freezers, latest time"))
    if results.ice is not None:
        facts.append(Fact(results.ice.buy.text, f"dry ice, {results.plan.dry_ice.form}: {results.ice.parts}"))
    return tuple(facts)


def _work(results: Results) -> Table:
    rows, bad = [], set()
    for number, shot in enumerate(results.shots):
        iced = shot.iced.text if shot.iced else "none planned"
        rows.append((shot.name, shot.look, shot.plain.text, iced, shot.frames_fit.text, shot.groups.text, shot.verdict))
        if not shot.works:
            bad |= {(number, 4), (number, 6)}
    columns = ("shot", "look", "window", "with dry ice", "frames that fit", "heroes needed", "")
    return Table("Will it work", columns, tuple(rows), frozenset(bad))


def _product(results: Results) -> Table:
    rows = tuple(
        (
            each.flavour,
            results.mix_names[each.flavour],
            results.settings[each.flavour].text,
            f"{each.heroes} / {each.spares} / {each.stand_ins}",
            each.pulls.text,
            each.tubs.text,
        )
        for each in results.products
    )
    return Table("Product", ("flavour", "mix", "freezer", "heroes / spares / stand-ins", "pulls", "tubs"), rows)


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


def _run_sheet(results: Results) -> tuple[Line, ...]:
    lines, said = [], set()
    for event, time in zip(results.run_sheet, run_sheet_times(results), strict=True):
        note = "" if event.note in said else event.note
        said.add(note)
        lines.append(Line(time, event.what, event.who, note))
    return tuple(lines)


def _cautions(results: Results) -> tuple[str, ...]:
    if results.ice is None:
        return ()
    return (DRY_ICE, f"Estimated CO₂: {results.ice.co2.text}. Limits: {LIMITS}.")
